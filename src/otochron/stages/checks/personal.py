"""Spoken personal data: names after a title, dates of birth, numbers of a file."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.lexicon.personal import personal_spans
from otochron.model import Check, Record
from otochron.stages.checks.wording import Wording


def find(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    """Stop where personal data seems to be spoken; ``--mask`` hides it."""
    return [wording.check("personal-data", [span], said=wording.said(span)) for span in personal_spans(record, lexicon)]
