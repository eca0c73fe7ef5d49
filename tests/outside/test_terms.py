"""The names of the ear in published tables, against the word lists.

The table has names of all ear and of its neighbours. Chosen are the rows of what an ear surgeon works on:
all of the middle-ear chapter of Terminologia Anatomica 1998 (A15.3.02), and from everywhere else the rows
whose names speak of the middle ear, mastoid, ear canal, drum or Eustachian tube. Left out by their own
words: embryos and other animals, nodes, joins of nerves, sutures of the skull, the inner ear (A15.3.03),
and names that an ontology's rules built ("anatomical cavity of middle ear nerve"). A name is found when one
mention covers all of its words.
"""

from __future__ import annotations

import csv
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import pytest

from otochron.lexicon import Lexicon, load
from otochron.lexicon.check import say
from otochron.lexicon.forms import ARTICLES, token
from otochron.model import Lang

MIDDLE_EAR = "TA98:A15.3.02."
INNER_EAR = "TA98:A15.3.03."
TOPIC = re.compile(
    r"middle ear|tympan|ossic|malleus|incus|stape[ds]|footplate|mastoid|acoustic meatus"
    r"|ear canal|auditory canal"
    r"|auditory tube|eustachian|drum\b|oreille moyenne|caisse|étrier|enclume|marteau|méat acoustique"
    r"|membrana tympani"
)
ELSEWHERE = re.compile(
    r"mesenchyme|pre-muscle|entot|endotympan|plectri|pterygoid|papilla\b|tympanic fold|embryo"
    r"|columell|interstapedial"
    r"|mediostapedial|mesostapedial|otostapes|bulla|quadrate|hub\b|pillar|crista parotica|crista prootica"
    r"|anatomical cavity|cavity of middle ear nerve|component|temporary"
    r"|capsulae auditivae|processus squamosus"
    r"|scala|rampe|communicating|communicans|paramastoid|nodes?\b|gland|suture|fontanelle"
    r"|organ\b|unspecified|elsewhere|disorders|other\b|of pinna|border|angle"
)
SHORT = {
    "lig.": "ligamentum", "ligg.": "ligamenta", "m.": "musculus", "mm.": "musculi", "a.": "arteria",
    "aa.": "arteriae", "v.": "vena", "vv.": "venae", "n.": "nervus", "nn.": "nervi", "r.": "ramus",
    "rr.": "rami",
}  # fmt: skip
LANGUAGES: dict[str, Lang] = {"english": "en", "french": "fr", "latin": "en"}
SMALL = ARTICLES | {"of", "de"}


def names(cell: str) -> list[str]:
    """Split a cell into its names; brackets go, Latin short words are written out."""
    found = []
    for name in cell.split(" | "):
        bare = re.sub(r"\s*[(\[][^)\]]*[)\]]?\s*", " ", name) if not name.startswith("(") else name.strip("()")
        found.append(" ".join(SHORT.get(word.casefold(), word) for word in bare.replace(",", " ").split()))
    return [name for name in found if name]


def chosen(table: Path) -> Iterator[tuple[str, str, str, str]]:
    """Yield source, column, name, id of every chosen name."""
    with table.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE):
            label = (names(row["english"]) or names(row["french"]) or [""])[0].casefold()
            source = row["id"].split(":")[0]
            middle = row["id"].startswith(MIDDLE_EAR)
            if row["id"].startswith(INNER_EAR):
                continue
            if not middle and (source in {"HP", "ICD10", "CCAM"} or not TOPIC.search(label) or ELSEWHERE.search(label)):
                continue
            for column in LANGUAGES:
                for name in names(row[column]):
                    if middle or not ELSEWHERE.search(name.casefold()):
                        yield ("TA98 middle ear" if middle else source), column, name, row["id"]


def is_found(lexicon: Lexicon, name: str, lang: Lang) -> bool:
    """Tell whether one mention covers the whole name, but for articles."""
    words = say(name, lang)
    bare = [n for n, word in enumerate(words) if token(word.text) not in SMALL]
    return any(bare and hit.first <= bare[0] and bare[-1] < hit.last for hit in lexicon.finder.find(words))


@pytest.fixture(scope="module")
def coverage(outside: Path) -> dict[tuple[str, str], list[tuple[str, str, bool]]]:
    lexicon = load()
    found = defaultdict(list)
    for source, column, name, row in chosen(outside / "terms" / "ear_terms.tsv"):
        found[source, column].append((row, name, is_found(lexicon, name, LANGUAGES[column])))
    print()
    for (source, column), rows in sorted(found.items()):
        print(f"{source}, {column}: {sum(ok for *_, ok in rows)} of {len(rows)} names")
        print("".join(f"    {row} {name}\n" for row, name, ok in rows if not ok), end="")
    return found


@pytest.mark.parametrize(
    ("source", "column", "least"),
    [
        ("TA98 middle ear", "english", 0.95),
        ("TA98 middle ear", "latin", 0.95),
        ("UBERON", "english", 0.95),
        ("UBERON", "latin", 0.95),
        ("TA98", "english", 0.95),
        ("TA98", "latin", 0.9),
        ("OPENEAR-LABEL", "english", 0.8),
        ("OPENEAR-LABEL", "french", 0.8),
    ],
)
def test_published_names_are_found(coverage, source: str, column: str, least: float) -> None:
    rows = coverage[source, column]
    assert rows, f"no names of {source}, {column}: was the table changed?"
    assert sum(ok for *_, ok in rows) / len(rows) >= least
