"""The stages, each a pure function from record to record; their order stands in ``otochron.pipeline``."""
