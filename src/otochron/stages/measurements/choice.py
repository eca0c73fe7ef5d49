"""Choose among what an amount may measure, with weights that were fitted.

Weights: ``lexicons/weights/measurements.json``, made by ``tests/fit/fit_measurements.py``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from otochron.lexicon.weights import load_weights
from otochron.stages.measurements.links import Link

NO_SIZE = "no size"
"""What a number measures that is no size at all."""
_SAME = 1e-9


def choose(offered: Sequence[Link]) -> Link:
    """Give what speaks most for; of equals the first."""
    weights: Mapping[str, float] = load_weights("measurements")["things"]
    best: Link | None = None
    for link in offered:
        score = sum(weights.get(name, 0.0) * value for name, value in link.parts.items())
        if best is None or score > best.score + _SAME:
            best = replace(link, score=score)
    assert best is not None
    return best
