"""The summary on the terminal: what a surgeon reads first. Plain text; no colour is needed to read it."""

from __future__ import annotations

from otochron.lexicon import Lexicon
from otochron.model import Record
from otochron.writers.wording import DRAFT, clock, part_name, size

_MOST = 12


def write_summary(record: Record, lexicon: Lexicon) -> str:
    """Give side, procedures, steps with times, sizes, repairs to look at, and checks, a line each."""
    shares = record.languages
    length = clock(record.recording.duration_ms)
    head = f"{record.recording.name}: {length}, English {shares.en:.0%}, French {shares.fr:.0%}"
    side = record.case.side.value or "not said"
    names = [lexicon.label(item.concept, "en") for item in record.case.procedures if item.status == "affirmed"]
    parts = [head, f"Side: {side}. Procedure: {', '.join(dict.fromkeys(names)) or 'not recognised'}."]
    parts += _block("Steps", _steps(record, lexicon))
    parts += _block("Sizes", _sizes(record, lexicon))
    parts += _block("Repairs to look at", _repairs(record))
    parts += _block("To be checked", [f"{c.level:<4}  {c.message.en}" for c in record.checks if c.level != "info"])
    if record.missing:
        parts.append("Not said: " + "; ".join(m.message.en.rstrip(".") for m in record.missing) + ".")
    parts.append(DRAFT["en"])
    return "\n".join(parts)


def _block(title: str, lines: list[str]) -> list[str]:
    if not lines:
        return []
    more = [f"  … and {len(lines) - _MOST} more in the record"] if len(lines) > _MOST else []
    shown = lines if title == "Steps" else lines[:_MOST]
    return [title, *(f"  {line}" for line in shown), *(more if title != "Steps" else [])]


def _steps(record: Record, lexicon: Lexicon) -> list[str]:
    found: list[str] = []
    for step in record.steps:
        note = "" if step.status == "done" else f" ({step.status})"
        again = " (again)" if step.revisit_of else ""
        found.append(f"{clock(step.start_ms):>7}-{clock(step.end_ms):<7} {lexicon.label(step.step, 'en')}{again}{note}")
    return found


def _sizes(record: Record, lexicon: Lexicon) -> list[str]:
    shown = [m for m in record.measurements if m.role in {"final", "measured", "target"} and m.echo_of is None and m.of]
    return [
        f"{clock(m.start_ms):>7} {part_name(lexicon, m, 'en')}: {size(m, 'en')} ({m.role}, {m.status})" for m in shown
    ]


def _repairs(record: Record) -> list[str]:
    at = {line.id: line.start_ms for line in record.lines}
    shown = [
        r for r in record.repairs if r.text and (r.decision == "suggested" or r.score < 0.95) and r.decision != "kept"
    ]
    verb = {"applied": "now", "suggested": "perhaps"}
    return [f"{clock(at[r.line]):>7} heard “{r.heard}”, {verb[r.decision]} “{r.text}” ({r.score:.2f})" for r in shown]
