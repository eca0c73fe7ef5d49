"""Count the class n-gram model of surgical narration: ``python tests/fit/fit_ngrams.py``.

The text is the training narrations, the statements by step and the example sentences of the word lists. Writes
``lexicons/weights/ngrams.txt.xz``.
"""

from __future__ import annotations

import itertools
import lzma
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from otochron.lexicon import SPOKEN_KINDS, Lexicon, load  # noqa: E402
from otochron.lexicon.forms import ARTICLES, token  # noqa: E402
from otochron.model import Lang, Line, Record  # noqa: E402
from otochron.stages.repair.context import class_tokens  # noqa: E402
from otochron.text.ngrams import COMPANY, WIDE, Ngrams, dump_ngrams  # noqa: E402
from otochron.text.stream import Word, with_languages, words  # noqa: E402
from script import Script, read_folder  # noqa: E402

SINGLE_TRIGRAMS = True
"""Whether three words in a row count that were said once."""


FEWEST_WIDE = 2
"""Two concepts that are near each other only once are not kept."""


def stream_of(said: Sequence[str], languages: Sequence[str]) -> tuple[Word, ...]:
    """Make a stream of words of known languages."""
    text = " ".join(said)
    stream = words(Record(lines=(Line(id="line-1", start_ms=0, end_ms=0, heard=text, text=text),)))
    owner: list[Lang] = []
    for word, lang in zip(said, languages, strict=True):
        owner += [lang] * (len(word) + 1)  # type: ignore[list-item]
    return with_languages(stream, [owner[w.start] for w in stream])


def script_streams(scripts: Iterable[Script]) -> list[tuple[Word, ...]]:
    """Give one stream per narration."""
    found = []
    for script in scripts:
        pairs = [pair for s in script.statements for pair in zip(s.words, s.languages, strict=True)]
        found.append(stream_of([w for w, _ in pairs], [lang for _, lang in pairs]))
    return found


def example_streams(lexicon: Lexicon) -> list[tuple[Word, ...]]:
    """Give one stream per example sentence of the word lists."""
    found = []
    for entry in lexicon.entries.values():
        for lang in ("en", "fr"):
            if entry.kind in SPOKEN_KINDS:
                texts = [text.split() for text in entry.tongue(lang).yes]  # type: ignore[arg-type]
                found += [stream_of(words, [lang] * len(words)) for words in texts]
    return found


def more_streams(lexicon: Lexicon) -> list[tuple[Word, ...]]:
    """Give the text of no one recording: statements by step, and the example sentences of the word lists."""
    return [*script_streams(read_folder(ROOT / "tests" / "tellings")), *example_streams(lexicon)]


def count(streams: Iterable[Sequence[Word]], lexicon: Lexicon, recordings: int = 0) -> Ngrams:
    """Count words in a row, concepts, and what goes with what; the first streams are recordings."""
    grams: Counter[str] = Counter()
    concepts: Counter[str] = Counter()
    pairs: Counter[str] = Counter()
    forms: Counter[str] = Counter()
    rows: Counter[str] = Counter()
    wide: Counter[str] = Counter()
    told: Counter[str] = Counter()
    half = COMPANY // 2
    for number, stream in enumerate(streams):
        hits = lexicon.finder.find(stream)
        concepts.update(concept for hit in hits for concept in hit.concepts)
        forms.update(f"{hit.concepts[0]} {' '.join(said_form(stream[hit.first : hit.last]))}" for hit in hits)
        if number < recordings:
            told.update(f"{number} {concept}" for concept in {hit.concepts[0] for hit in hits})
        tokens, names, _ = class_tokens(stream, hits, lexicon)
        places = [n for n, name in enumerate(names) if name.startswith("@")]
        for n in places:
            beside = names[max(2, n - half) : n] + names[n + 1 : n + 1 + half]
            pairs.update(f"{names[n][1:]} {other}" for other in set(beside))
            rows[f"{names[n - 1]} {names[n]}"] += 1
            if n + 1 < len(names) and not names[n + 1].startswith("@"):
                rows[f"{names[n]} {names[n + 1]}"] += 1
        for k, n in enumerate(places):
            for m in itertools.takewhile(lambda m, n=n: m - n <= WIDE // 2, places[k + 1 :]):  # type: ignore[misc]
                if names[n] != names[m]:
                    wide[" ".join(sorted((names[n][1:], names[m][1:])))] += 1
        for n in range(2, len(tokens)):
            for size in (1, 2, 3):
                grams[" ".join(tokens[n - size + 1 : n + 1])] += 1
    if not SINGLE_TRIGRAMS:
        grams = Counter({g: c for g, c in grams.items() if c > 1 or g.count(" ") < 2})
    wide = Counter({names: c for names, c in wide.items() if c >= FEWEST_WIDE})
    return Ngrams(*(dict(sorted(part.items())) for part in (grams, concepts, pairs, forms, rows, wide, told)))


def said_form(said: Sequence[Word]) -> tuple[str, ...]:
    """Give the tokens of a term as it was said, as a form in the lists has them."""
    found = [token(word.text) for word in said]
    return tuple(t for n, t in enumerate(found) if n == 0 or t not in ARTICLES)


def main() -> None:
    lexicon = load()
    scripts = read_folder(ROOT / "tests" / "narrations")
    model = count([*script_streams(scripts), *more_streams(lexicon)], lexicon, len(scripts))
    packed = lzma.compress(dump_ngrams(model).encode(), preset=9)
    (ROOT / "lexicons" / "weights" / "ngrams.txt.xz").write_bytes(packed)
    print(f"{len(model.counts)} n-grams, {len(model.concepts)} concepts, {len(packed)} bytes")


if __name__ == "__main__":
    main()
