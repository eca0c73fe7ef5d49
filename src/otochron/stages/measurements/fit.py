"""How well one row of ``lexicons/dimensions.toml`` goes with one amount at one place.

Told are the place of the head, the band in which the value lies, the dimension named near by, the other end of a
distance, and the manner of speaking; ``choice.py`` weighs them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from otochron.stages.measurements.amounts import CLOCK, LENGTHS, Amount
from otochron.stages.measurements.bands import BARE_BESIDE, BARE_DECIMAL, BARE_IN_NAME, Fit, Row, convert
from otochron.stages.measurements.cues import Cue
from otochron.stages.measurements.links import Link
from otochron.stages.measurements.roles import said_role
from otochron.stages.measurements.scene import Head, Scene

MADE_KINDS = frozenset({"implant", "graft"})
"""Made to size, and spoken of for long."""
BESIDE = 0.5
"""The place score of a head that stands right beside its number."""

_ORDER: tuple[Fit, ...] = ("typical", "possible", "unknown", "outside")
_COUNTED_KINDS = frozenset("structure landmark instrument finding disease test graft packing".split())
_NEAR = -0.45
_TIGHT_PLACE = -0.3
_NEED_BEFORE, _NEED_AFTER, _NEED_STRICT = 12, 3, 8
_PLURAL_LETTERS = 3
_DIMENSION_BEFORE, _DIMENSION_NEAR = 7, 4
_SIZES = frozenset({"length", "width", "height", "diameter", "inner diameter", "thickness", "depth"})


@dataclass(frozen=True, slots=True)
class Offer:
    """One row that an amount may belong to, because of a head or of what was measured before."""

    row: Row
    of: str
    place: float
    head: Head | None = None
    added: bool = False
    source: str = "head"
    """How the row was come by."""
    parts: Mapping[str, float] = field(default_factory=dict)
    """What is known of the place beside its score."""

    def holds(self, amount: Amount) -> bool:
        """Tell whether the number stands inside the head: "optique trente degrés"."""
        return self.head is not None and self.head.first < amount.last and self.head.last > amount.first

    def told(self) -> bool:
        """Tell whether the head is a phrase that goes with this very row."""
        return self.head is not None and self.head.row == self.row.id


def fit(scene: Scene, amount: Amount, offer: Offer) -> Link | None:
    """Score one offer; None if it cannot be."""
    row, unit = offer.row, amount.unit or offer.row.bare_unit
    if convert(1.0, unit, row.unit) is None or (row.entry.role == "added" and not offer.added):
        return None
    if (amount.unit is None and not _can_be_bare(scene, amount, offer)) or not _is_near_enough(amount, offer):
        return None
    best, good = _best_readings(row, amount, unit)
    if best == "outside" and not _may_be_outside(scene, amount, offer):
        return None
    named, needed = _dimension(scene, amount, row), _needs(scene, amount, row)
    if row.strict and named <= 0 and needed <= 0 and not offer.told():
        return None
    reading = good[0] if len(good) == 1 or (good and _written_as_one(scene, amount, unit)) else None
    said = said_role(scene, amount)
    parts = {
        **offer.parts,
        f"from {offer.source}": 1.0,
        f"place {offer.source}": offer.place,
        best: 1.0,
        "prior": row.prior,
        "dimension": named,
        "needs": needed,
        **_ends(scene, amount, row),
        "distance, said measured": float(said == "measured" and row.dimension == "distance"),
        "made, said measured": float(said == "measured" and is_made(scene, offer.of)),
        "form": _form(scene, amount, offer),
        "manner": _manner(scene, amount, offer),
        "added row": float(offer.added and row.entry.role == "added"),
        "added to": float(offer.added and row.entry.role != "added"),
    }
    return Link(row, offer.of, 0.0, reading, unit, offer.head, parts)


def first_reading(scene: Scene, amount: Amount) -> float | None:
    """Give the value of an amount of which nothing is known; None if it may be two."""
    if len(amount.readings) == 1 or (amount.readings and _written_as_one(scene, amount, amount.unit or "")):
        return amount.readings[0]
    return None


def is_made(scene: Scene, of: str) -> bool:
    """Tell whether a thing is made to size."""
    entry = scene.lexicon.get(of)
    return entry is not None and entry.kind in MADE_KINDS


def is_counted(scene: Scene, amount: Amount) -> bool:
    """Tell whether a whole number stands before a plural: "two cuts", "four ear infections"."""
    last = amount.last
    if last >= len(scene.words) or scene.words[last - 1].mark or scene.clauses_between(last - 1, last):
        return False
    named = any(head.first == last and head.kind in _COUNTED_KINDS for head in scene.near(last, last, 0, 0))
    return named or _is_plural(scene, last)


def is_plain(amount: Amount) -> bool:
    """Tell whether an amount is a whole number without a unit."""
    return amount.unit is None and not amount.decimal and len(amount.readings) <= 1


def is_time(amount: Amount) -> bool:
    """Tell spans of time, which measure themselves, from the pulses of a laser."""
    return amount.quantity == "time" and amount.unit != "ms"


def after_article(scene: Scene, amount: Amount) -> bool:
    """Tell whether an article, or "a smaller", stands right before a number."""
    before = amount.first - 1
    return before >= 0 and not scene.words[before].mark and scene.cues.ending("size-article", amount.first) is not None


# --- what cannot be --------------------------------------------------------------------------------------


def _can_be_bare(scene: Scene, amount: Amount, offer: Offer) -> bool:
    """Tell whether this row is said without its unit, and so here."""
    row, plain = offer.row, is_plain(amount)
    if not (row.bare or row.counted) or (row.unit == CLOCK and not _on_dial(scene, amount)):
        return False
    if row.bare == BARE_IN_NAME and not offer.holds(amount):
        return False
    if plain and (row.bare == BARE_DECIMAL or (row.bare == BARE_BESIDE and offer.place < BESIDE)):
        return False
    return not (plain and not row.counted and _counts_something_else(scene, amount, offer))


def _counts_something_else(scene: Scene, amount: Amount, offer: Offer) -> bool:
    head = offer.head
    if head is not None and head.last <= amount.first and offer.place >= BESIDE:
        return False  # "speculum six fits"
    beside = head is not None and head.first == amount.last and head.concept in offer.row.entry.of
    return (not beside or _is_plural(scene, amount.last)) and is_counted(scene, amount)


def _is_near_enough(amount: Amount, offer: Offer) -> bool:
    row, head = offer.row, offer.head
    if row.counted and (amount.unit is not None or (head is not None and head.first - amount.last not in (0, 1))):
        return False
    if row.near and offer.place < _NEAR:
        return False
    loose = row.tight and offer.place < 0
    return not (loose and (is_time(amount) or amount.unit is None or offer.place < _TIGHT_PLACE))


def _may_be_outside(scene: Scene, amount: Amount, offer: Offer) -> bool:
    """Tell whether an impossible value may still be meant: only of what is named itself, and with its unit."""
    direct = offer.head is None or (offer.head.concept is not None and scene.is_a(offer.head.concept, offer.of))
    return direct and amount.unit is not None and not offer.row.counted and offer.place >= 0


def _on_dial(scene: Scene, amount: Amount) -> bool:
    value = amount.value
    at = scene.cues.ending("clock-preposition", amount.first)
    return value is not None and value == int(value) and 1 <= value <= 12 and at is not None and not amount.decimal


# --- what speaks for it ------------------------------------------------------------------------------------


def _best_readings(row: Row, amount: Amount, unit: str) -> tuple[Fit, list[float]]:
    """Give the best band that any reading reaches, and the readings that reach it; of a range, the worse end."""
    fits = [(reading, row.fit(reading, unit)) for reading in amount.readings]
    if not fits:
        return max((row.fit(v, unit) for v in (amount.low, amount.high) if v is not None), key=_ORDER.index), []
    best = min((fit for _, fit in fits), key=_ORDER.index)
    return best, [reading for reading, fit in fits if fit == best]


def _written_as_one(scene: Scene, amount: Amount, unit: str) -> bool:
    """Tell a number that is what it says: in hyphens, or no length ("quatre-vingt-cinq décibels")."""
    return unit not in LENGTHS or all(word.glued for word in scene.words[amount.first + 1 : amount.first + 3])


def _form(scene: Scene, amount: Amount, offer: Offer) -> float:
    """Favour two sides for a product, one dimension for a single number."""
    row = offer.row
    paired = bool(row.second or row.pair)
    score = -0.6 if row.tight and offer.place < 0 else 0.0
    if amount.partner is None:
        return score - 0.3 * paired
    if amount.part == 1 and row.second:
        return score - 0.6
    if not paired and (row.tight or _has_pair(scene, offer.of)):
        return score - 0.9
    return score


def _has_pair(scene: Scene, of: str) -> bool:
    """Tell whether a product is usual here; of a piston it is diameter and length, of a graft two sides."""
    return not is_made(scene, of) or any(row.pair for row in scene.rows.measuring(of))


def _is_plural(scene: Scene, place: int) -> bool:
    word = scene.words[place].key if place < len(scene.words) else ""
    if scene.cues.at("role-plus", place):
        return False  # "la fraise de deux, plus d'eau"
    return len(word) > _PLURAL_LETTERS and word.endswith(("s", "x"))


def _manner(scene: Scene, amount: Amount, offer: Offer) -> float:
    """Weigh the words: what is wanted or cut is made; what is read off is a distance; "a four" is a size."""
    row, score = offer.row, 0.0
    said = said_role(scene, amount)
    if said in ("target", "final", "intermediate"):
        if is_made(scene, offer.of):
            score += 0.25
        elif row.dimension == "distance" or (row.tight and offer.place < BESIDE):
            score -= 0.25
    elif said == "measured" and row.dimension == "distance":
        score += 0.3
    if is_plain(amount) and row.bare and row.entry.typical and after_article(scene, amount):
        score += 0.3
    if row.default_role == "measured" and row.dimension != "distance":
        # "at five centimetres from the canal" is no size of the canal.
        after = offer.head is not None and offer.head.first >= amount.last
        score -= 0.6 * bool(after and scene.cues.ending("measured-away", amount.first))
        score -= 0.6 * bool(scene.cues.at("measured-away-after", amount.last))
    return score


def _dimension(scene: Scene, amount: Amount, row: Row) -> float:
    """Favour the row whose dimension is named near by."""
    last = scene.clause_range(amount.first)[1]
    first = scene.clause_range(max(0, amount.first - _DIMENSION_NEAR))[0]  # "the depth | should be half a millimetre"
    named = scene.cues.inside(
        "dimension-word", max(first, amount.first - _DIMENSION_BEFORE), min(last, amount.last + 4)
    )
    named = [cue for cue in named if not scene.in_name(cue)]  # the long process is not said to be long
    if not named:
        return 0.0
    own = [cue for cue in named if _goes_with(scene, amount, cue)]
    said = {cue.value for cue in own or named}
    if said & {row.dimension, row.also} or (row.dimension.endswith("diameter") and "diameter" in said):
        return 0.7 if own else 0.45
    if not said - {"distance"}:
        return -0.05
    return -0.6 if own and row.dimension in _SIZES else -0.15


def _goes_with(scene: Scene, amount: Amount, cue: Cue) -> bool:
    """Tell a dimension said with its number, "two deep", "de large", from one that only stands near."""
    if cue.value not in _SIZES:
        return False
    return amount.last <= cue.first <= amount.last + 1 and not scene.clauses_between(amount.last - 1, cue.first)


def _needs(scene: Scene, amount: Amount, row: Row) -> float:
    """Weigh whether the other end of a distance stands near by, for the rows that have one."""
    if not row.entry.needs:
        return 0.0
    before, after = (0, 0) if row.strict else (_NEED_BEFORE, _NEED_AFTER)
    first = scene.clause_range(max(0, amount.first - before))[0]
    last = scene.clause_range(min(len(scene.words) - 1, amount.last - 1 + after))[1]
    if row.strict:
        first, last = max(first, amount.first - _NEED_STRICT), min(last, amount.last + _NEED_STRICT)
    near = scene.near(amount.first, amount.last, amount.first - first, max(0, last - amount.last) - 1)
    return 0.25 if any(head.concept in row.entry.needs for head in near) else -0.3


def _ends(scene: Scene, amount: Amount, row: Row) -> dict[str, float]:
    """Tell how many ends of a distance are named in its clause: the one it is measured at, and the other."""
    entry = row.entry
    if not entry.needs or row.dimension != "distance":
        return {}
    first, last = scene.clause_range(amount.first)
    here = {head.concept for head in scene.near(first, first, 0, last - first)}
    own = here & {*entry.of, *entry.from_, *entry.targets}
    other = here & {*entry.needs, *entry.to}
    if own and other:
        return {"both ends here": 1.0}
    return {"one end here": 1.0, f"{'own' if own else 'other'} end here": 1.0} if own or other else {"no end here": 1.0}
