"""Build ``samples/<case>/`` from the gold scripts: a transcript as a recogniser would give it, and its gold.

Run: ``python tests/build_samples.py [case …]``. The errors are made by the processes of ``tests/makers`` with
a seed per case, so that the same scripts give the same samples. Everything is invented.
"""

from __future__ import annotations

import json
import random
import sys
import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

import sample_formats
from makers import KINDS, make
from script import Script, Statement, read_folder

HERE = Path(__file__).parent
SAMPLES = HERE.parent / "samples"
TRADE_ERRORS = 0.20
EVERYDAY_ERRORS = 0.012
_KEPT = set(
    "no not non pas sans aucun aucune jamais ni never none without right left droit droite gauche both "
    "un une deux trois quatre cinq six sept huit neuf dix one two three four five seven eight nine ten point virgule "
    "demi half quart quarter cent hundred mille thousand pour per percent millimètre millimètres millimetre "
    "millimetres degrés degrees décibels decibels jours days semaines weeks mois months heures minutes seconds "
    "midi o'clock dixièmes".split()
)


@dataclass
class Heard:
    """One word as the recogniser wrote it, in seconds."""

    text: str
    start: float
    end: float
    p: float
    wrong: bool


def duration(word: str) -> float:
    """Seconds that a word takes: about 150 words a minute."""
    return 0.11 + 0.055 * len(word)


def build(script: Script) -> tuple[list[Heard], dict[str, Any]]:
    """Give the recogniser's words and the gold of one script."""
    case = script.header["case"]
    rng = random.Random(zlib.crc32(case.encode()))
    gold: dict[str, Any] = {
        "id": case,
        "note": "invented narration; gold written before the rules",
        "procedures": [p.strip() for p in script.header["procedures"].split(",")],
        "side": script.header.get("side"),
        "approach": [a.strip() for a in script.header.get("approach", "").split(",") if a.strip()],
        "report": script.header.get("report") == "yes",
    }
    kept: dict[str, list[Any]] = {
        name: []
        for name in "sentences repairs traps mentions steps measurements findings implants plan requests cautions".split()
    }
    kept["facts"] = []
    heard: list[Heard] = []
    clock = 1.0
    segments: list[tuple[float, float, str | None, str]] = []
    for statement in script.statements:
        if statement.pause_before:
            segments.append((clock, clock + statement.pause_before, statement.pause_step, statement.step_status))
            clock += statement.pause_before
        begin = clock
        times: list[tuple[float, float]] = []
        for word in statement.words:
            times.append((clock, clock + duration(word)))
            clock += duration(word) + 0.02
        end = times[-1][1]
        clock = end + 0.3 + rng.random() * 0.5
        segments.append((begin, clock, statement.step, statement.step_status))
        _hear(statement, times, rng, heard, kept)
        _note(statement, times, kept)
    gold |= kept
    gold["mentions_complete_until"] = round(clock, 2)
    gold["steps"] = kept["steps"] = _steps(segments) + [s for s in kept["steps"] if s]
    gold["steps"].sort(key=lambda s: (s["start"], s["end"]))
    return heard, gold


def _steps(segments: list[tuple[float, float, str | None, str]]) -> list[dict[str, Any]]:
    merged: list[list[Any]] = []
    for start, end, label, status in segments:
        if merged and merged[-1][2:] == [label, status]:
            merged[-1][1] = end
        else:
            merged.append([start, end, label, status])
    return [
        {"label": label, "start": round(start, 2), "end": round(end, 2), "status": status}
        for start, end, label, status in merged
        if label
    ]


def _hear(
    statement: Statement,
    times: list[tuple[float, float]],
    rng: random.Random,
    heard: list[Heard],
    kept: dict[str, list[Any]],
) -> None:
    """Add the recogniser's words of one statement, and its sentence and repairs."""
    guarded = _guarded(statement)
    owner = {n: mark for mark in statement.marks for n in range(mark.first, mark.last)}
    runs: list[dict[str, Any]] = []
    sentence: list[str] = []
    n = 0
    while n < len(statement.words):
        mark = owner.get(n)
        last = mark.last if mark else n + 1
        words, language = statement.words[n:last], statement.languages[n]
        forced = any(k in statement.forced for k in range(n, last))
        draw = rng.random()
        free = not any(k in guarded for k in range(n, last)) and not any(w in _KEPT for w in words)
        wrong = forced or (free and draw < (TRADE_ERRORS if mark else EVERYDAY_ERRORS if len(words[0]) > 3 else 0))
        new = misheard(words, language, rng) if wrong else words
        start, end = times[n][0], times[last - 1][1]
        if new != words:
            step = (end - start) / len(new)
            heard += [
                Heard(w, start + k * step, start + (k + 1) * step, round(0.15 + 0.7 * rng.random(), 3), True)
                for k, w in enumerate(new)
            ]
            if mark:
                kept["repairs"].append(
                    {
                        "time": round(start, 2),
                        "heard": " ".join(new),
                        "meant": " ".join(words),
                        "lang": language,
                        "term": mark.term,
                    }
                )
        else:
            heard += [Heard(w, *times[n + k], round(0.72 + 0.28 * rng.random(), 3), False) for k, w in enumerate(words)]
        if mark:
            kept["mentions"].append(
                {
                    "time": round(start, 2),
                    "heard": " ".join(new),
                    "term": mark.term,
                    "status": mark.status,
                    "surface": " ".join(words),
                }
            )
        sentence += new
        _add_run(runs, statement, n, last, new)
        n = last
    kept["sentences"].append(
        {
            "start": round(times[0][0], 2),
            "end": round(times[-1][1], 2),
            "lang": runs[0]["lang"] if len({r["lang"] for r in runs}) == 1 else "mixed",
            "heard": " ".join(sentence),
            "meant": statement.text,
            "register": statement.register,
            "runs": runs,
        }
    )


