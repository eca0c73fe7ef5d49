"""Research tables: read back by pandas, described for CSV on the Web, double coding and agreement."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pandas
import pytest

from conftest import SAMPLES
from otochron import api, files
from otochron.lexicon import load
from otochron.model import Record
from otochron.model.case import CaseSide, Classification, Finding, Item
from otochron.writers.tables import TABLES, record_rows, table_text, tables_text
from otochron.writers.tables.codebook import columns, variables


@pytest.fixture(scope="module")
def record() -> Record:
    return api.extract(api.read(SAMPLES / "stapedotomy-right" / "transcript.md"))


@pytest.fixture(scope="module")
def folder(record: Record, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Tables of one sample, of the same again under another name, and of one where next to nothing is said."""
    place = tmp_path_factory.mktemp("tables")
    bare = api.extract(api.read_bytes(b"[0:00] right ear\n", "bare.md"))
    rows = [record_rows(record, load(), "a.md"), record_rows(record, load(), "=b.md"), record_rows(bare, load())]
    files.write_streamed(place, tables_text(rows, load()))
    return place


def test_every_column_of_the_codebook_is_filled(record: Record) -> None:
    rows = record_rows(record, load(), "a.md")
    for table in TABLES:
        for row in rows[table]:
            assert set(row) == set(columns(load(), table)), table


def test_tables_are_read_back_by_pandas_and_join(folder: Path, record: Record) -> None:
    tables = {name: pandas.read_csv(folder / f"{name}.csv", keep_default_na=False) for name in TABLES}
    recordings = tables["recordings"].set_index("recording_id")
    assert list(recordings["side"]) == ["right"] * 3
    first, copy, _ = recordings.index
    assert copy == f"{first}-2"
    assert list(recordings["copy_of"]) == ["NA", first, "NA"]
    assert recordings["path"][copy] == "'=b.md"
    assert len(tables["mentions"].query("recording_id == @first")) == len(record.mentions)
    for table in TABLES:
        assert set(tables[table]["recording_id"]) <= set(recordings.index), table
    joined = tables["steps"].merge(recordings, on="recording_id", suffixes=("", "_recording"))
    assert len(joined) == len(tables["steps"])
    ids = {
        ("mentions", "repair_id"): "repairs",
        ("mentions", "echo_of"): "mentions",
        ("steps", "measurement_ids"): "measurements",
        ("steps", "revisit_of"): "steps",
        ("measurements", "echo_of"): "measurements",
    }
    for (table, column), other in ids.items():
        named = set(tables[table][column].str.split("|").explode()) - {"NA"}
        assert named <= set(tables[other].iloc[:, 1]), (table, column)
        assert named, (table, column)


def test_tables_are_rfc_4180_with_crlf(folder: Path) -> None:
    raw = (folder / "mentions.csv").read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n")


def test_metadata_is_valid_csv_on_the_web(folder: Path) -> None:
    """W3C Tabular Data on the Web, 2015; validator: the library csvw."""
    csvw = pytest.importorskip("csvw")
    group = csvw.TableGroup.from_file(folder / "csv-metadata.json")
    assert [t.url.string for t in group.tables] == [f"{name}.csv" for name in TABLES]
    rows = {t.url.string: list(t.iterdicts(strict=True)) for t in group.tables}
    group.check_referential_integrity()
    described = json.loads((folder / "csv-metadata.json").read_text("utf-8"))
    for table in described["tables"]:
        for column in table["tableSchema"]["columns"]:
            assert column["dc:description"], column
            assert column["dc:source"], column
    first, _, bare = rows["recordings.csv"]
    assert bare["austin_kartush"] == "NM", "a text keeps its code"
    assert bare["implant_length_mm"] is None
    assert first["complications"] == first["complications"][:1], "lists are read as lists"
    assert {"time_basis", "side"} <= {c.name for c in group.tables[0].tableSchema.columns if c.datatype.format}


def test_a_code_that_is_none_is_refused_by_the_validator(folder: Path, tmp_path: Path) -> None:
    csvw = pytest.importorskip("csvw")
    for path in folder.iterdir():
        text = path.read_text("utf-8")
        (tmp_path / path.name).write_text(
            text.replace(",right,", ",rihgt,") if path.suffix == ".csv" else text, "utf-8"
        )
    group = csvw.TableGroup.from_file(tmp_path / "csv-metadata.json")
    with pytest.raises(ValueError, match="rihgt"):
        list(group.tables[0].iterdicts(strict=True))


