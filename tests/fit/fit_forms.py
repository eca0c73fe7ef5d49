"""Write out the sounds of the words of all forms: ``python tests/fit/fit_forms.py``; only saves time at run time."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src")]

from otochron.lexicon import load  # noqa: E402
from otochron.stages.repair.form_sounds import FILE, dump_sounds  # noqa: E402
from otochron.stages.repair.targets import targets_of  # noqa: E402


def main() -> None:
    words = {word for target in targets_of(load()).targets for word in target.text.split()}
    packed = dump_sounds(words)
    (ROOT / "lexicons" / "weights" / FILE).write_bytes(packed)
    print(f"{len(words)} words, {len(packed)} bytes")


if __name__ == "__main__":
    main()
