"""Recordings with known errors, for fitting and for measuring repair.

Three sources: narrations corrupted by a maker, real recogniser output beside its truth, and the samples' gold.
"""

from __future__ import annotations

import json
import random
import re
import zlib
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from rapidfuzz.distance import Levenshtein

from otochron.lexicon import Hit, Lexicon
from otochron.model import Line, Record, WordTime
from otochron.stages.clauses import find_clauses
from otochron.stages.language import find_languages
from otochron.stages.repair.blocks import same_word
from otochron.stages.repair.targets import bare
from otochron.text.normal import key
from otochron.text.number_words import is_number
from otochron.text.stream import Word, heard_words, split_words, with_languages
from script import Script

Maker = Callable[[Sequence[str], str, str, random.Random], list[str]]
LEFT_OUT = frozenset({"side", "action"})
TERM_SHARE, EVERYDAY_SHARE, NEIGHBOUR_SHARE = 0.2, 0.015, 0.12


@dataclass(frozen=True)
class Error:
    """Heard words ``first`` to ``last`` (half-open) where a term was meant."""

    first: int
    last: int
    meant: tuple[str, ...]
    concepts: tuple[str, ...]
    language: str
    kind: str = ""


@dataclass(frozen=True)
class Difference:
    """Heard words ``first`` to ``last`` and what was said there: ``said[start:end]``, with its neighbours."""

    first: int
    last: int
    said: tuple[str, ...]
    start: int
    end: int


@dataclass
class Case:
    """One recording and its errors."""

    name: str
    source: str
    record: Record
    errors: list[Error]
    weight: float = 1.0
    group: str = ""
    traps: list[tuple[int, int]] = field(default_factory=list)
    differences: list[Difference] = field(default_factory=list)

    @cached_property
    def heard(self) -> list[str]:
        """Give the words as heard."""
        return [word.key for word in heard_words(self.record)]

    def right(self, first: int, last: int, text: str, concepts: Iterable[str]) -> tuple[bool, list[int]]:
        """Tell whether a repair of words is right, and which errors it mends.

        It is right if the words that it writes were spoken there. It mends an error if then the whole term is
        said, or its concept.
        """
        said = tokens_of(text)
        touched = [n for n, e in enumerate(self.errors) if e.first < last and first < e.last]
        mended = []
        for n in touched:
            e = self.errors[n]
            now = [*self.heard[min(first, e.first) : first], *said, *self.heard[last : max(last, e.last)]]
            if says(now, e.meant) or says(said, e.meant) or set(concepts) & set(e.concepts):
                mended.append(n)
        if mended:
            return True, mended
        for d in self.differences:
            if d.first < last and first < d.last:
                for n in range(len(d.said) - len(said) + 1):
                    if d.said[n : n + len(said)] == tuple(said) and n < d.end and d.start < n + len(said):
                        return True, []
        return False, []


def make_record(lines: Sequence[str], lexicon: Lexicon, words: Sequence[Sequence[WordTime]] = ()) -> Record:
    """Make a record of lines, with languages and clauses."""
    record = Record(
        lines=tuple(
            Line(
                id=f"line-{n + 1}",
                start_ms=4000 * n,
                end_ms=4000 * n + 3900,
                heard=text,
                text=text,
                words=tuple(words[n]) if words else (),
            )
            for n, text in enumerate(lines)
        )
    )
    return find_clauses(find_languages(record, lexicon), lexicon)


def tokens_of(text: str) -> list[str]:
    """Give the keys of the words of a text."""
    return [key(text[a:b]) for a, b in split_words(text)]


def says(said: Sequence[str], meant: Sequence[str]) -> bool:
    """Tell whether words hold the words meant in a row, or the reverse, with short words around them."""
    short, long = (list(said), list(meant)) if len(said) <= len(meant) else (list(meant), list(said))
    held = any(long[n : n + len(short)] == short for n in range(len(long) - len(short) + 1))
    return held and (short == long or all(len(word) <= 3 for word in long if word not in short))


# --- narrations


