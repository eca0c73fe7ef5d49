"""Research tables: read back by pandas, described for CSV on the Web, double coding and agreement."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pandas
import pytest

from conftest import SAMPLES
from otochron import api, files
from otochron.lexicon import load
from otochron.model import Record
from otochron.writers.tables import TABLES, record_rows, table_text, tables_text
from otochron.writers.tables.codebook import columns
from otochron.writers.tables.coding import agreement, draw_sample, empty_sheet, machine_codes, read_sheet


@pytest.fixture(scope="module")
def record() -> Record:
    return api.extract(api.read(SAMPLES / "stapedotomy-right" / "transcript.md"))


@pytest.fixture(scope="module")
def folder(record: Record, tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("tables")
    files.write_streamed(place, tables_text([record_rows(record, load(), "a.md")], load()))
    return place


def test_every_column_of_the_codebook_is_filled(record: Record) -> None:
    rows = record_rows(record, load(), "a.md")
    for table in TABLES:
        for row in rows[table]:
            assert set(row) == set(columns(load(), table)), table


def test_tables_are_read_back_by_pandas_and_join(folder: Path, record: Record) -> None:
    tables = {name: pandas.read_csv(folder / f"{name}.csv", keep_default_na=False) for name in TABLES}
    assert len(tables["recordings"]) == 1
    assert len(tables["mentions"]) == len(record.mentions)
    assert set(tables["steps"]["recording_id"]) == set(tables["recordings"]["recording_id"])
    assert tables["recordings"]["side"][0] == "right"


def test_tables_are_rfc_4180_with_crlf(folder: Path) -> None:
    raw = (folder / "mentions.csv").read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n")


def test_metadata_is_valid_csv_on_the_web(folder: Path) -> None:
    """W3C Tabular Data on the Web, 2015; validator: the library csvw."""
    csvw = pytest.importorskip("csvw")
    group = csvw.TableGroup.from_file(folder / "csv-metadata.json")
    assert [t.url.string for t in group.tables] == [f"{name}.csv" for name in TABLES]
    for table in group.tables:
        assert list(table.iterdicts(strict=True)) is not None
    group.check_referential_integrity()


def test_cells_that_would_run_as_formulas_are_harmless() -> None:
    text = table_text([{"a": "=HYPERLINK()", "b": "+1", "c": -1.5}], ["a", "b", "c"])
    assert next(csv.reader(io.StringIO(text.split("\r\n")[1]))) == ["'=HYPERLINK()", "'+1", "-1.5"]


ROWS = [
    {"recording_id": f"{n:02d}", "path": f"{n}", "main_procedure": "stapedotomy" if n < 8 else "tympanoplasty"}
    for n in range(10)
]


def test_sample_is_stratified_and_the_same_for_a_seed() -> None:
    drawn = draw_sample(ROWS, 5, 7)
    assert drawn == draw_sample(list(reversed(ROWS)), 5, 7)
    assert [r["main_procedure"] for r in drawn].count("tympanoplasty") == 1
    assert len(draw_sample(ROWS, 99, 1)) == 10


def test_a_filled_sheet_is_read_back(record: Record) -> None:
    rows = record_rows(record, load(), "a.md")["recordings"]
    sheet = empty_sheet(rows)
    key = rows[0]["recording_id"]
    filled = sheet.replace("side,\r\n", "side,right\r\n")
    assert read_sheet(filled, "sheet.csv") == {(key, "side"): "right"}
    assert machine_codes(rows)[key, "side"] == "right"


def test_kappa_on_a_worked_example() -> None:
    """Cohen's kappa of 0.4: two readers of 50 grants, 20 yes-yes, 5, 10, 15 no-no (textbook example [M])."""
    one, two = {}, {}
    for n, (a, b) in enumerate([("y", "y")] * 20 + [("y", "n")] * 5 + [("n", "y")] * 10 + [("n", "n")] * 15):
        one[str(n), "side"], two[str(n), "side"] = a, b
    found = agreement({"one": one, "two": two}, "side")
    assert found.kappa == pytest.approx(0.4)
    assert found.kappa_interval is not None
    assert found.kappa_interval[0] < 0.4 < found.kappa_interval[1]


def test_alpha_on_krippendorffs_worked_example() -> None:
    """Krippendorff 2011, "Computing Krippendorff's Alpha-Reliability": nominal alpha 0.743, 4 coders, 12 units [M]."""
    data = [
        "1 2 3 3 2 1 4 1 2 . . .",
        "1 2 3 3 2 2 4 1 2 5 . 3",
        ". 3 3 3 2 3 4 2 2 5 1 .",
        "1 2 3 3 2 4 4 1 2 5 1 .",
    ]
    coders = {
        f"coder {n}": {(str(u), "side"): code for u, code in enumerate(row.split()) if code != "."}
        for n, row in enumerate(data)
    }
    assert agreement(coders, "side").alpha == pytest.approx(0.743, abs=0.001)
