"""The page as people use it: search, languages, moving, player, keys, filters; nothing leaves the page."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from browser.conftest import Opened
from otochron.model import Record
from writers.made import MADE

Open = Callable[..., Opened]
NASTY = "<script>document.title='x'</script><img src=x onerror=\"document.title='y'\">"

BEHIND = "getComputedStyle(document.querySelector('#speech .r-applied'), '::after').content"
OUTLINED = """getComputedStyle(document.activeElement).outlineStyle !== 'none'
  || document.activeElement.id === 'media-file'"""


def hits(page: Any) -> list[str]:
    return [str(text) for text in page.locator("#speech .hit").all_inner_texts()]


def seconds(page: Any) -> float:
    return float(page.evaluate("document.querySelector('#player').currentTime"))


def test_a_page_opens_without_complaint_and_asks_for_nothing(open_page: Open, sample: Record) -> None:
    opened = open_page(sample)
    page = opened.page
    for view in ("note", "words", "check"):
        page.click(f"#views [data-view={view}]")
    page.fill("#q", "stapes")
    page.press("#q", "Enter")
    page.click("#keys-open")
    page.keyboard.press("Escape")
    assert opened.faults == []
    assert opened.asked == [page.url]


@pytest.mark.parametrize("query", ["étrier", "Etrier", "stapes", "ÉTRIERS"])
def test_a_term_is_found_by_any_of_its_names(open_page: Open, sample: Record, query: str) -> None:
    page = open_page(sample).page
    page.fill("#q", query)
    page.wait_for_selector("#next-hit:visible")
    assert {text.lower().removesuffix("s") for text in hits(page)} >= {"stape", "étrier"}
    page.press("#q", "Enter")
    assert page.locator("#found").inner_text().startswith("1 of ")
    assert page.locator("#speech .at").is_visible()
    first = page.locator("#clock").inner_text()
    page.press("#q", "Enter")
    assert page.locator("#found").inner_text().startswith("2 of ")
    assert page.locator("#clock").inner_text() >= first


def test_a_plain_word_is_found_and_none_says_so(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    page.fill("#q", "doucement")
    page.wait_for_selector("#next-hit:visible")
    page.fill("#q", "zzzz")
    page.wait_for_selector("#next-hit", state="hidden")
    assert page.locator("#found").inner_text() == "nothing found"


def test_the_language_switches_whole_and_stays(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    assert page.locator("html").get_attribute("lang") == "en"
    page.click("[data-lang=fr]")
    assert page.locator("html").get_attribute("lang") == "fr"
    shown = page.locator("#views").inner_text()
    assert re.sub(r"[\d\s]+", " ", shown).strip() == "À vérifier Compte rendu Filtres"
    assert page.title() == page.locator("h1").inner_text()
    assert page.locator("#q").get_attribute("placeholder").startswith("Chercher")
    assert page.locator("#draft").inner_text().startswith("Brouillon")
    page.reload()
    assert page.locator("html").get_attribute("lang") == "fr"


def test_a_french_browser_gets_french(open_page: Open) -> None:
    assert open_page(MADE, locale="fr-FR").page.locator("html").get_attribute("lang") == "fr"


def test_a_click_on_the_speech_on_a_step_and_on_the_drawing_moves_the_player(
    open_page: Open, sample: Record, sound: Path
) -> None:
    opened = open_page(sample, media=sound.name)
    page = opened.page
    page.wait_for_selector("#play:visible")
    for _ in range(50):  # the policy forbids playwright's own wait, which evaluates strings in the page
        if page.evaluate("document.querySelector('#player').readyState") >= 1:
            break
        page.wait_for_timeout(50)
    word = page.locator("#speech .u .m").nth(4)
    word.click()
    ms = word.evaluate("(element) => element.closest('.u').dataset.t")
    assert seconds(page) == pytest.approx(float(ms) / 1000, abs=0.1)
    step = page.locator("#step-list .stp").nth(1)
    step.click()
    assert seconds(page) == pytest.approx(float(step.get_attribute("data-t")) / 1000, abs=0.1)
    box = page.locator("#drawing").bounding_box()
    page.mouse.click(box["x"] + 40, box["y"] + box["height"] * 0.05)
    assert seconds(page) == pytest.approx(sample.recording.duration_ms / 1000 * 0.05, abs=2)
    page.evaluate("document.querySelector('#player').currentTime = 60")
    page.wait_for_timeout(300)
    assert page.locator("#clock").inner_text() == "1:00"
    assert opened.faults == []
    assert set(opened.asked) == {page.url, (Path(page.url.removeprefix("file://")).parent / sound.name).as_uri()}


def test_a_missing_recording_is_told_plainly(open_page: Open) -> None:
    page = open_page(MADE, media="not-there.mp4").page
    page.wait_for_selector("#media-wrong:visible")


def test_a_recording_chosen_by_hand_plays(open_page: Open, sound: Path) -> None:
    opened = open_page(MADE)
    opened.page.set_input_files("#media-file", str(sound))
    opened.page.wait_for_selector("#player")
    opened.page.wait_for_selector("#play:visible")
    assert opened.faults == []


def test_without_a_recording_the_moment_moves(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    go = page.locator("#check .chk .go").nth(2)
    go.click()
    assert page.locator("#clock").inner_text() == go.inner_text()
    assert page.locator("#speech .u.now").is_visible()


def test_keys_move_and_open_details(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    page.focus("#speech .u.now")
    seen = [page.locator("#clock").inner_text()]
    for key in ("ArrowDown", "ArrowRight", "s", "r", "c"):
        page.keyboard.press(key)
        seen.append(page.locator("#clock").inner_text())
        assert page.evaluate("document.activeElement.classList.contains('now')"), key
    assert seen == sorted(seen)
    assert len(set(seen)) >= 5
    page.keyboard.press("Enter")
    assert page.locator("#card").is_visible()
    assert page.evaluate("document.activeElement.id") == "card"
    page.keyboard.press("Escape")
    assert page.locator("#card").is_hidden()
    assert page.evaluate("document.activeElement.classList.contains('now')")
    page.focus("#drawing")
    page.keyboard.press("PageDown")
    assert page.evaluate("document.activeElement.id") == "drawing"
    assert "," in page.locator("#drawing").get_attribute("aria-valuetext")


def test_every_control_is_reached_by_tab_and_shows_it(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    reached = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.id || document.activeElement.className"))
        assert page.evaluate(OUTLINED)
    assert {"q", "theme", "drawing", "media-file"} <= reached


def test_what_was_heard_shows_on_demand(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    repair = page.locator("#speech .r-applied").first
    assert page.evaluate(BEHIND) == "none"
    page.click("[data-show=heard]")
    assert repair.get_attribute("data-o") in page.evaluate(BEHIND)
    repair.click()
    assert repair.get_attribute("data-o") in page.locator("#card").inner_text()


def test_filters_mark_and_keep_only_what_is_asked(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    page.click("#views [data-view=words]")
    page.check(".fk[value=drug]")
    marked = {element.get_attribute("data-m") for element in page.locator("#speech .m.on").all()}
    assert len(marked) == sum(m.kind == "drug" for m in sample.mentions)
    before = page.locator("#speech .p:visible").count()
    page.check("#only")
    assert 0 < page.locator("#speech .p:visible").count() < before
    page.click("#clear")
    assert page.locator("#speech .p:visible").count() == before
    assert page.locator("#speech .on").count() == 0


def test_ticks_stay_in_the_browser(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    page.locator(".seen").first.check()
    page.reload()
    assert page.locator(".seen").first.is_checked()
    assert not page.locator(".seen").nth(1).is_checked()


def test_the_light_switches(open_page: Open) -> None:
    page = open_page(MADE).page
    paper = "getComputedStyle(document.body).backgroundColor"
    light = page.evaluate(paper)
    page.click("#theme")
    dark = page.evaluate(paper)
    assert light != dark
    assert open_page(MADE, color_scheme="dark").page.evaluate(paper) == dark


def test_a_narrow_page_shows_one_view_and_fits(open_page: Open, sample: Record) -> None:
    page = open_page(sample, viewport={"width": 390, "height": 800}).page
    places = {"text": "#speech", "steps": "#steps", "check": "#check", "note": "#note", "words": "#words"}
    for view, place in places.items():
        page.click(f"#views [data-view={view}]")
        assert page.locator(place).is_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, view
    page.click("#views [data-view=check]")
    page.locator("#check .chk .go").nth(1).click()
    assert page.locator("#speech .u.now").is_visible()


def test_a_place_in_the_address_opens_there(open_page: Open, sample: Record) -> None:
    assert open_page(sample, place="#t=120").page.locator("#clock").inner_text() == "2:00"


def test_speech_full_of_markup_stays_text(open_page: Open) -> None:
    line = MADE.lines[0].evolve(text=NASTY, heard=NASTY, languages=(), voice=NASTY)
    opened = open_page(Record(lines=(line,), recording=MADE.recording.evolve(name=NASTY)))
    assert NASTY in opened.page.locator("#speech").inner_text()
    assert opened.page.title() == NASTY
    assert opened.page.locator("#speech img, #head img").count() == 0
    opened.page.fill("#q", "<script>")
    opened.page.press("#q", "Enter")
    opened.page.locator("#speech .u").click()
    assert opened.faults == []


def test_print_shows_checks_note_steps_and_speech_on_white(open_page: Open, sample: Record) -> None:
    page = open_page(sample, color_scheme="dark").page
    page.emulate_media(media="print", color_scheme="dark")
    for place in ("#draft", "#check", "#note", "#steps", "#speech"):
        assert page.locator(place).is_visible(), place
    for place in ("#bar", "#foot", "#drawing", "#words"):
        assert page.locator(place).is_hidden(), place
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"


@pytest.mark.parametrize("width", [1280, 1000, 390])
@pytest.mark.parametrize("light", ["light", "dark"])
def test_no_fault_keeps_people_out(open_page: Open, sample: Record, axe: str, width: int, light: str) -> None:
    page = open_page(sample, viewport={"width": width, "height": 860}, color_scheme=light).page
    page.evaluate(axe)
    views = ["check", "note", "words"] + (["text", "steps"] if width < 900 else [])
    for view in views:
        page.click(f"#views [data-view={view}]")
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        if view == "note":
            page.click("[data-show=heard]") if width >= 900 else None
            page.fill("#q", "étrier")
            page.wait_for_selector("#concepts:visible")
            page.press("#q", "Enter")
            page.click(f"#views [data-view={view}]")
        found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        assert [(v["id"], v["nodes"][0]["html"]) for v in found["violations"]] == [], view


def test_a_check_of_a_word_leads_to_the_word(open_page: Open, sample: Record) -> None:
    page = open_page(sample).page
    place = page.locator("#check .chk .go[data-to]").first
    place.click()
    word = page.locator(f"#speech [data-r='{place.get_attribute('data-to')}']").first
    assert word.is_visible()
    assert "at" in word.get_attribute("class").split()


def test_four_hours_stay_quick(open_page: Open, sample: Record) -> None:
    copies = 20
    length = sample.recording.duration_ms
    lines = tuple(
        line.evolve(id=f"{line.id}-{n}", start_ms=line.start_ms + n * length, end_ms=line.end_ms + n * length)
        for n in range(copies)
        for line in sample.lines
    )
    record = Record(lines=lines, recording=sample.recording.evolve(duration_ms=copies * length))
    page = open_page(record, viewport={"width": 390, "height": 800}).page
    page.fill("#q", "piston")
    page.press("#q", "Enter")
    started = page.evaluate("performance.now()")
    for _ in range(10):
        page.press("#q", "Enter")
    assert page.evaluate("performance.now()") - started < 5_000
    assert page.locator("#found").inner_text().startswith("11 of ")
    assert page.locator("#speech .u.now").is_visible()
