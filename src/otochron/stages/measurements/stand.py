"""How a head stands to an amount: side, distance, what lies between, and what leads the one and the other."""

from __future__ import annotations

import math

from otochron.stages.measurements.amounts import LENGTHS, Amount
from otochron.stages.measurements.scene import Head, Scene

Parts = dict[str, float]

_FEW = 3
_NEAR_WORDS = 5
_WORDS_MS = 300


def stand(scene: Scene, amount: Amount, head: Head, group: str) -> Parts:
    """Tell how a head stands to an amount.

    Parameters
    ----------
    scene : Scene
        The recording.
    amount : Amount
        Anywhere.
    head : Head
        A mention or a phrase.
    group : str
        What it offers: ``own`` a row of its own, ``hint``, ``phrase``, ``thing`` without a row.

    Returns
    -------
    dict
        Named numbers between about -1 and 5; those of the group stand beside those that all share.
    """
    shared = _place(scene, amount, head)
    parts = {f"{group}: {name}": value for name, value in shared.items()}
    parts.update(shared)
    parts[f"group {group}"] = 1.0
    if head.concept:
        parts["spoken of"] = math.log1p(min(30, scene.count[head.concept]))
    return parts


def _place(scene: Scene, amount: Amount, head: Head) -> Parts:
    if head.first < amount.last and head.last > amount.first:
        return {"holds": 1.0}
    side = "before" if head.last <= amount.first else "after"
    first, last = (head.last, amount.first) if side == "before" else (amount.last, head.first)
    gap, crossed = last - first, scene.clauses_between(max(0, first - 1), last)
    here = "here" if not crossed else "next" if crossed == 1 else "far"
    parts: Parts = {
        f"{side} {here}": 1.0,
        f"{side} {here}, words": math.log1p(gap),
        f"{side}, clauses": math.log1p(crossed),
    }
    if not crossed and not gap:
        parts[f"{side}, beside"] = 1.0
    if gap <= _NEAR_WORDS and not crossed and all(n in scene.joins for n in range(first, last)):
        parts[f"{side}, joined"] = 1.0
    between = scene.things_between(first, last)
    parts[f"{side}, first"] = float(not between)
    parts[f"{side}, others"] = min(_FEW, between) / _FEW
    parts.update(_led(scene, amount, head, side, near=gap <= _FEW and not crossed))
    words = scene.words
    if words[head.first].language != words[amount.first].language:
        parts["other language"] = 1.0
    parts["silence"] = math.log1p(max(0, words[last].start_ms - words[max(0, first - 1)].end_ms) / 1000 / (1 + gap))
    return parts


def _led(scene: Scene, amount: Amount, head: Head, side: str, *, near: bool) -> Parts:
    """Tell the prepositions before the head, before the amount and after it."""
    parts: Parts = {}
    lead = scene.lead(head.first)
    if lead:
        parts[f"{side}, thing led by {lead}"] = 1.0
    parts[f"{side}, first of its clause"] = float(scene.opens(head))
    own = scene.lead(amount.first)
    after = scene.follow(amount.last)
    for name, word in (("led by", own), ("followed by", after)):
        if word:
            parts[f"{side}, size {name} {word}"] = 1.0
            if near:
                parts[f"{side} near, size {name} {word}"] = 1.0
    if amount.unit in LENGTHS:
        parts[f"{side}, length"] = 1.0
    return parts
