"""Put misheard trade words right. See ``find.py`` for the stage, ``judge.py`` for how it decides."""

from otochron.stages.repair.find import find_repairs

__all__ = ["find_repairs"]
