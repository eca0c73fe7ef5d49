"""Gather what is said of one thing into one item: all its evidence, the status that holds last."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from otochron.lexicon import Lexicon
from otochron.model import Attribute, Item, Side, Span, Status

Key = tuple[str | None, Side | None, str]


@dataclass
class Draft:
    """One fact in the making."""

    concept: str | None
    side: Side | None = None
    said: list[tuple[Status, Span]] = field(default_factory=list)
    attributes: dict[str, Attribute] = field(default_factory=dict)

    @property
    def evidence(self) -> tuple[Span, ...]:
        """All places that tell it, in spoken order, each once."""
        return unique(span for _, span in self.said)

    @property
    def statuses(self) -> list[Status]:
        """What was said of it, in order."""
        return [status for status, _ in self.said]


class Drafts:
    """Facts of one family by concept, side, and what else tells two apart."""

    def __init__(self) -> None:
        self.by_key: dict[Key, Draft] = {}

    def add(self, concept: str | None, status: Status, span: Span, side: Side | None = None, apart: str = "") -> Draft:
        """Add one place where a thing is told."""
        draft = self.by_key.setdefault((concept, side, apart), Draft(concept, side))
        draft.said.append((status, span))
        return draft

    def __iter__(self) -> Iterable[Draft]:
        return iter(self.by_key.values())

    def drop(self, unwanted: Iterable[Draft]) -> None:
        """Take out some facts."""
        gone = {id(draft) for draft in unwanted}
        self.by_key = {key: draft for key, draft in self.by_key.items() if id(draft) not in gone}


def unique(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Give spans in spoken order, each once."""
    found = {(s.start_ms, s.line, s.start, s.to_line, s.end): s for s in spans}
    return tuple(found[place] for place in sorted(found))


def last_of(draft: Draft, among: Iterable[Status]) -> Status | None:
    """Give the last status said that is one of some."""
    wanted = set(among)
    return next((status for status in reversed(draft.statuses) if status in wanted), None)


def item(draft: Draft, status: Status, lexicon: Lexicon) -> Item:
    """Make the item of a draft."""
    return Item(
        concept=draft.concept,
        side=draft.side,
        status=status,
        attributes=dict(sorted(draft.attributes.items())),
        codes=codes(draft.concept, lexicon),
        evidence=draft.evidence,
    )


def codes(concept: str | None, lexicon: Lexicon) -> tuple[str, ...]:
    """Give the codes of a concept."""
    entry = lexicon.get(concept)
    return entry.code_list() if entry else ()


def in_order(items: Iterable[Item]) -> tuple[Item, ...]:
    """Sort items by the first place that tells them."""
    return tuple(sorted(items, key=lambda i: (i.evidence[0].start_ms if i.evidence else 0, i.concept or "")))