def corrupted(script: Script, lexicon: Lexicon, make: Maker, kinds: Sequence[str], rng: random.Random) -> Case:
    """Corrupt a share of the terms of a narration, and a few everyday words."""
    from fit_ngrams import script_streams

    stream = script_streams([script])[0]
    hits = {h.first: h for h in lexicon.finder.find(stream) if lexicon[h.concepts[0]].kind not in LEFT_OUT}
    out: list[str] = []
    errors: list[Error] = []
    differences: list[Difference] = []
    count = n = 0
    while n < len(stream):
        hit = hits.get(n)
        last = hit.last if hit else n + 1
        piece = _spoken(stream[n:last])
        if hit and rng.random() < TERM_SHARE:
            language = stream[n].language
            said = piece
            grown = 0
            if n and rng.random() < NEIGHBOUR_SHARE and stream[n - 1].text[-1] != "'" and len(stream[n - 1].key) <= 4:
                said = [stream[n - 1].text, *piece]
                grown = 1
            kind = rng.choice(list(kinds))
            heard = make(said, language, kind, rng)
            if grown:
                out.pop()
                count -= 1
            size = len(tokens_of(" ".join(heard)))
            meant = tuple(w.key for w in stream[n:last])
            errors.append(Error(count, count + size, meant, hit.concepts, language, kind))
            differences.append(_spoken_there(stream, n - grown, last, count, count + size))
            out += heard
            count += size
        else:
            if not hit and len(piece[0]) > 3 and rng.random() < EVERYDAY_SHARE:
                piece = make(piece, stream[n].language, rng.choice(list(kinds)), rng)
                size = len(tokens_of(" ".join(piece)))
                differences.append(_spoken_there(stream, n, last, count, count + size))
            out += piece
            count += len(tokens_of(" ".join(piece)))
        n = last
    record = make_record(_cut(out, rng), lexicon)
    known = [(h.first, h.last, set(h.concepts)) for h in lexicon.finder.find(heard_words(record))]
    errors = [
        e
        for e in errors  # joined or plain enough to be found as it stands
        if not any(a <= e.first and e.last <= b and held & set(e.concepts) for a, b, held in known)
    ]
    name = script.path.stem
    return Case(name, "narration", record, errors, group=name, differences=differences)


def _spoken_there(stream: Sequence[Word], n: int, last: int, first: int, end: int) -> Difference:
    start = max(0, n - 4)
    return Difference(first, end, tuple(w.key for w in stream[start : last + 4]), n - start, last - start)


def _spoken(said: Sequence[Word]) -> list[str]:
    """Give words as they are written: an elided one with the word that it leans on."""
    found: list[str] = []
    lean = False
    for word in said:
        if lean:
            found[-1] += word.text
        else:
            found.append(word.text)
        lean = word.text[-1] == "'"
    return found


def _cut(said: Sequence[str], rng: random.Random) -> list[str]:
    lines, n = [], 0
    while n < len(said):
        size = rng.randint(5, 18)
        lines.append(" ".join(said[n : n + size]))
        n += size
    return lines


# --- real recognisers


def real_cases(
    folder: Path, lexicon: Lexicon, names: Sequence[str], wanted: Callable[[dict[str, Any]], bool] = lambda _: True
) -> list[Case]:
    """Read the recogniser's rows that are wanted, one case per voice and recogniser."""
    groups: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for name in names:
        for text in (folder / "recogniser" / name).read_text("utf-8").splitlines():
            row = json.loads(text)
            if not wanted(row):
                continue
            groups[f"{name}|{row['recogniser']}|{row['voice']}|{row.get('kind', '')}"].append(row)
    return [_real_case(name, rows, lexicon) for name, rows in sorted(groups.items())]


def even(row: dict[str, Any]) -> bool:
    """Tell whether a row's id is even."""
    return int(re.sub(r"\D", "", str(row["id"])) or 0) % 2 == 0


def odd(row: dict[str, Any]) -> bool:
    """Tell whether a row's id is odd."""
    return not even(row)


def note_rows(folder: Path) -> list[str]:
    """Give the notes of other specialties."""
    rows = (folder / "notes" / "other_notes.jsonl").read_text("utf-8").splitlines()
    return [json.loads(row)["text"] for row in rows]


def note_cases(folder: Path, lexicon: Lexicon, pattern: str) -> list[Case]:
    """Read notes read aloud, one case each."""
    found = []
    for path in sorted((folder / "recogniser").glob(pattern)):
        data = json.loads(path.read_text("utf-8"))
        rows = [
            {"truth": s["truth"], "heard": s["text"], "words": s["words"], "language": data["language"]}
            for s in data["segments"]
        ]
        found.append(_real_case(path.stem, rows, lexicon))
    return found


def _real_case(name: str, rows: Sequence[dict[str, Any]], lexicon: Lexicon) -> Case:
    lines = [_ended(row["heard"].strip()) for row in rows]
    times = [_word_times(line, row.get("words", ())) for line, row in zip(lines, rows, strict=True)]
    record = make_record(lines, lexicon, times)
    stream = heard_words(record)
    by_line: dict[str, list[Word]] = defaultdict(list)
    for word in stream:
        by_line[word.line].append(word)
    errors: list[Error] = []
    differences: list[Difference] = []
    for n, row in enumerate(rows):
        found, differing = _aligned(row, by_line[f"line-{n + 1}"], lexicon)
        errors += found
        differences += differing
    return Case(name, "real", record, errors, group=name, differences=differences)


def _ended(text: str) -> str:
    return text if text[-1:] in ".?!" else text + "."


def _word_times(line: str, given: Sequence[dict[str, Any]]) -> list[WordTime]:
    found, place = [], 0
    for word in given:
        at = line.find(word["word"].strip(), place)
        if at < 0:
            continue
        place = at + len(word["word"].strip())
        p = word.get("p")
        found.append(WordTime(start=at, end=place, start_ms=0, end_ms=0, p=p))
    return found


