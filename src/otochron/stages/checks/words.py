"""Doubt about words: names that no list knows, garbled stretches, estimated times."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Check, Record
from otochron.stages.checks.wording import Wording

_NAMED = frozenset({"implant", "material", "graft", "drug", "instrument", "packing"})


def find(record: Record, lexicon: Lexicon, wording: Wording) -> list[Check]:
    """Look at names in the place of a device or material; tell of garbled stretches and estimated times."""
    del lexicon
    found = [
        wording.check("unknown-name", [mention], said=mention.surface)
        for mention in record.mentions
        if mention.concept is None and mention.refers_to is None and mention.kind in _NAMED and mention.echo_of is None
    ]
    found += [wording.check("unclear-speech", [u.span], said=wording.said(u.span)) for u in record.unclear]
    if record.recording.time_basis != "word" and record.lines:
        found.append(wording.check("times-estimated"))
    return found
