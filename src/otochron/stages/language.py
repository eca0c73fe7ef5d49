"""Find the language of each word. Words: every lexicon, ``cues/openers.toml``, ``cues/fillers.toml``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby, pairwise
from typing import Any

from otochron.lexicon import Hit, Lexicon
from otochron.lexicon.weights import load_weights
from otochron.model import Lang, LanguageSpan, Record
from otochron.model.record import Languages
from otochron.text.languages import Known, decode_adapted, score, settle_fillers, switch_marks, word_marks
from otochron.text.stream import Word, keep_words, with_languages, words

_LANGUAGES: tuple[Lang, ...] = ("en", "fr")


def find_languages(record: Record, lexicon: Lexicon) -> Record:
    """Give every word its language.

    Parameters
    ----------
    record : Record
        Needs ``lines``. What the input itself says of languages (``given``) wins.
    lexicon : Lexicon
        Trade words of either language, openers and fillers.

    Returns
    -------
    Record
        With ``languages`` and the ``languages`` of each line: spans that touch and cover the line's words.
    """
    stream = words(record)
    if not stream:
        return record.evolve(languages=Languages())
    found = word_languages(stream, lexicon, load_weights("language"), _given(record, stream))
    spans = _spans(stream, found)
    lines = tuple(line.evolve(languages=spans.get(line.id, ())) for line in record.lines)
    done = record.evolve(lines=lines, languages=mixing(found))
    keep_words(done, with_languages(stream, found))
    return done


def word_languages(
    stream: Sequence[Word], lexicon: Lexicon, weights: Mapping[str, Any], given: Sequence[Lang | None]
) -> list[Lang]:
    """Decode the languages of a stream."""
    known = known_words(stream, lexicon)
    alone, change = weights["word"], weights["switch"]
    french = [weights["french"] + score(word_marks(stream, n, k), alone) for n, k in enumerate(known)]
    to_en, to_fr = [0.0], [0.0]
    for n in range(1, len(stream)):
        for scores, opens in ((to_en, known[n].opener_en), (to_fr, known[n].opener_fr)):
            if scores is to_fr and opens == known[n].opener_en:
                scores.append(to_en[n])
                continue
            marks = switch_marks(stream[n - 1], stream[n], known[n - 1], opens=opens)
            scores.append(sum([change[name] for name in marks if name in change]))
    found = decode_adapted(french, to_en, to_fr, given, change.get("switch rate", 0.0))
    return settle_fillers(found, [k.filler for k in known], given)


def known_words(stream: Sequence[Word], lexicon: Lexicon) -> list[Known]:
    """Give what the word lists say of each word, before its language is known."""
    length: dict[Lang, list[int]] = {}
    opens: dict[Lang, set[int]] = {}
    fills: set[int] = set()
    for lang in _LANGUAGES:
        length[lang] = [0] * len(stream)
        for hit in _of(lang, lexicon.finder.find(stream, lang)):
            for n in range(hit.first, hit.last):
                length[lang][n] = hit.last - hit.first
        opens[lang] = {hit.first for hit in _of(lang, lexicon.cue_finder("opener").find(stream, lang))}
        fills |= {n for hit in lexicon.cue_finder("filler").find(stream, lang) for n in range(hit.first, hit.last)}
    return [
        Known(length["en"][n], length["fr"][n], n in opens["en"], n in opens["fr"], n in fills)
        for n in range(len(stream))
    ]


def _of(lang: Lang, hits: Sequence[Hit]) -> list[Hit]:
    return [hit for hit in hits if hit.language == lang]


def _given(record: Record, stream: Sequence[Word]) -> list[Lang | None]:
    """Languages that the input says, moved from ``heard`` to ``text`` through the applied repairs."""
    said = {line.id: line.given for line in record.lines if line.given}
    if not said:
        return [None] * len(stream)
    shifts: dict[str, list[tuple[int, int]]] = {}
    for repair in sorted(record.repairs, key=lambda r: r.text_start):
        if repair.decision == "applied" and repair.line in said:
            shifts.setdefault(repair.line, []).append((repair.text_end, repair.heard_end - repair.text_end))
    return [_said(said.get(word.line, ()), _heard_place(word, shifts.get(word.line, ()))) for word in stream]


def _heard_place(word: Word, shifts: Sequence[tuple[int, int]]) -> int:
    shift = 0
    for end, by in shifts:
        if word.start < end:
            break
        shift = by
    return word.start + shift


def _said(spans: Sequence[LanguageSpan], place: int) -> Lang | None:
    return next((span.language for span in spans if span.start <= place < span.end), None)


def _spans(stream: Sequence[Word], found: Sequence[Lang]) -> dict[str, tuple[LanguageSpan, ...]]:
    """Join runs of one language inside a line; a run reaches to the next, so that no letter stands between."""
    spans: dict[str, tuple[LanguageSpan, ...]] = {}
    for line, in_line in groupby(zip(stream, found, strict=True), key=lambda pair: pair[0].line):
        runs = [(lang, list(run)) for lang, run in groupby(in_line, key=lambda pair: pair[1])]
        starts = [run[0][0].start for _, run in runs]
        ends = [*starts[1:], runs[-1][1][-1][0].end]
        spans[line] = tuple(
            LanguageSpan(start=start, end=end, language=lang)
            for (lang, _), start, end in zip(runs, starts, ends, strict=True)
        )
    return spans


def mixing(found: Sequence[Lang]) -> Languages:
    """Give shares, switches and the Code-Mixing Index: 100 · (1 - largest share), as Das & Gambäck (2014).

    >>> mixing(["en", "en", "en", "fr"])
    Languages(en=0.75, fr=0.25, switches=1, code_mixing_index=25.0)
    """
    total = len(found)
    if not total:
        return Languages()
    en = sum(lang == "en" for lang in found)
    return Languages(
        en=round(en / total, 4),
        fr=round((total - en) / total, 4),
        switches=sum(a != b for a, b in pairwise(found)),
        code_mixing_index=round(100 * (1 - max(en, total - en) / total), 4),
    )