def truth_stream(truth: str, language: str) -> tuple[Word, ...]:
    """Make a stream of a true sentence; ``[en]`` and ``[fr]`` switch."""
    said: list[str] = []
    languages: list[str] = []
    now = language if language in {"en", "fr"} else "en"
    for part in re.split(r"\s+", truth.lower().replace("’", "'")):
        if part in {"[en]", "[fr]"}:
            now = part[1:3]
        elif split_words(part):
            said.append(part)
            languages.append(now)
    text = " ".join(said)
    record = Record(lines=(Line(id="line-1", start_ms=0, end_ms=0, heard=text, text=text),))
    owner = [lang for word, lang in zip(said, languages, strict=True) for _ in range(len(word) + 1)]
    stream = heard_words(record)
    return with_languages(stream, [owner[w.start] for w in stream])  # type: ignore[misc]


def _aligned(row: dict[str, Any], heard: Sequence[Word], lexicon: Lexicon) -> tuple[list[Error], list[Difference]]:
    truth = truth_stream(row["truth"], row.get("language", _guess(row)))
    a, b = [w.key for w in truth], [w.key for w in heard]
    blocks = _blocks(a, b)
    errors: list[Error] = []
    for hit in lexicon.finder.find(truth):
        if lexicon[hit.concepts[0]].kind in LEFT_OUT:
            continue
        place = _heard_place(hit, a, b, blocks)
        if place is None:
            continue
        said, meant = b[place[0] : place[1]], a[hit.first : hit.last]
        same = len(said) == len(meant) and all(same_word(x, y, lexicon) for x, y in zip(said, meant, strict=True))
        spoken = truth[hit.first : hit.last]
        # A number in digits for one in words is no error.
        if same or not [w for w in spoken if w.key not in said and len(w.key) > 2 and not is_number(w)]:
            continue
        inside = {c for h in lexicon.finder.find(heard[place[0] : place[1]]) for c in h.concepts}
        if bare("".join(said)) == bare("".join(meant)) and inside & set(hit.concepts):
            continue
        first, last = heard[place[0]].i, heard[place[1] - 1].i + 1
        errors.append(Error(first, last, tuple(meant), hit.concepts, truth[hit.first].language))
    differences = [
        Difference(heard[p].i, heard[q - 1].i + 1, tuple(a[max(0, i - 4) : j + 4]), min(4, i), min(4, i) + j - i)
        for i, j, p, q in blocks
        if p < q
    ]
    return errors, differences


def _guess(row: dict[str, Any]) -> str:
    return "fr" if str(row.get("voice", "")).startswith("fr") else "en"


def _blocks(a: Sequence[str], b: Sequence[str]) -> list[tuple[int, int, int, int]]:
    """Join neighbouring differences."""
    found: list[tuple[int, int, int, int]] = []
    for op in Levenshtein.opcodes(a, b):
        if op.tag == "equal":
            continue
        if found and found[-1][1] == op.src_start and found[-1][3] == op.dest_start:
            found[-1] = (found[-1][0], op.src_end, found[-1][2], op.dest_end)
        else:
            found.append((op.src_start, op.src_end, op.dest_start, op.dest_end))
    return found


def _heard_place(
    hit: Hit, a: Sequence[str], b: Sequence[str], blocks: Sequence[tuple[int, int, int, int]]
) -> tuple[int, int] | None:
    """Give the heard words where a true term stands, or None if it was heard right or not at all."""
    touched = [blk for blk in blocks if blk[0] < hit.last and hit.first < blk[1]]
    if not touched:
        return None
    shift_first = sum((blk[3] - blk[2]) - (blk[1] - blk[0]) for blk in blocks if blk[1] <= hit.first)
    shift_last = sum((blk[3] - blk[2]) - (blk[1] - blk[0]) for blk in blocks if blk[1] <= hit.last)
    first = touched[0][2] if touched[0][0] <= hit.first else hit.first + shift_first
    last = touched[-1][3] if touched[-1][1] >= hit.last else hit.last + shift_last
    return (first, last) if first < last <= len(b) else None


# --- samples


def sample_case(folder: Path, lexicon: Lexicon) -> Case | None:
    """Read a sample with its gold; None for one that is only reported."""
    from otochron.readers import read_bytes
    from otochron.score import read_gold
    from otochron.score.places import HeardPlaces, Terms

    gold = read_gold((folder / "gold.json").read_text("utf-8"), folder.name)
    path = next(folder.glob("transcript.*"))
    record = find_clauses(find_languages(read_bytes(path.read_bytes(), path.name), lexicon), lexicon)
    places, terms = HeardPlaces(record), Terms(lexicon)
    errors = []
    for item in gold.repairs:
        place = places.find(item.heard, item.time)
        if place:
            concepts = tuple(c for c in lexicon.entries if item.term and terms.same(item.term, c))
            errors.append(Error(*place, tuple(tokens_of(item.meant)), concepts, item.lang))
    traps = [p for t in gold.traps if (p := places.find(t.text, t.time))]
    source = "report" if gold.report else "sample"
    return Case(folder.name, source, record, errors, group=folder.name, traps=traps)


def seed(*parts: object) -> int:
    """Give a number that depends on nothing but the parts."""
    return zlib.crc32("|".join(map(str, parts)).encode())
