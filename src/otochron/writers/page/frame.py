"""Put the page together: template, style, script, data, under a policy that lets nothing else in."""

from __future__ import annotations

import base64
import hashlib
import mimetypes
import re
from collections.abc import Mapping
from functools import lru_cache
from html import escape
from importlib.resources import files
from pathlib import PurePath, PurePosixPath, PureWindowsPath
from urllib.parse import quote

from otochron.errors import WriteError
from otochron.writers.page.data import data
from otochron.writers.page.drawing import drawing, legend, step_list
from otochron.writers.page.panels import checks, kinds, note, teaching
from otochron.writers.page.scene import Scene
from otochron.writers.page.transcript import transcript
from otochron.writers.page.words import both
from otochron.writers.wording import clock

_STYLES = ("page.css", "text.css", "course.css", "lists.css", "narrow.css", "print.css")
_SCRIPTS = ("base.js", "moment.js", "course.js", "details.js", "search.js", "views.js")
_SLOT = re.compile(r"\{\{(\w+)(?::([\w-]+))?\}\}")
_WEB = re.compile(r"(?i)^(?!file:)[a-z][a-z0-9+.-]+:")


def frame(scene: Scene, media: str | None) -> str:
    """Give the whole file."""
    style, script = _style(scene), _joined(_SCRIPTS)
    script = f'(() => {{\n"use strict";\n{script}}})();\n'
    short = scene.words.pair("search-short")
    en, fr = scene.heading
    player = _player(media) if media else ""
    slots = {
        "policy": _policy(style, script, outside=bool(media)),
        "style": style,
        "script": script,
        "data": data(scene),
        "title": escape(en),
        "title_en": escape(en, quote=True),
        "title_fr": escape(fr, quote=True),
        "heading": both((en, fr)),
        "about": _about(scene),
        "banner": _banner(scene),
        "player": player,
        "drawing": drawing(scene),
        "steps": step_list(scene),
        "legend": legend(scene),
        "teaching": teaching(scene),
        "transcript": transcript(scene),
        "checks": checks(scene),
        "open": str(sum(check.level != "info" for check in scene.record.checks)),
        "stops": str(sum(check.level == "stop" for check in scene.record.checks)),
        "note": note(scene),
        "kinds": kinds(scene),
        "length": clock(scene.length_ms),
        "seconds": str(scene.length_ms // 1000),
        "search_en": escape(short[0], quote=True),
        "search_fr": escape(short[1], quote=True),
        "version": escape(scene.record.made_by.otochron),
    }
    return _filled(_file("page.html"), slots, scene)


def _filled(template: str, slots: Mapping[str, str], scene: Scene) -> str:
    """Fill ``{{slot}}``, ``{{w:word}}`` (an interface word) and ``{{l:word}}`` (an accessible name), in one pass."""

    def fill(match: re.Match[str]) -> str:
        kind, word = match.groups()
        if word is None:
            return slots[kind]
        return scene.words.both(word) if kind == "w" else scene.words.label(word)

    return _SLOT.sub(fill, template)


def _about(scene: Scene) -> str:
    record = scene.record
    percent = {"en": str(round(100 * record.languages.en)), "fr": str(round(100 * record.languages.fr))}
    name, length = record.recording.name, clock(record.recording.duration_ms)
    return f'<span class="file">{escape(name)}</span> · {length} · {scene.words.both("shares", **percent)}'


def _banner(scene: Scene) -> str:
    if not scene.draft:
        return ""
    en, fr = (document.banner for document in scene.notes)
    return f'<p id="draft" role="note">{both((en, fr))}</p>'


def _policy(style: str, script: str, *, outside: bool) -> str:
    """Allow this style, this script, and a recording on this computer; nothing else, and no connection at all."""
    media = "blob: 'self' file:" if outside else "blob:"
    return (
        f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; img-src data:; "
        f"media-src {media}; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _player(media: str) -> str:
    kind, _ = mimetypes.guess_type(media)
    tag = "audio" if kind and kind.startswith("audio") else "video"
    return f'<{tag} id="player" controls preload="metadata" src="{escape(_address(media), quote=True)}"></{tag}>'


def _address(media: str) -> str:
    r"""Give the address of a media file as the page asks for it.

    >>> _address("../my film.mp4"), _address("/data/a#1.mp3"), _address("C:\\films\\a.mp4")
    ('../my%20film.mp4', 'file:///data/a%231.mp3', 'file:///C:/films/a.mp4')
    """
    windows = PureWindowsPath(media)
    if windows.drive and windows.is_absolute():
        return windows.as_uri()
    if _WEB.match(media):
        raise WriteError(media, "is a web address", "a file for --media", "Save the recording beside the page first.")
    if media.startswith("file:"):
        return media
    path = PurePosixPath(media)
    return path.as_uri() if path.is_absolute() else quote(PurePath(media).as_posix())


def _style(scene: Scene) -> str:
    """Compose the style: two sets of colours, the rules, and the small words that states wear in each language."""
    light, dark = _file("light.css"), _file("dark.css")
    colours = (
        f":root {{\n{light}}}\n@media (prefers-color-scheme: dark) {{\n:root:not([data-theme=light]) {{\n{dark}}}\n}}\n"
        f":root[data-theme=dark] {{\n{dark}}}\n@media print {{\n:root:root:root {{\n{light}}}\n}}\n"
    )
    worn = "".join(
        f'html[lang={lang}] .s-{name}::after {{ content: "{_css(pair[n])}"; }}\n'
        for name, pair in scene.words.starting("worn-").items()
        for n, lang in enumerate(("en", "fr"))
    )
    return colours + _joined(_STYLES) + worn


def _css(text: str) -> str:
    r"""Escape a text for a CSS string.

    >>> _css('a"b</')
    'a\\22 b\\3c /'
    """
    return "".join(f"\\{ord(c):x} " if c in '"\\<>\n' else c for c in text)


def _joined(names: tuple[str, ...]) -> str:
    return "".join(_file(name) for name in names)


@lru_cache(maxsize=32)
def _file(name: str) -> str:
    return files(__package__).joinpath(name).read_text("utf-8").replace("\r\n", "\n")
