"""What is written out beforehand says what the word lists say; if it is out of date, it is not used."""

import importlib.util
import json
import lzma
from pathlib import Path

import pytest

from otochron.lexicon import load, read_lexicon, ready
from otochron.lexicon.rows import packed, table_of, unpacked

SCRIPT = Path(__file__).parents[1] / "fit" / "build_ready.py"
LIST = """
[oval-window]
kind = "structure"
en.forms = ["oval window", "fenestra-ovalis"]
en.not_in = ["oval window of time"]
fr.forms = ["fenêtre ovale"]
[other]
kind = "structure"
en.forms = ["other window"]
fr.forms = ["autre fenêtre"]
"""


@pytest.fixture
def build():
    spec = importlib.util.spec_from_file_location("build_ready", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder of ready files of one's own; what was read of the shipped one is forgotten, before and after."""
    monkeypatch.setattr(ready, "ready_folder", lambda: tmp_path)
    ready._forms.cache_clear()
    yield tmp_path
    ready._forms.cache_clear()


def opened(name: str, data: bytes) -> object:
    return json.loads(lzma.decompress(data))


def test_shipped_files_are_up_to_date(build):
    old = [
        name
        for name, data in build.made().items()
        if not (ready.ready_folder() / name).is_file()
        or opened(name, (ready.ready_folder() / name).read_bytes()) != opened(name, data)
    ]
    assert not old, (
        f"out of date: {', '.join(old)}; run `python tests/fit/build_ready.py` (slower starts, no wrong output)"
    )


def test_rows_written_are_rows_worked_out():
    lexicon = load()
    lists = {entry.file for entry in lexicon.entries.values()}
    for name in sorted(lists):
        entries = [e for e in lexicon.entries.values() if e.file == name and ready.group_of(e)]
        for group in sorted({ready.group_of(e) for e in entries}):
            its = [e for e in entries if ready.group_of(e) == group]
            (written,) = ready.form_tables(group, its, lexicon.hashes)
            made = table_of(its)
            for one, two in ((written.forms, made.forms), (written.cancels, made.cancels)):
                for lang in ("en", "fr"):
                    assert one[lang].keys() == two[lang].keys(), (name, group)
                    for first in two[lang]:
                        assert sorted(unpacked(first, one[lang][first])) == sorted(two[lang][first]), (name, group)


def write(folder, lexicon):
    (folder / ready.FORMS).write_bytes(ready.dump_forms(lexicon.entries.values(), lexicon.hashes))


def forms(lexicon) -> dict:
    (table,) = ready.form_tables("spoken", lexicon.of_kind("structure"), lexicon.hashes)
    return dict(table.forms["en"])


def test_written_rows_are_used_as_they_stand(folder):
    lexicon = read_lexicon([("a.toml", LIST)])
    assert all(isinstance(rows, list) for rows in forms(lexicon).values()), "nothing is written yet"
    write(folder, lexicon)
    ready._forms.cache_clear()
    assert all(isinstance(rows, str) for rows in forms(lexicon).values())


def test_rows_of_a_changed_list_are_worked_out(folder):
    write(folder, read_lexicon([("a.toml", LIST)]))
    changed = read_lexicon([("a.toml", LIST.replace("other window", "new window"))])
    assert "new" in forms(changed)
    assert "other" not in forms(changed)


def test_rows_made_by_other_code_are_worked_out(folder, monkeypatch):
    lexicon = read_lexicon([("a.toml", LIST)])
    write(folder, lexicon)
    monkeypatch.setattr(ready, "code_hash", lambda *_: "other")
    assert all(isinstance(rows, list) for rows in forms(lexicon).values())


def test_an_entry_that_an_overlay_changes_is_worked_out(folder):
    write(folder, read_lexicon([("a.toml", LIST)]))
    overlay = '[other]\nkind = "structure"\nen.forms = ["third window"]\n'
    both = read_lexicon([("a.toml", LIST), ("mine.toml", overlay)], overlays_from=1)
    tables = ready.form_tables("spoken", both.of_kind("structure"), both.hashes)
    firsts = {first for table in tables for first in table.forms["en"]}
    assert {"oval", "third"} <= firsts
    assert "other" not in firsts


@pytest.mark.parametrize("spoilt", [b"", b"not packed", lzma.compress(b"[1"), lzma.compress(b"[1]")])
def test_a_spoilt_file_is_not_used(folder, spoilt):
    (folder / ready.FORMS).write_bytes(spoilt)
    (folder / ready.TABLES).write_bytes(spoilt)
    lexicon = read_lexicon([("a.toml", LIST)])
    assert "oval" in forms(lexicon)


def test_packing():
    rows = table_of([read_lexicon([("a.toml", LIST)])["oval-window"]]).forms["en"]["oval"]
    assert sorted(unpacked("oval", packed(rows))) == sorted(rows)
