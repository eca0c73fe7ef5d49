"""The same narration recognised twice with different errors gives the same steps; the order is the one spoken."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
sys.path.insert(0, str(TESTS / "fit"))

from narrated import told  # noqa: E402

from build import tell  # noqa: E402
from otochron.lexicon import load  # noqa: E402
from otochron.model import Record  # noqa: E402
from otochron.score import measures  # noqa: E402
from otochron.stages.steps import group_steps  # noqa: E402
from script import read_script  # noqa: E402

TWICE = ("stapedotomy-right", "ventilation-tubes-both")
ERRORS = 0.12
AGREEMENT = 0.8


def labels(record: Record, seconds: int) -> list[str]:
    found = ["none"] * seconds
    for step in record.steps:
        if step.status == "done":
            for second in range(step.start_ms // 1000, min(seconds, step.end_ms // 1000)):
                found[second] = step.step
    return found


@pytest.mark.parametrize("name", TWICE)
def test_two_hearings_give_the_same_steps(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    script = read_script(TESTS / "scripts" / f"{name}.txt")
    # Of one format, so that the times are the same and the errors alone differ.
    heard = [group_steps(told(script, load(), seed, ERRORS).record, load()) for seed in (5, 10)]
    seconds = min(record.recording.duration_ms for record in heard) // 1000
    one, two = (labels(record, seconds) for record in heard)
    agreement = measures.frame_accuracy(one, two)
    with capsys.disabled():
        print(f"\n{name} heard twice: the same step in {agreement:.3f} of the seconds")
    assert agreement is not None
    assert agreement >= AGREEMENT


ACTS = {
    "com.harvest.fascia": [
        "now i harvest the temporalis fascia",
        "a piece of fascia of two centimetres with the scissors",
        "i clean the muscle from the fascia and let it dry on the block",
    ],
    "com.harvest.cart": [
        "so now the cartilage from the tragus",
        "i cut the tragal cartilage with its perichondrium",
        "and i slice the cartilage to half a millimetre",
    ],
    "com.infiltrate": [
        "now i inject the canal with lidocaine and adrenaline",
        "i infiltrate the four quadrants slowly",
        "the skin of the canal blanches with the injection",
    ],
}


@pytest.mark.parametrize("seed", range(6))
def test_the_order_is_the_one_spoken(seed: int) -> None:
    order = random.Random(seed).sample(sorted(ACTS), len(ACTS))
    record = tell("right ear tympanoplasty for a perforation", *(line for act in order for line in ACTS[act]))
    alias = [load()[step.step].alias for step in record.steps if step.status == "done"]
    assert [step for step in alias if step in ACTS] == order
