"""One test for all stages: a stage writes what it says, changes nothing in place, and gives the same twice."""

from __future__ import annotations

import pytest

from conftest import SAMPLES
from otochron import api
from otochron.lexicon import load
from otochron.model import Record, dump_record
from otochron.pipeline import STAGES, Stage

CASES = sorted(p for p in SAMPLES.glob("*/transcript.*"))
ALWAYS = {"format", "format_version", "made_by", "recording", "corrections", "review"}


def changed(before: Record, after: Record) -> set[str]:
    return {name for name in Record.model_fields if getattr(before, name) != getattr(after, name)}


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.parent.name)
def test_stages_write_only_what_they_say(path: object) -> None:
    lexicon = load()
    record = api.read(str(path))
    for stage in STAGES:
        before = dump_record(record)
        after = stage.run(record, lexicon)
        assert dump_record(record) == before, f"{stage.name} changed its input"
        assert changed(record, after) <= stage.writes, stage.name
        assert dump_record(stage.run(record, lexicon)) == dump_record(after), f"{stage.name} differs on a second run"
        record = after


@pytest.mark.parametrize("stage", STAGES, ids=lambda s: s.name)
def test_stages_pass_the_empty_record(stage: Stage) -> None:
    after = stage.run(Record(), load())
    assert changed(Record(), after) <= stage.writes


def test_stages_read_what_was_written_before() -> None:
    written = {"lines"}
    for stage in STAGES:
        assert stage.reads <= written | ALWAYS, stage.name
        written |= stage.writes
