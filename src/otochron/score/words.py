"""Scores of language, repair and trade-word error rate: what is compared word by word."""

from __future__ import annotations

from dataclasses import dataclass, field

from otochron.model import Repair
from otochron.score.gold import Gold, GoldRepair
from otochron.score.measures import f1, ratio, word_errors
from otochron.score.places import HeardPlaces, Range, Terms, heard_tokens, overlap

Numbers = dict[str, float | int | None]


@dataclass
class Part:
    """One part of a score: counts that can be added up over recordings, and every miss with its line."""

    counts: dict[str, int] = field(default_factory=dict)
    misses: list[dict[str, object]] = field(default_factory=list)

    def miss(self, kind: str, time_s: float, line: str, **more: object) -> None:
        """Remember a miss so that a person can see why."""
        self.misses.append({"kind": kind, "time": round(time_s, 1), "line": line, **more})


def score_languages(gold: Gold, places: HeardPlaces) -> Part:
    """Language by word: share of gold's words whose language the record has right."""
    part = Part({"words": 0, "right": 0})
    for sentence in gold.sentences:
        whole = places.find(sentence.heard, sentence.start)
        runs = [(run.lang, run.heard) for run in sentence.runs] or [(sentence.lang, sentence.heard)]
        if whole is None:
            continue
        n = whole[0]
        for lang, heard in runs:
            for name in heard_tokens(heard):
                if lang in {"en", "fr"} and n < whole[1]:
                    part.counts["words"] += 1
                    if places.language_of(n) == lang:
                        part.counts["right"] += 1
                    else:
                        part.miss("language", places.starts[n] / 1000, places.heard[n].line, word=name, gold=lang)
                n += 1
    return part


def language_numbers(counts: dict[str, int]) -> Numbers:
    """Accuracy by word."""
    return {
        "words": counts.get("words", 0),
        "accuracy": ratio(counts.get("right", 0), counts.get("words", 0)),
    }


def score_repairs(gold: Gold, places: HeardPlaces, terms: Terms) -> Part:
    """Precision, recall and harm of repairs; trade-word error rate before and after.

    A repair is right if it overlaps a gold error and its text says the words that were meant (``exact``),
    or its concept is the one that was meant in other words (``concept``; a plural, the other language's form).
    Harm: words changed that were heard right, and traps changed.
    """
    part = Part(dict.fromkeys(("gold", "applied", "right", "right_exact", "suggested", "right_suggested"), 0))
    part.counts |= dict.fromkeys(
        ("found", "found_suggested", "harmed_words", "right_words", "traps", "traps_changed"), 0
    )
    errors = [(item, place) for item in gold.repairs if (place := places.find(item.heard, item.time))]
    part.counts["gold"] = len(gold.repairs)
    wrong_words = {n for _, (a, b) in errors for n in range(a, b)}
    part.counts["right_words"] = len(places.heard) - len(wrong_words)
    groups = _groups(places)
    found: dict[int, str] = {}
    for group, place in groups:
        touched = [(n, item) for n, (item, where) in enumerate(errors) if overlap(place, where)]
        said = heard_tokens(group[0].text)
        exact = [n for n, item in touched if _says(said, heard_tokens(item.meant))]
        right = exact or [n for n, item in touched if item.term and terms.same(item.term, group[0].concept)]
        _count(part, group[0], bool(right), bool(exact))
        for n in right:
            if group[0].decision == "applied" or n not in found:
                found[n] = group[0].decision
        if group[0].decision == "applied":
            harmed = [n for n in range(*place) if n not in wrong_words]
            # A neighbour that the repair says again is not changed.
            harmed = [n for n in harmed if places.tokens[n] not in said]
            part.counts["harmed_words"] += 0 if right else len(harmed)
            if not right:
                meant = "; ".join(item.meant for _, item in touched) or None
                part.miss(
                    "wrong repair",
                    (group[0].heard_start and places.starts[place[0]] / 1000) or 0.0,
                    group[0].line,
                    heard=group[0].heard,
                    text=group[0].text,
                    meant=meant,
                    score=group[0].score,
                )
    for n, (item, place) in enumerate(errors):
        part.counts["found"] += found.get(n) == "applied"
        part.counts["found_suggested"] += found.get(n) in {"applied", "suggested"}
        if found.get(n) != "applied":
            how = found.get(n, "not repaired")
            part.miss(how, item.time, places.heard[place[0]].line, heard=item.heard, meant=item.meant)
    for trap in gold.traps:
        where = places.find(trap.text, trap.time)
        part.counts["traps"] += 1
        if where and any(g[0].decision == "applied" and overlap(p, where) for g, p in groups):
            part.counts["traps_changed"] += 1
            part.miss("trap changed", trap.time, places.heard[where[0]].line, trap=trap.text)
    _trade_words(gold, places, errors, part)
    return part