def test_cells_that_would_run_as_formulas_are_harmless() -> None:
    text = table_text([{"a": "=HYPERLINK()", "b": "+1", "c": -1.5}], ["a", "b", "c"])
    assert next(csv.reader(io.StringIO(text.split("\r\n")[1]))) == ["'=HYPERLINK()", "'+1", "-1.5"]


def row_of(record: Record, **case: object) -> dict[str, object]:
    return record_rows(record.evolve(case=record.case.evolve(**case)), load())["recordings"][0]


def group(value: str, status: str = "affirmed") -> Classification:
    return Classification(concept=None, system="Austin-Kartush", value=value, status=status)


GROUPS = [
    ([], "NM"),
    ([group("C")], "C"),
    ([group("C"), group("C")], "C"),
    ([group("C"), group("D")], "UNC"),
    ([group("C", "uncertain")], "UNC"),
    ([group("C", "hypothetical")], "NM"),
]


@pytest.mark.parametrize(("groups", "code"), GROUPS)
def test_the_ossicular_group_is_coded(record: Record, groups: list[Classification], code: str) -> None:
    assert row_of(record, classifications=tuple(groups))["austin_kartush"] == code


def item(concept: str, status: str) -> Item:
    return Item(concept=concept, status=status)


LISTS = [
    ([], "NM"),
    ([item("temporalis-fascia", "affirmed"), item("perichondrium", "uncertain")], "temporalis-fascia"),
    ([item("perichondrium", "uncertain"), item("temporalis-fascia", "negated")], "UNC"),
    ([item("temporalis-fascia", "negated")], "NONE"),
    ([item("temporalis-fascia", "planned"), item("perichondrium", "past")], "NM"),
]


@pytest.mark.parametrize(("items", "code"), LISTS)
def test_not_mentioned_denied_and_doubtful_are_told_apart(record: Record, items: list[Item], code: str) -> None:
    assert row_of(record, grafts=tuple(items))["grafts"] == code


def test_sizes_of_implants_tell_not_applicable_from_not_mentioned(record: Record) -> None:
    assert row_of(record)["implant_length_mm"] == 4.5
    named = [i.evolve(length=None) for i in record.case.implants]
    assert row_of(record, implants=tuple(named))["implant_length_mm"] == "NM"
    assert row_of(record, implants=())["implant_length_mm"] == "NA"
    doubtful = [m.evolve(status="uncertain") for m in record.measurements]
    assert row_of(record.evolve(measurements=tuple(doubtful)))["implant_length_mm"] == "UNC"


def test_sides_that_do_not_fit_are_uncertain(record: Record) -> None:
    span = record.case.side.evidence[:1]
    assert row_of(record, side=CaseSide())["side"] == "NM"
    assert row_of(record, side=CaseSide(against=span))["side"] == "UNC"


def test_findings_say_what_was_denied_and_what_is_doubtful(record: Record) -> None:
    told = [
        Finding(concept=None, structure="incus", finding=name, status=status)
        for name, status in (("fixed", "absent"), ("mobile", "present"), ("eroded", "uncertain"))
    ]
    assert row_of(record, findings=tuple(told))["finding_incus"] == "not:fixed|mobile|unc:eroded"
    assert row_of(record, findings=())["finding_incus"] == "NM"


def test_times_of_phases_are_given_only_where_the_recording_is_continuous(record: Record) -> None:
    whole = record.evolve(recording=record.recording.evolve(continuous=True))
    row = row_of(whole)
    spent = [s for s in whole.steps if s.phase == "access-phase" and s.status == "done"]
    assert row["access_s"] == sum(s.end_ms - s.start_ms for s in spent) / 1000 > 0
    assert row["implantation_s"] == "NM"
    for continuous in (False, None):
        cut = record.evolve(recording=record.recording.evolve(continuous=continuous))
        assert row_of(cut)["access_s"] == "NA"
        assert {r["duration_s"] for r in record_rows(cut, load())["steps"]} == {"NA"}


def test_every_phase_has_its_column() -> None:
    lexicon = load()
    phases = {e.values["phase"] for e in variables(lexicon, "recordings") if "phase" in e.values}
    assert phases == {e.id for e in lexicon.of_kind("phase")}
