"""A surgeon's own list over the shipped ones: what it adds, what it leaves, that the checks read it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from otochron.lexicon import Lexicon, load
from otochron.lexicon.check import check, say
from otochron.model import Lang

EXAMPLE = Path(__file__).with_name("overlay-example.toml")
GUIDE = Path(__file__).parents[2] / "lexicons" / "README.md"


@pytest.fixture(scope="module")
def with_example() -> Lexicon:
    return load(str(EXAMPLE))


@pytest.mark.parametrize(
    ("lang", "text", "concept"),
    [
        ("en", "open a zibrulon three please", "stapes-piston"),
        ("fr", "ouvrez un zibrulon 3", "stapes-piston"),
        ("en", "the piston is in", "stapes-piston"),
        ("en", "two footplate levers", "footplate-lever"),
        ("fr", "le levier à platine", "footplate-lever"),
        ("en", "the footplate is thin", "stapes-footplate"),
    ],
)
def test_own_words_are_added_to_the_shipped_ones(with_example: Lexicon, lang: Lang, text: str, concept: str) -> None:
    assert concept in {c for hit in with_example.finder.find(say(text, lang)) for c in hit.concepts}


def test_the_shipped_lists_know_no_word_of_the_example() -> None:
    assert not any("stapes-piston" in hit.concepts for hit in load().finder.find(say("a zibrulon three", "en")))


def test_the_example_adds_no_problem(with_example: Lexicon) -> None:
    assert set(check(with_example)) <= set(check(load()))


def test_the_example_in_the_guide_adds_no_problem(tmp_path: Path) -> None:
    match = re.search(r"<!-- file: (\S+) -->\n```toml\n(.*?)```", GUIDE.read_text("utf-8"), re.S)
    assert match
    own = tmp_path / match[1]
    own.write_text(match[2], "utf-8")
    assert set(check(load(str(own)))) <= set(check(load()))
