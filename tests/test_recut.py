"""Lines are cut anywhere: cutting a word-timed recording at other places leaves its facts unchanged."""

from __future__ import annotations

import json
import random

import pytest

from conftest import SAMPLES
from otochron.api import extract, read_bytes
from otochron.model import Record

SAMPLE = SAMPLES / "mastoidectomy-canal-wall-up-left" / "transcript.json"


def recut(seed: int) -> bytes:
    words = [w for s in json.loads(SAMPLE.read_text("utf-8"))["segments"] for w in s["words"]]
    rng = random.Random(seed)
    segments = []
    while words:
        n = rng.randint(1, 25)
        piece, words = words[:n], words[n:]
        text = " ".join(w["word"] for w in piece)
        segments.append({"start": piece[0]["start"], "end": piece[-1]["end"], "text": text, "words": piece})
    return json.dumps({"segments": segments}).encode()


def facts(record: Record) -> dict[str, object]:
    case = record.case
    return {
        "side": case.side.value,
        "procedures": [(i.concept, i.status) for i in case.procedures],
        "findings": [(f.structure, f.finding, f.status) for f in case.findings],
        "implants": [(i.concept, i.status) for i in case.implants],
        "repairs": [
            (r.heard, r.text) for r in record.repairs if r.decision == "applied" and r.continues is None and r.text
        ],
        "mentions": [(m.concept, m.status) for m in record.mentions],
        "sizes": [(m.value, m.low, m.high, m.unit, m.of, m.role, m.status) for m in record.measurements],
        "steps": [(s.step, s.status) for s in record.steps],
        "plan": [(p.what, p.when.after, p.when.for_) for p in case.plan],
    }


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_recutting_leaves_the_facts_unchanged(seed: int) -> None:
    whole = facts(extract(read_bytes(SAMPLE.read_bytes(), "a.json")))
    cut = facts(extract(read_bytes(recut(seed), "b.json")))
    for name, value in whole.items():
        if name == "repairs":
            # A repair over a line end holds its heard words in two parts; its text is one.
            assert [text for _, text in cut[name]] == [text for _, text in value]  # type: ignore[attr-defined]
        else:
            assert cut[name] == value, name