def misheard(words: list[str], language: str, rng: random.Random) -> list[str]:
    """Give what the recogniser wrote; a mere plural or the like is no mishearing of a trade word."""
    new = words
    for _ in range(6):
        new = make(words, language, rng.choice(KINDS), rng)
        if [w.rstrip("sxe") for w in new] != [w.rstrip("sxe") for w in words]:
            break
    return new


def _add_run(runs: list[dict[str, Any]], statement: Statement, first: int, last: int, new: list[str]) -> None:
    language = statement.languages[first]
    meant = " ".join(statement.words[first:last])
    if runs and runs[-1]["lang"] == language:
        runs[-1]["heard"] += " " + " ".join(new)
        runs[-1]["meant"] += " " + meant
    else:
        runs.append({"lang": language, "heard": " ".join(new), "meant": meant})


def _guarded(statement: Statement) -> set[int]:
    """Words of traps stay as they are."""
    guarded: set[int] = set()
    for note in statement.notes:
        if note["kind"] == "trap":
            words = note["text"].split()
            for n in range(len(statement.words) - len(words) + 1):
                if statement.words[n : n + len(words)] == words:
                    guarded.update(range(n, n + len(words)))
    return guarded


_FOLDERS = {
    "measurement": "measurements",
    "finding": "findings",
    "implant": "implants",
    "plan": "plan",
    "request": "requests",
    "caution": "cautions",
    "trap": "traps",
    "fact": "facts",
    "step": "steps",
}


def _note(statement: Statement, times: list[tuple[float, float]], kept: dict[str, list[Any]]) -> None:
    for note in statement.notes:
        value = {k: v for k, v in note.items() if k != "kind"}
        value["time"] = round(times[0][0], 2)
        value["until"] = round(times[-1][1], 2)
        if note["kind"] == "measurement":
            value["heard"] = statement.text
        if note["kind"] == "plan":
            value["end"] = value.pop("until")
            if "until" in note:
                value["until"] = note["until"]
        if note["kind"] == "step":
            value |= {"start": value["time"], "end": value["until"]}
        kept[_FOLDERS[note["kind"]]].append(value)


def write(script: Script) -> None:
    """Write one sample folder."""
    heard, gold = build(script)
    folder = SAMPLES / script.header["case"]
    folder.mkdir(parents=True, exist_ok=True)
    rng = random.Random(zlib.crc32(("cut " + script.header["case"]).encode()))
    name, text = sample_formats.FORMATS[script.header["format"]](heard, rng)
    (folder / f"transcript.{name}").write_text(text, "utf-8")
    (folder / "gold.json").write_text(json.dumps(gold, ensure_ascii=False, indent=1) + "\n", "utf-8")
    seconds = heard[-1].end
    (folder / "README.md").write_text(
        f"# {script.header['case']}\n\n{script.header.get('summary', '')}\n\n"
        f"Invented speech: no patient, surgeon or hospital. Format `{script.header['format']}`, "
        f"{len(heard)} words, {int(seconds // 60)} min {int(seconds % 60)} s, {len(gold['repairs'])} trade words misheard "
        "by process.\n" + ("\nReport set: no rule is tuned on it.\n" if gold["report"] else ""),
        "utf-8",
    )
    print(f"{script.header['case']}: {len(heard)} words, {len(gold['repairs'])} errors, {len(gold['steps'])} steps")


def main() -> None:
    wanted = set(sys.argv[1:])
    for script in read_folder(HERE / "scripts"):
        if not wanted or script.header["case"] in wanted:
            write(script)


if __name__ == "__main__":
    main()
