"""The published measures, each with its definition and source. Pure numbers; no record is known here.

Sources: frame-wise accuracy, segmental F1@k and edit score as in Lea et al. 2017 (temporal convolutional
networks for action segmentation) [M]; Cohen's kappa, Cohen 1960 [M]; word error rate, Levenshtein distance over
words; F1 as the harmonic mean of precision and recall.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from rapidfuzz.distance import Levenshtein


def ratio(part: float, whole: float) -> float | None:
    """Give ``part / whole``, or None where there is nothing to measure."""
    return part / whole if whole else None


def f1(right: int, given: int, wanted: int) -> dict[str, float | None]:
    """Precision, recall and their harmonic mean."""
    precision, recall = ratio(right, given), ratio(right, wanted)
    both = (precision or 0) + (recall or 0)
    mean = 2 * (precision or 0) * (recall or 0) / both if both else (0.0 if given or wanted else None)
    return {"precision": precision, "recall": recall, "f1": mean}


def word_errors(reference: Sequence[str], hypothesis: Sequence[str]) -> int:
    """Substitutions, deletions and insertions between two word sequences."""
    return int(Levenshtein.distance(list(reference), list(hypothesis)))


def segments(labels: Sequence[str]) -> list[tuple[str, int, int]]:
    """Turn one label per second into runs ``(label, start, end)``, half-open.

    >>> segments(["a", "a", "b"])
    [('a', 0, 2), ('b', 2, 3)]
    """
    found: list[tuple[str, int, int]] = []
    for n, label in enumerate(labels):
        if found and found[-1][0] == label:
            found[-1] = (label, found[-1][1], n + 1)
        else:
            found.append((label, n, n + 1))
    return found


def frame_accuracy(gold: Sequence[str], made: Sequence[str]) -> float | None:
    """Share of seconds with the same label."""
    return ratio(sum(a == b for a, b in zip(gold, made, strict=True)), len(gold))


def cohen_kappa(gold: Sequence[str], made: Sequence[str]) -> float | None:
    """Agreement beyond chance over the same units.

    >>> cohen_kappa(["a", "a", "b", "b"], ["a", "a", "b", "a"])
    0.5
    """
    if not gold:
        return None
    observed = frame_accuracy(gold, made) or 0.0
    one, two = Counter(gold), Counter(made)
    expected = sum(one[label] * two[label] for label in one) / len(gold) ** 2
    return 1.0 if expected == 1 else (observed - expected) / (1 - expected)


def segmental_f1(gold: Sequence[str], made: Sequence[str], overlap: float, skip: str = "none") -> float | None:
    """F1 of segments: a made one is right if an unmatched gold one of its label has IoU >= ``overlap``.

    Segments of ``skip`` (nothing is being done) do not count.
    """
    wanted = [s for s in segments(gold) if s[0] != skip]
    given = [s for s in segments(made) if s[0] != skip]
    used: set[int] = set()
    right = 0
    for label, start, end in given:
        best, place = 0.0, -1
        for n, (other, low, high) in enumerate(wanted):
            if other != label or n in used:
                continue
            shared = max(0, min(end, high) - max(start, low))
            score = shared / (max(end, high) - min(start, low))
            if score > best:
                best, place = score, n
        if place >= 0 and best >= overlap:
            used.add(place)
            right += 1
    return f1(right, len(given), len(wanted))["f1"]


def edit_score(gold: Sequence[str], made: Sequence[str], skip: str = "none") -> float | None:
    """Order of steps: 1 - Levenshtein(sequence of labels) / the longer length."""
    wanted = [s[0] for s in segments(gold) if s[0] != skip]
    given = [s[0] for s in segments(made) if s[0] != skip]
    longest = max(len(wanted), len(given))
    return 1 - word_errors(wanted, given) / longest if longest else None


def boundary_errors(gold: Sequence[str], made: Sequence[str], skip: str = "none") -> list[int]:
    """Seconds from each gold step's start to the nearest made start of the same label, where there is one."""
    starts: dict[str, list[int]] = {}
    for label, start, _ in segments(made):
        starts.setdefault(label, []).append(start)
    return [
        min(abs(start - other) for other in starts[label])
        for label, start, _ in segments(gold)
        if label != skip and label in starts
    ]


def macro_f1(gold: Sequence[str], made: Sequence[str]) -> float | None:
    """Mean F1 over the labels of the gold, each label weighing the same."""
    scores: list[float] = []
    for label in sorted(set(gold)):
        right = sum(a == b == label for a, b in zip(gold, made, strict=True))
        scores.append(f1(right, sum(b == label for b in made), sum(a == label for a in gold))["f1"] or 0.0)
    return ratio(sum(scores), len(scores))


def window_size(boundaries: Sequence[int]) -> int:
    """Give half the mean length of a segment, at least 2: the window of Pk and WindowDiff."""
    return max(2, round(len(boundaries) / (2 * (sum(boundaries) or 1))))


def pk(gold: Sequence[int], made: Sequence[int]) -> float | None:
    """Give Pk (Beeferman et al. 1999 [M]): share of windows that disagree on whether a boundary lies inside.

    Both sequences hold 1 where a segment begins, else 0. 0 is perfect.
    """
    k = window_size(gold)
    windows = len(gold) - k + 1
    return ratio(sum((1 in gold[n : n + k]) != (1 in made[n : n + k]) for n in range(windows)), max(0, windows))


def window_diff(gold: Sequence[int], made: Sequence[int]) -> float | None:
    """Give WindowDiff (Pevzner & Hearst, Comput Ling 2002;28:19 [V]): windows whose boundary counts differ."""
    k = window_size(gold)
    windows = len(gold) - k + 1
    return ratio(sum(sum(gold[n : n + k]) != sum(made[n : n + k]) for n in range(windows)), max(0, windows))
