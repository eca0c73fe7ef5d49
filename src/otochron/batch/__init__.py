"""Many recordings. The work on one is :func:`otochron.job.run_job`: bytes and options in, files out."""

from otochron.batch.inputs import Item, find_items
from otochron.batch.run import Summary, make_plan, run_batch, write_batch_tables, write_failures

__all__ = ["Item", "Summary", "find_items", "make_plan", "run_batch", "write_batch_tables", "write_failures"]
