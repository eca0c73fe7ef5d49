"""Candidates: for each window the concepts whose forms sound near."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any, Final

from otochron.stages.repair.targets import Reading, Target, Targets
from otochron.stages.repair.windows import Window
from otochron.text.phone_distance import distances
from otochron.text.sounds import merged

COARSE: Final = 0.34
"""Share of coarse phones that may differ for a pair to be looked at."""
FINE: Final = 0.38
"""Greatest graded distance of a candidate."""
FOREIGN: Final = 0.03
"""What it costs to say a form, or a window, as the other language."""
PER_WINDOW: Final = 4
_SHORT_GAP: Final = 2
_MANY_WORDS: Final = 4
"""So many words for one term bring more sounds of their own."""
_ROWS: Final = 1024
"""Strings looked up at once, so that a long recording needs no more memory than a short one."""
_MANY: Final = 400_000
"""Pairs of strings that are worth a second worker."""


@dataclass(frozen=True, slots=True)
class Near:
    """A target near a window."""

    first: int
    last: int
    target: Target
    distance: float
    """Graded distance with the tolls for foreign readings."""
    plain: float
    """Share of coarse phones that differ."""
    foreign: bool
    letters: bool = False
    """The very letters of the target, with spaces set wrongly."""


def search(windows: Sequence[Window], targets: Targets) -> list[tuple[Window, Reading, str, bool, float]]:
    """Give the pairs of readings whose coarse phones are near."""
    wanted: dict[str, list[tuple[Window, str, bool]]] = defaultdict(list)
    found = []
    for window in windows:
        for n, reading in enumerate(window.readings):
            coarse = merged(reading)
            if window.usual:
                found += [(window, target, reading, n > 0, 0.0) for target in targets.by_coarse.get(coarse, ())]
            else:
                wanted[coarse].append((window, reading, n > 0))
    many = [coarse for coarse, its in wanted.items() if any(w.last - w.first >= _MANY_WORDS for w, _, _ in its)]
    loose = set(many)
    few = [coarse for coarse in wanted if coarse not in loose]
    pairs = [*coarse_pairs(few, targets.coarse), *coarse_pairs(many, targets.coarse, more=1)]
    for coarse, other, plain in pairs:
        for window, reading, foreign in wanted[coarse]:
            found += [(window, target, reading, foreign, plain) for target in targets.by_coarse[other]]
    return found


def coarse_pairs(
    said: Sequence[str], targets: dict[int, tuple[str, ...]], more: int = 0
) -> list[tuple[str, str, float]]:
    """Give all pairs of coarse strings near enough, and nearly as long, with the share that differs.

    ``more``: by how many phones more than usual the lengths may differ.
    """
    import numpy as np
    from rapidfuzz.distance import Levenshtein
    from rapidfuzz.process import cdist

    by_length: dict[int, list[str]] = defaultdict(list)
    for text in said:
        by_length[len(text)].append(text)
    found: list[tuple[str, str, float]] = []
    for size, left in sorted(by_length.items()):
        sizes = [other for other in sorted(targets) if abs(size - other) <= _gap(_most(size, other)) + more]
        right = list(chain.from_iterable(targets[other] for other in sizes))
        if not right:
            continue
        most = np.repeat(
            np.array([_most(size, other) for other in sizes], dtype=np.uint8), [len(targets[other]) for other in sizes]
        )
        for first in range(0, len(left), _ROWS):
            rows = left[first : first + _ROWS]
            costs = cdist(
                rows,
                right,
                scorer=Levenshtein.distance,
                score_cutoff=int(most.max()),
                dtype=np.uint8,
                workers=-1 if len(rows) * len(right) > _MANY else 1,
            )
            at, to = np.nonzero(costs <= most)
            for row, column, cost in zip(at.tolist(), to.tolist(), costs[at, to].tolist(), strict=True):
                other = right[column]
                found.append((rows[row], other, cost / max(size, len(other))))
    return found


def _most(size: int, other: int) -> int:
    """Give how many coarse phones of two strings may differ."""
    return int(COARSE * max(size, other))


def _gap(most: int) -> int:
    """Give by how many phones their lengths may differ: of all that was ever repaired, hardly anything by more."""
    return max(min(most, _SHORT_GAP), most // 2)


def near(windows: Sequence[Window], targets: Targets) -> list[Near]:
    """Give, for each window, the targets near in graded distance, the nearest spelling of each concept."""
    pairs = search(windows, targets)
    costs = distances([pair[2] for pair in pairs], [pair[1].phones for pair in pairs])
    best: dict[tuple[int, int], dict[tuple[Any, ...], Near]] = defaultdict(dict)
    for window in windows:
        for number in targets.by_letters.get(window.letters, ()):
            form = targets.targets[number]
            # The first spelling of a concept is kept: none is nearer than the very letters.
            place = (form.concepts, form.language)
            best[window.first, window.last].setdefault(
                place, Near(window.first, window.last, form, 0.0, 0.0, False, True)
            )
    for (window, target, _, foreign, plain), cost in zip(pairs, costs.tolist(), strict=True):
        if cost > FINE:
            continue
        tolled = cost + FOREIGN * (foreign + target.foreign)
        if tolled <= FINE:
            form = targets.targets[target.target]
            held = best[window.first, window.last]
            place = (form.concepts, form.language)
            if place not in held or tolled < held[place].distance:
                held[place] = Near(window.first, window.last, form, tolled, plain, foreign or target.foreign)
    return [one for held in best.values() for one in _best(list(held.values()))]


def _best(found: list[Near]) -> list[Near]:
    """Keep the concepts that sound nearest."""
    found.sort(key=lambda one: (one.distance, -len(one.target.phones), one.target.text))
    concepts = list(dict.fromkeys(one.target.concepts for one in found))[:PER_WINDOW]
    return [one for one in found if one.target.concepts in concepts]
