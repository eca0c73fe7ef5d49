"""The surgeon's word: a file that accepts, refuses, replaces or adds, and outranks extraction.

``reading`` reads the file, ``anchors`` finds its places, ``repairs`` and ``facts`` apply it between the stages
(see ``otochron.pipeline``), ``open`` drafts one with every open question. ``mask`` hides spoken personal data.
"""

from __future__ import annotations

from otochron.corrections.draft import draft_corrections
from otochron.corrections.endings import apply_checks
from otochron.corrections.facts import apply_facts
from otochron.corrections.mask import mask_record
from otochron.corrections.reading import Corrections, read_corrections
from otochron.corrections.repairs import apply_repairs

__all__ = [
    "Corrections",
    "apply_checks",
    "apply_facts",
    "apply_repairs",
    "draft_corrections",
    "mask_record",
    "read_corrections",
]
