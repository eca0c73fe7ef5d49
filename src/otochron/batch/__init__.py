"""Many recordings. The work on one is :func:`otochron.job.run_job`: bytes and options in, files out."""

from otochron.batch.inputs import Item, find_items
from otochron.batch.pool import Summary, run_batch
from otochron.batch.run import is_new, make_plan, open_state, write_batch_tables, write_failures
from otochron.batch.work import warm

__all__ = [
    "Item",
    "Summary",
    "find_items",
    "is_new",
    "make_plan",
    "open_state",
    "run_batch",
    "warm",
    "write_batch_tables",
    "write_failures",
]
