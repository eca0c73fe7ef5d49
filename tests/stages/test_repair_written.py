"""Targets that were written beforehand are those that are worked out; if out of date, they are not used."""

import pytest

from otochron.lexicon import load, ready
from otochron.stages.repair.targets import targets_of, work_out
from otochron.stages.repair.written import FILE, dump_targets, written_targets


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(ready, "ready_folder", lambda: tmp_path)
    ready._forms.cache_clear()
    yield tmp_path
    ready._forms.cache_clear()


def test_written_targets_are_those_worked_out(folder):
    lexicon = load()
    made = work_out(lexicon)
    (folder / FILE).write_bytes(dump_targets(made, lexicon.hashes))
    written = written_targets(lexicon.hashes)
    assert list(written.targets) == list(made.targets)
    assert written.coarse == made.coarse
    assert list(written.by_coarse) == list(made.by_coarse)
    assert {name: written.by_coarse[name] for name in made.by_coarse} == made.by_coarse
    assert {name: written.by_letters[name] for name in made.by_letters} == made.by_letters
    assert written.targets[2:4] == list(made.targets[2:4])


def test_targets_of_other_lists_are_not_used(folder):
    lexicon = load()
    (folder / FILE).write_bytes(dump_targets(work_out(lexicon), lexicon.hashes))
    assert written_targets({**lexicon.hashes, "mine.toml": "0"}) is None
    assert written_targets({**lexicon.hashes, "anatomy.toml": "0"}) is None


def test_without_a_file_targets_are_worked_out(folder):
    assert written_targets(load().hashes) is None
    targets_of.cache_clear()
    assert len(targets_of(load()).targets) > 10_000
    targets_of.cache_clear()
