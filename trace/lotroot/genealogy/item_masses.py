"""What do items of a lot weigh, each by what its own output weighed?

A bundle of long sheets weighs more than one of as many short ones, so a lot's mass is not shared out by
pieces where it is known which output an item was made in. Inside one output the mass goes by serials, by
cumulative floor (RULES 21). All items together weigh what their lot weighs, to the gram (RULES 3).
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple, Protocol

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.genealogy.tables import item_mass

_AT_ONCE = 500
_of_lots = (
    select(item_mass)
    .where(item_mass.c.lot.in_(bindparam("lots", expanding=True)))
    .order_by(item_mass.c.lot, item_mass.c.first)
)


class Part(Protocol):
    """Serials first to last of a lot, 0 where it has none; `amount` in the lot's unit, 0 for all of them."""

    @property
    def first(self) -> int:
        """The first serial."""

    @property
    def last(self) -> int:
        """The last serial."""

    @property
    def amount(self) -> int:
        """What they are recorded with."""


class Some(NamedTuple):
    """Part of a lot, where no row of a table says which."""

    amount: int
    first: int = 0
    last: int = 0


class OfOutput(NamedTuple):
    """Serials first to last were made at once and weigh `mass` grams; 0 to 0 where nobody kept which.

    `amount` is the same in the lot's unit, 0 where it is not told.
    """

    first: int
    last: int
    mass: int
    amount: int = 0


class Masses:
    """The grams of parts of some lots."""

    def __init__(self, outputs: Mapping[str, Sequence[OfOutput]]) -> None:
        self._outputs = outputs

    def of(self, lot: Row[Any], *parts: Part) -> int | None:
        """What parts of a lot weigh together in grams; None where nobody knows."""
        loose = sum(part.amount for part in parts)
        if lot.unit == "g":
            return loose
        if lot.mass is None or not lot.amount:
            return None
        outputs = self._outputs.get(lot.number, ())
        found: list[int | None] = []
        if outputs and all(one.first for one in outputs):
            loose = sum(part.amount for part in parts if not part.first)
            found = [_mass_of(outputs, part) for part in parts if part.first]
        known = [one for one in found if one is not None]
        return sum(known) + int(loose * lot.mass // lot.amount) if len(known) == len(found) else None


def masses(connection: Connection, lots: Iterable[Row[Any]]) -> Masses:
    """What is known of the items of some lots; read a few hundred lots at a time."""
    wanted = sorted({lot.number for lot in lots if lot.axis == "serial" and lot.unit != "g"})
    found: dict[str, list[OfOutput]] = {}
    for start in range(0, len(wanted), _AT_ONCE):
        for row in connection.execute(_of_lots, {"lots": wanted[start : start + _AT_ONCE]}):
            found.setdefault(row.lot, []).append(OfOutput(row.first, row.last, row.mass, row.amount))
    return Masses(found)


def grams_of(connection: Connection, lot: Row[Any], *parts: Part) -> int | None:
    """What parts of one lot weigh together in grams; None where nobody knows."""
    return masses(connection, [lot]).of(lot, *parts)


def _mass_of(outputs: Iterable[OfOutput], part: Part) -> int | None:
    """What a part weighs; one item that pieces were taken out of, what its last pieces do."""
    mass = mass_of_items(outputs, part.first, part.last)
    if mass is None or part.first != part.last or not part.amount:
        return mass
    of = next(one for one in outputs if one.first <= part.first <= one.last)
    before, items = part.first - of.first, of.last - of.first + 1
    made = of.amount * (before + 1) // items - of.amount * before // items
    gone = made - part.amount
    return mass - mass * gone // made if gone > 0 else mass


def mass_of_items(outputs: Iterable[OfOutput], first: int, last: int) -> int | None:
    """What serials first to last weigh in grams; None where one was made in no output that has a mass."""
    found = covered = 0
    for one in outputs:
        start, end = max(first, one.first), min(last, one.last)
        if start <= end:
            items = one.last - one.first + 1
            found += one.mass * (end - one.first + 1) // items - one.mass * (start - one.first) // items
            covered += end - start + 1
    return found if covered == last - first + 1 else None
