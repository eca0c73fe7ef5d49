"""The timeline of steps. Words: ``lexicons/procedures/``, ``cues/steps.toml``; weights: ``weights/steps.json``.

Levels are named as in the consensus on surgical video annotation (SAGES, Surg Endosc 2021): a phase holds steps.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from otochron.lexicon import Lexicon
from otochron.lexicon.weights import load_weights
from otochron.model import Record
from otochron.stages.steps.decode import potentials, shares
from otochron.stages.steps.knowledge import knowledge
from otochron.stages.steps.learned import Counts, Learned
from otochron.stages.steps.make import make_steps
from otochron.stages.steps.path import best_path
from otochron.stages.steps.plans import not_done, without_plans
from otochron.stages.steps.reader import load_reader
from otochron.stages.steps.segments import shown
from otochron.stages.steps.units import read_telling


def group_steps(record: Record, lexicon: Lexicon) -> Record:
    """Say what was being done when.

    Parameters
    ----------
    record : Record
        Needs ``lines`` with languages, ``clauses``, ``mentions`` with their status, and ``measurements``.
    lexicon : Lexicon
        Steps and operations, and cues of the roles of ``units.CUES``.

    Returns
    -------
    Record
        With ``steps`` in order of time; those ``done`` do not overlap. A recording in which nothing belongs to an
        operation has none.
    """
    telling = read_telling(record, lexicon)
    if not telling.units or not telling.guesses:
        return record.evolve(steps=())
    known = knowledge(lexicon)
    scores = potentials(telling, known, _learned(lexicon), _weights())
    own = shares(scores, known)
    path = without_plans(shown(best_path(scores, telling.units), own, known.none), telling.units, known)
    done = make_steps(telling, path, own, known)
    steps = sorted((*done, *not_done(telling, done, known)), key=lambda step: (step.start_ms, step.id))
    return record.evolve(steps=tuple(steps))


def _weights() -> dict[str, Any]:
    return load_weights("steps")


@lru_cache(maxsize=2)
def _learned(lexicon: Lexicon) -> Learned:
    known = knowledge(lexicon)
    return Learned(Counts.load(_weights()["counts"]), known, load_reader(known))
