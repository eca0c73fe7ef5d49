"""Double coding: the sample, the sheet as it was drawn and as spreadsheets save it, kappa and alpha."""

from __future__ import annotations

import csv
import io
import random
import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from conftest import SAMPLES
from otochron import api
from otochron.cli import main
from otochron.errors import RecordError
from otochron.lexicon import Lexicon, load
from otochron.model import Record, dump_record
from otochron.writers.tables import record_rows
from otochron.writers.tables.agreement import agreement, alphas, kappas
from otochron.writers.tables.codebook import coded
from otochron.writers.tables.coding import Codes, draw_sample, empty_sheet, machine_codes, read_sheet

ROWS = [
    {"recording_id": f"{n:02d}", "path": f"{n}", "main_procedure": "stapedotomy" if n < 8 else "tympanoplasty"}
    for n in range(10)
]


def test_sample_is_stratified_and_the_same_for_a_seed() -> None:
    drawn = draw_sample(ROWS, 5, 7)
    assert drawn == draw_sample(list(reversed(ROWS)), 5, 7)
    assert [r["main_procedure"] for r in drawn].count("tympanoplasty") == 1
    assert len(draw_sample(ROWS, 99, 1)) == 10


def test_every_operation_is_drawn_and_no_copy() -> None:
    rows = [{"recording_id": f"{n:03d}", "main_procedure": "abc"[n // 45], "copy_of": "NA"} for n in range(100)]
    drawn = draw_sample([*rows, {**rows[0], "recording_id": "000-2", "copy_of": "000"}], 20, 1)
    count = [[r["main_procedure"] for r in drawn].count(name) for name in "abc"]
    assert count == [9, 9, 2]
    assert draw_sample(rows, 20, 1) != draw_sample(rows, 20, 2)
    assert {r["main_procedure"] for r in draw_sample(rows, 3, 1)} == {"a", "b", "c"}


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load()


@pytest.fixture(scope="module")
def record() -> Record:
    return api.extract(api.read(SAMPLES / "stapedotomy-right" / "transcript.md"))


@pytest.fixture(scope="module")
def sheet(record: Record, lexicon: Lexicon) -> str:
    return empty_sheet(record_rows(record, lexicon, "=evil.md")["recordings"], lexicon)


def fill(sheet: str, codes: dict[str, str]) -> str:
    rows = list(csv.DictReader(io.StringIO(sheet, newline="")))
    for row in rows:
        row["code"] = codes.get(row["variable"], "")
    text = io.StringIO()
    writer = csv.DictWriter(text, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def test_an_empty_sheet_holds_no_code_of_the_program_and_no_formula(sheet: str, lexicon: Lexicon) -> None:
    rows = list(csv.DictReader(io.StringIO(sheet, newline="")))
    assert [row["variable"] for row in rows] == [e.values["column"] for e in coded(lexicon)]
    assert {row["code"] for row in rows} == {""}
    assert {row["path"] for row in rows} == {"'=evil.md"}
    assert list(rows[0]) == ["recording_id", "name", "path", "variable", "codes", "code"], "nor how it was drawn"
    assert rows[0]["codes"] == "left / right / both / NM / UNC"


def test_a_filled_sheet_is_read_back_as_the_program_codes(record: Record, sheet: str, lexicon: Lexicon) -> None:
    machine = machine_codes(record_rows(record, lexicon, "a.md")["recordings"], lexicon)
    assert read_sheet(fill(sheet, {v: code for (_, v), code in machine.items()}), "sheet.csv", lexicon) == machine


WRITTEN = [
    ("side", "Right", "right"),
    ("side", " unc ", "UNC"),
    ("implant_length_mm", "4,50", "4.5"),
    ("implant_length_mm", "na", "NA"),
    ("finding_stapes", "fixed | NOT:mobile", "fixed|not:mobile"),
    ("finding_stapes", "not:mobile|fixed|fixed", "fixed|not:mobile"),
    ("grafts", "temporalis fascia", "temporalis-fascia"),
    ("grafts", "other:glued paper", "other:glued paper"),
]


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize(("variable", "written", "code"), WRITTEN)
def test_codes_are_read_as_people_write_them(  # noqa: PLR0917  # one row of the table
    sheet: str, lexicon: Lexicon, variable: str, written: str, code: str, delimiter: str
) -> None:
    text = io.StringIO()
    csv.writer(text, delimiter=delimiter).writerows(
        csv.reader(io.StringIO(fill(sheet, {variable: written}), newline=""))
    )
    assert [*read_sheet("\ufeff" + text.getvalue(), "sheet.csv", lexicon).values()] == [code]


BAD = [
    ("side", "rihgt", "line 2: no code 'rihgt'; expected left / right / both / NM / UNC"),
    ("implant_length_mm", "long", "'long' is no number"),
    ("grafts", "temporalis fasica", "no concept 'temporalis fasica'; expected an id of the word lists. Did you mean"),
    ("grafts", "zzzz", "Write other: before"),
]


@pytest.mark.parametrize(("variable", "written", "line"), BAD)
def test_a_code_that_is_none_is_told_with_its_line(
    sheet: str, lexicon: Lexicon, variable: str, written: str, line: str
) -> None:
    with pytest.raises(RecordError, match=re.escape(line)):
        read_sheet(fill(sheet, {variable: written}), "sheet.csv", lexicon)


def test_a_sheet_that_is_none_is_told(sheet: str, lexicon: Lexicon) -> None:
    with pytest.raises(RecordError, match="no column 'recording_id'"):
        read_sheet("a,b\n1,2\n", "sheet.csv", lexicon)
    with pytest.raises(RecordError, match="no variable 'colour'"):
        read_sheet("recording_id,variable,code\nr1,colour,red\n", "sheet.csv", lexicon)
    with pytest.raises(RecordError, match="line 3: side of r1 is coded twice"):
        read_sheet("recording_id,variable,code\nr1,side,left\nr1,side,right\n", "sheet.csv", lexicon)


def coders(*rows: str) -> dict[str, Codes]:
    return {
        f"coder {n}": {(f"{u:03d}", "side"): code for u, code in enumerate(row.split()) if code != "."}
        for n, row in enumerate(rows)
    }


def test_kappa_on_worked_examples() -> None:
    """0.40: 50 grants, 20 yes-yes, 5, 10, 15 no-no (textbook example [M]). Its asymptotic interval (Cohen 1960, eq. 7)
    is 0.15 to 0.65. 0.67: Sim & Wright, Phys Ther 2005;85:257, two clinicians, 39 patients: 22, 2, 4, 11 [M].
    """
    grants = agreement(coders("y " * 25 + "n " * 25, "y " * 20 + "n " * 5 + "y " * 10 + "n " * 15), "side")
    assert grants.kappa == pytest.approx(0.4)
    assert grants.kappa_interval == pytest.approx((0.146, 0.654), abs=0.03)
    assert grants.same == 0.7
    patients = agreement(coders("y " * 24 + "n " * 15, "y " * 22 + "n " * 2 + "y " * 4 + "n " * 11), "side")
    assert patients.kappa == pytest.approx(0.67, abs=0.005)


ALPHA = [
    # Krippendorff 2011, "Computing Krippendorff's Alpha-Reliability", sections A to C [M].
    (("0 1 0 0 0 0 0 0 1 0", "1 1 1 0 0 1 0 0 0 0"), 0.095),
    (("a a b b d c c c e d d a", "b a b b b c c c e d d d"), 0.692),
    (
        (
            "1 2 3 3 2 1 4 1 2 . . .",
            "1 2 3 3 2 2 4 1 2 5 . 3",
            ". 3 3 3 2 3 4 2 2 5 1 .",
            "1 2 3 3 2 4 4 1 2 5 1 .",
        ),
        0.743,
    ),
    # The example of three observers and fifteen units in encyclopaedias [M].
    (
        (
            ". . . . . 3 4 1 2 1 1 3 3 . 3",
            "1 . 2 1 3 3 4 3 . . . . . . .",
            ". . 2 1 3 4 4 . 2 1 1 3 3 . 4",
        ),
        0.691,
    ),
]


@pytest.mark.parametrize(("rows", "alpha"), ALPHA)
def test_alpha_on_worked_examples(rows: tuple[str, ...], alpha: float) -> None:
    found = agreement(coders(*rows), "side")
    assert found.alpha == pytest.approx(alpha, abs=0.0006)
    assert found.alpha_interval is not None
    assert found.alpha_interval[0] <= alpha <= found.alpha_interval[1]
    assert (found.kappa is not None) == (len(rows) == 2)


def test_where_every_code_is_the_same_neither_is_defined() -> None:
    found = agreement(coders("a a a", "a a a"), "side")
    assert (found.same, found.kappa, found.alpha, found.kappa_interval) == (1.0, None, None, None)


def test_the_formulas_of_the_interval_are_those_of_the_library() -> None:
    from nltk.metrics.agreement import AnnotationTask

    rng = random.Random(5)
    for _ in range(20):
        table = [[rng.choice("abc") for _ in range(2)] for _ in range(12)]
        if len({c for unit in table for c in unit}) < 2:
            continue
        task = AnnotationTask([(f"c{k}", f"u{n}", c) for n, unit in enumerate(table) for k, c in enumerate(unit)])
        given = np.array([[[c == code for code in "abc"] for c in unit] for unit in table], dtype=float)
        ones = np.ones((1, len(table)))
        assert kappas(ones, given)[0] == pytest.approx(task.kappa())
        assert alphas(ones, given)[0] == pytest.approx(task.alpha())


def test_sample_to_agreement_by_the_command(record: Record, lexicon: Lexicon, tmp_path: Path) -> None:
    """Draw, fill in by two people (one in a French spreadsheet), print machine against human and human against human."""
    place = tmp_path / "out" / "case" / "record.json"
    place.parent.mkdir(parents=True)
    place.write_text(dump_record(record), "utf-8")
    run = CliRunner()
    drawn = run.invoke(main, ["table", str(tmp_path / "out"), "--sample", "5", "--seed", "3", "--out", str(tmp_path)])
    assert drawn.output.startswith("1 of 1 recordings drawn (seed 3)")
    assert (tmp_path / "codebook.md").read_text("utf-8").startswith("# Codebook")
    sheet = (tmp_path / "coding-sheet.csv").read_text("utf-8")
    codes = {"side": "right", "grafts": "other:caché", "anaesthesia": "NM"}
    (tmp_path / "one.csv").write_text(fill(sheet, codes), "utf-8")
    french = fill(sheet, {**codes, "side": "left"}).replace(",", ";")
    (tmp_path / "two.csv").write_bytes(french.encode("cp1252"))
    args = ["table", str(tmp_path / "out"), "--coded", str(tmp_path / "one.csv"), "--coded", str(tmp_path / "two.csv")]
    told = run.invoke(main, args)
    assert told.exit_code == 0, told.output
    side = [line.split()[1:7] for line in told.output.splitlines() if line.startswith("side ")]
    assert side == [
        ["machine", "/", "person", "1", "1", "1.00"],
        ["machine", "/", "person", "2", "1", "0.00"],
        ["person", "1", "/", "person", "2", "1"],
    ]
    (tmp_path / "other.csv").write_text("recording_id,variable,code\nr0,side,left\n", "utf-8")
    none = run.invoke(main, ["table", str(place), "--coded", str(tmp_path / "other.csv")])
    assert none.exit_code == 1
    assert "codes none of the records" in none.output
