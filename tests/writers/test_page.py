"""The page as text: nothing is lost, nothing gets out, nothing gets in."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from otochron.errors import WriteError
from otochron.lexicon import load
from otochron.model import Bilingual, Check, Record, Repair
from otochron.pipeline import run
from otochron.readers import read_bytes
from otochron.text.stream import split_words, words
from otochron.writers.page import write_page
from otochron.writers.page.scene import Scene
from otochron.writers.page.words import Words
from writers.made import MADE, at

LEXICON = load()
SAMPLE = Path(__file__).parents[2] / "samples" / "stapedotomy-right" / "transcript.md"
NASTY = "</script><script>alert(1)</script> <!-- \" ' & <img src=x onerror=alert(2)> \u2028"
VOID = {"meta", "input", "br", "img", "hr", "link"}


class Page(HTMLParser):
    """Reads a page: its elements, its policy, and what is spoken with the language of each word."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.stack: list[tuple[str, dict[str, str | None]]] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.raw: dict[str, list[str]] = {"style": [], "script": []}
        self.units: list[str] = []
        self.tongues: list[list[str]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.stack.append((tag, dict(attrs)))
        if tag in self.raw:
            self.raw[tag].append("")
        if self._in("u") and "u" in (dict(attrs).get("class") or "").split():
            self.units.append("")
            self.tongues.append([])

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.stack, tag
        assert self.stack[-1][0] == tag, (self.stack[-1], tag, self.getpos())
        self.stack.pop()

    def handle_data(self, data: str) -> None:
        if self.stack and self.stack[-1][0] in self.raw:
            self.raw[self.stack[-1][0]][-1] += data
        elif self._in("u"):
            self.units[-1] += data
            lang = next(a["lang"] for _, a in reversed(self.stack) if a.get("lang"))
            self.tongues[-1] += [str(lang)] * len(data)

    def _in(self, name: str) -> bool:
        return any(name in (attrs.get("class") or "").split() for _, attrs in self.stack)

    def policy(self) -> str:
        found = [a["content"] for t, a in self.elements if a.get("http-equiv") == "Content-Security-Policy"]
        return str(found[0])

    def with_class(self, name: str) -> list[dict[str, str | None]]:
        return [a for _, a in self.elements if name in (a.get("class") or "").split()]


@pytest.fixture(scope="module")
def sample() -> Record:
    return run(read_bytes(SAMPLE.read_bytes(), SAMPLE.name), LEXICON)


@pytest.fixture(scope="module")
def page(sample: Record) -> Page:
    return Page(write_page(sample, LEXICON))


def test_every_word_stands_in_the_transcript_once_and_in_order(sample: Record, page: Page) -> None:
    shown = [text[a:b] for text in page.units for a, b in split_words(text)]
    assert shown == [word.text for word in words(sample)]


def test_every_word_carries_its_language(sample: Record, page: Page) -> None:
    shown = [
        (unit[a:b], tongues[a])
        for unit, tongues in zip(page.units, page.tongues, strict=True)
        for a, b in split_words(unit)
    ]
    assert shown == [(word.text, word.language) for word in words(sample)]


def test_the_policy_lets_in_this_style_and_this_script_alone(page: Page) -> None:
    style, (data, script) = page.raw["style"][0], page.raw["script"]
    for name, text in (("style-src", style), ("script-src", script)):
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
        assert f"{name} 'sha256-{digest}';" in page.policy()
    assert page.policy().startswith("default-src 'none';")
    assert "unsafe" not in page.policy()
    assert json.loads(data)["length"] > 0


def test_the_page_asks_for_nothing_outside(page: Page) -> None:
    for _, attrs in page.elements:
        assert not {"src", "srcset", "action", "background", "style"} & attrs.keys(), attrs
        assert not any(name.startswith("on") for name in attrs), attrs
        assert (attrs.get("href") or "#").startswith("#"), attrs
    style = page.raw["style"][0]
    assert "@import" not in style
    assert set(re.findall(r"url\(([^)]*)\)", style)) <= {"#hatch"}
    names = set(re.findall(r"https?://[^\"'\s]+", page.raw["script"][1]))
    assert names == {"http://www.w3.org/2000/svg"}, "a name of a language of shapes, which nobody fetches"


def test_what_was_said_never_becomes_markup() -> None:
    first = MADE.lines[0]
    line = first.evolve(text=NASTY, heard=NASTY, voice=NASTY, languages=())
    check = Check(code="x", level="stop", message=Bilingual(en=NASTY, fr=NASTY))
    repair = Repair(
        id="repair-1", line=first.id, heard_start=0, heard_end=3, heard=NASTY, text_start=0, text_end=3, text=NASTY,
        concept=None, language="en", score=0.5, decision="applied", alternatives=(NASTY,),
    )  # fmt: skip
    nasty = Record(
        lines=(line,), checks=(check,), repairs=(repair,), recording=MADE.recording.evolve(name=NASTY, duration_ms=9)
    )
    plain = Page(write_page(nasty.evolve(lines=(line.evolve(text="a b c", heard="a b c", voice="v"),)), LEXICON))
    found = Page(write_page(nasty, LEXICON))
    assert [t for t, _ in found.elements].count("script") == 2
    assert not [t for t, _ in found.elements if t == "img"]
    assert "".join(found.units) == NASTY.strip()
    assert json.loads(found.raw["script"][0])["repairs"][0][0] == NASTY
    assert {t for t, _ in found.elements} == {t for t, _ in plain.elements}


def test_repairs_stand_underlined_with_what_was_heard(sample: Record, page: Page) -> None:
    applied = [r for r in sample.repairs if r.decision == "applied" and r.text]
    assert applied
    shown = {str(a["data-r"]): a["data-o"] for a in page.with_class("r-applied") if "data-r" in a}
    expected = {str(n): r.heard for n, r in enumerate(sample.repairs) if r.decision == "applied" and r.text}
    assert shown == expected


def test_only_what_was_done_has_a_heading() -> None:
    text = write_page(MADE, LEXICON)
    headings = set(re.findall(r'<h3 id="step-(\d+)"', text))
    assert headings == {str(n) for n, s in enumerate(MADE.steps) if s.status == "done"}
    planned = re.findall(r'<button type="button" class="stp planned.*?</button>', text)
    assert len(planned) == 1
    assert ">planned<" in planned[0]
    assert ">prévu<" in planned[0]


@pytest.mark.parametrize(
    ("record", "draft"),
    [
        (MADE, True),
        (MADE.evolve(review="checked"), True),
        (MADE.evolve(review="checked", checks=()), False),
        (MADE.evolve(checks=()), True),
    ],
)
def test_the_banner_stays_until_all_is_settled(record: Record, draft: bool) -> None:
    assert ('<p id="draft"' in write_page(record, LEXICON)) is draft


def test_everything_of_the_interface_is_said_in_both_languages(page: Page) -> None:
    shown = [a["lang"] for a in page.with_class("ui")]
    assert shown.count("en") == shown.count("fr") > 50
    for _, attrs in page.elements:
        if "aria-label" in attrs:
            assert attrs["data-label-en"] == attrs["aria-label"]
            assert attrs["data-label-fr"]


def test_terms_are_found_by_their_names_in_either_language(page: Page) -> None:
    concepts = {c[0]: c[4].split("|") for c in json.loads(page.raw["script"][0])["concepts"]}
    assert {"stapes", "etrier"} <= set(concepts["stapes"])
    assert "platine" in concepts["stapes-footplate"]


def test_every_time_of_the_note_leads_somewhere(page: Page) -> None:
    assert len([a for a in page.with_class("go") if a.get("data-t", "x").isdigit()]) > 50  # type: ignore[union-attr]


def test_units_start_in_order_and_at_steps(sample: Record) -> None:
    units = [(p, u) for p in Scene.of(sample, LEXICON).parts for par in p.paragraphs for u in par.units]
    assert [u.start_ms for _, u in units] == sorted(u.start_ms for _, u in units)
    for part, unit in units:
        assert unit.step == part.step
        if unit.step is not None:
            step = sample.steps[unit.step]
            assert step.start_ms <= unit.start_ms < step.end_ms


@pytest.mark.parametrize(
    ("media", "tag", "address"),
    [
        ("case.mp4", "video", "case.mp4"),
        ("../a b#1.mp3", "audio", "../a%20b%231.mp3"),
        ("/data/é.wav", "audio", "file:///data/%C3%A9.wav"),
        ("C:\\cases\\a.webm", "video", "file:///C:/cases/a.webm"),
        ("file:///data/a.mp4", "video", "file:///data/a.mp4"),
        ('"><script>.mp4', "video", "%22%3E%3Cscript%3E.mp4"),
    ],
)
def test_media_is_asked_for_beside_the_page(media: str, tag: str, address: str) -> None:
    page = Page(write_page(MADE, LEXICON, media=media))
    assert [(t, a["src"]) for t, a in page.elements if "src" in a] == [(tag, address)]
    assert "media-src blob: 'self' file:;" in page.policy()


def test_media_of_the_web_is_refused() -> None:
    with pytest.raises(WriteError) as caught:
        write_page(MADE, LEXICON, media="https://example.org/a.mp4")
    assert caught.value.found == "is a web address"


def test_without_media_only_a_file_that_the_reader_chooses_may_play(page: Page) -> None:
    assert "media-src blob:;" in page.policy()


def test_an_empty_record_makes_a_page() -> None:
    page = Page(write_page(Record(), LEXICON))
    assert not page.units


def test_the_same_record_makes_the_same_page_and_it_stays_light(sample: Record) -> None:
    first, second = write_page(sample, LEXICON), write_page(sample.evolve(), LEXICON)
    assert first == second
    assert len(first.encode()) < 1_000_000


def test_a_size_is_a_check_to_jump_to() -> None:
    text = write_page(MADE, LEXICON)
    stop = re.search(r'<li class="chk stop">.*?</li>', text)
    assert stop
    assert f'data-t="{at(4, "quatre cinq soixante-quinze")[0].start_ms}"' in stop[0]


def test_every_word_of_the_interface_is_used() -> None:
    folder = Path(write_page.__code__.co_filename).parent
    source = "".join(p.read_text("utf-8") for p in sorted(folder.iterdir()) if p.is_file())
    built = ("kind-", "status-", "register-", "role-", "worn-", "level-", "legend-", "step-")
    names = Words(LEXICON).starting("")
    assert len(names) > 100
    for name in names:
        used = name.removeprefix("script-")
        assert name.startswith(built) or f'"{used}"' in source or f":{used}}}}}" in source, name
