"""Work that kills its process on one recording: a function that a spawned worker can import."""

from __future__ import annotations

import os
import signal

from otochron.batch.inputs import Item
from otochron.batch.work import Done, Plan, do_item


def die_on_second(plan: Plan, item: Item) -> Done:
    """Do the work, but die on the second recording."""
    if "case-001" in item.path:
        os.kill(os.getpid(), signal.SIGKILL)
    return do_item(plan, item)
