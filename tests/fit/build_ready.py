"""Write out what is worked out from the word lists: ``lexicons/ready/``. Run it when a word list has changed.

    python tests/fit/build_ready.py

Nothing depends on it but the time to start: what is out of date is not used (``otochron/lexicon/ready.py``).
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "src")]

from otochron.lexicon import load  # noqa: E402
from otochron.lexicon.folder import default_folder  # noqa: E402
from otochron.lexicon.ready import FORMS, TABLES, dump_forms, dump_tables, ready_folder  # noqa: E402
from otochron.stages.repair import written  # noqa: E402
from otochron.stages.repair.targets import work_out  # noqa: E402


def made() -> dict[str, bytes]:
    """Give the files of the folder by name."""
    lexicon = load()
    texts = {name: (default_folder() / name).read_text("utf-8") for name in lexicon.hashes}
    return {
        TABLES: dump_tables((name, lexicon.hashes[name], tomllib.loads(text)) for name, text in texts.items()),
        FORMS: dump_forms(lexicon.entries.values(), lexicon.hashes),
        written.FILE: written.dump_targets(work_out(lexicon), lexicon.hashes),
    }


if __name__ == "__main__":
    ready_folder().mkdir(exist_ok=True)
    for name, data in made().items():
        (ready_folder() / name).write_bytes(data)
        print(f"{name}: {len(data) / 1024:.0f} KB")