def _groups(places: HeardPlaces) -> list[tuple[list[Repair], Range]]:
    """Join repairs that continue over a line end."""
    groups: list[tuple[list[Repair], Range]] = []
    index: dict[str, int] = {}
    for repair in places.record.repairs:
        if repair.decision == "kept":
            continue
        place = places.of_repair(repair)
        if repair.continues in index:
            old, where = groups[index[repair.continues]]
            groups[index[repair.continues]] = (
                [*old, repair],
                (min(where[0], place[0]), max(where[1], place[1])),
            )
        else:
            index[repair.id] = len(groups)
            groups.append(([repair], place))
    return groups


def _count(part: Part, repair: Repair, right: bool, exact: bool) -> None:
    if repair.decision == "applied":
        part.counts["applied"] += 1
        part.counts["right"] += right
        part.counts["right_exact"] += exact
    part.counts["suggested"] += 1
    part.counts["right_suggested"] += right


def _says(said: list[str], meant: list[str]) -> bool:
    """Tell whether ``said`` holds ``meant`` in a row, or the reverse with function words around it."""
    short, long = (said, meant) if len(said) <= len(meant) else (meant, said)
    found = any(long[n : n + len(short)] == short for n in range(len(long) - len(short) + 1))
    return found and (short == meant or all(len(word) <= 3 for word in long if word not in short))


def _trade_words(gold: Gold, places: HeardPlaces, errors: list[tuple[GoldRepair, Range]], part: Part) -> None:
    part.counts |= dict.fromkeys(("trade_words", "trade_errors_before", "trade_errors_after"), 0)
    by_start = {place[0]: item for item, place in errors}
    for mention in gold.mentions:
        place = places.find(mention.heard, mention.time)
        if place is None:
            continue
        error = by_start.get(place[0])
        reference = heard_tokens(error.meant if error else mention.surface or mention.heard)
        part.counts["trade_words"] += len(reference)
        part.counts["trade_errors_before"] += word_errors(reference, places.tokens[place[0] : place[1]])
        part.counts["trade_errors_after"] += word_errors(reference, places.text_of(place))


def repair_numbers(counts: dict[str, int]) -> Numbers:
    """Precision and recall applied, recall with suggestions, harm, trade-word error rates."""
    get = counts.get
    return {
        "errors": get("gold", 0),
        "applied": get("applied", 0),
        "precision": ratio(get("right", 0), get("applied", 0)),
        "precision_exact": ratio(get("right_exact", 0), get("applied", 0)),
        "recall": ratio(get("found", 0), get("gold", 0)),
        "recall_with_suggestions": ratio(get("found_suggested", 0), get("gold", 0)),
        "f1": f1(get("right", 0), get("applied", 0), get("gold", 0))["f1"],
        "traps_changed": get("traps_changed", 0),
        "right_words_changed": get("harmed_words", 0),
        "right_words_changed_per_10000": ratio(10_000 * get("harmed_words", 0), get("right_words", 0)),
        "trade_word_error_rate_before": ratio(get("trade_errors_before", 0), get("trade_words", 0)),
        "trade_word_error_rate_after": ratio(get("trade_errors_after", 0), get("trade_words", 0)),
    }
