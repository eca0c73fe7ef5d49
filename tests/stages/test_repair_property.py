"""By property: whatever is misheard and wherever lines are cut, the heard words come back from the record alone."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from otochron.lexicon import load
from otochron.model import Line, Record, dump_record, load_record
from otochron.stages.language import find_languages
from otochron.stages.repair import find_repairs
from otochron.stages.repair.write import heard_again
from script import read_folder

NARRATIONS = read_folder(Path(__file__).parents[1] / "narrations")[:3]
SYLLABLES = ("ra", "ti", "mo", "plast", "en", "gu", "stape", "tym", "our", "ette")


def damaged(said: list[str], rng: random.Random) -> list[str]:
    """Split, join and respell words at random."""
    out: list[str] = []
    for word in said:
        chance = rng.random()
        if chance < 0.06 and len(word) > 5:
            cut = rng.randrange(2, len(word) - 2)
            out += [word[:cut], word[cut:]]
        elif chance < 0.09 and out:
            out[-1] += word
        elif chance < 0.12:
            out.append(word[: len(word) // 2] + rng.choice(SYLLABLES))
        else:
            out.append(word)
    return out


@pytest.mark.parametrize("seed", range(6))
def test_heard_comes_back(seed: int) -> None:
    rng = random.Random(seed)
    script = NARRATIONS[seed % len(NARRATIONS)]
    said = damaged([w for s in script.statements[:70] for w in s.words], rng)
    lines = []
    while said:
        size = rng.randint(1, 9)
        text = " ".join(said[:size])
        lines.append(Line(id=f"line-{len(lines) + 1}", start_ms=0, end_ms=0, heard=text, text=text))
        said = said[size:]
    lexicon = load()
    made = find_repairs(find_languages(Record(lines=tuple(lines)), lexicon), lexicon)
    record = load_record(dump_record(made))
    assert record.repairs
    assert [heard_again(line, record.repairs) for line in record.lines] == [line.heard for line in record.lines]
