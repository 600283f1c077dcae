"""Which goods does a number mean when somebody asks where they came from or went?

A lot or an item means itself; a carrier what is on it, else what was on it when it was last filled, as it
was then shipped or emptied; a run its outputs; a shipment its loads.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.dispatch.shipments import find_shipment
from lotroot.errors import Unknown, Unreadable
from lotroot.genealogy.item_masses import Masses, Some, masses
from lotroot.genealogy.lots import find_lot, lots_of_run
from lotroot.genealogy.walks import lots_numbered
from lotroot.goods import typed
from lotroot.identity import Family, ItemNumber, Number, is_lot, item_from
from lotroot.identity.showing import shown
from lotroot.plant.adopted import plant_or_none, thing_or_none
from lotroot.processes.definition import Plant
from lotroot.production.runs import find_run, judged_by
from lotroot.stock.carriers import contents, find_carrier
from lotroot.stock.events import BORN
from lotroot.stock.standing import Range, at_spot, cut, lines_of_lot, standings, weights
from lotroot.tracing.meaning import meant
from lotroot.tracing.nodes import Goods
from lotroot.tracing.spans import ALL, Span, merged
from lotroot.tracing.words import Words


class Line(NamedTuple):
    """Goods of one lot in what was asked; serials 0 and 0 where it is no lot of items."""

    lot: str
    first: int
    last: int
    amount: int


@dataclass(frozen=True)
class Part:
    """What was asked of one lot: `amount` in the lot's unit, `spans` its serials or ALL."""

    lot: Row[Any]
    amount: int
    spans: tuple[Span, ...] = (ALL,)
    whole: bool = True

    @property
    def goods(self) -> Goods:
        """The same as tracing reckons with it."""
        if self.whole or not self.lot.amount:
            return Goods(self.lot.id)
        return Goods(self.lot.id, self.spans, Fraction(max(self.amount, 0), self.lot.amount))


@dataclass(frozen=True)
class Asked:
    """What was asked: its canonical number, what it is, its amount in a base unit, and its parts.

    `kind` is lot, item, carrier, run or shipment; `unit` is g where the parts are of several units, and
    what has no mass then counts nothing. `now` says that the parts are on the carrier now.
    """

    number: str
    kind: str
    unit: str
    amount: int
    parts: tuple[Part, ...]
    now: bool = True


def asked(connection: Connection, text: str) -> Asked:
    """What a typed or scanned text means.

    Raises Unknown for a number nobody gave; Unreadable for what is no goods: a place, person or thing,
    or a name that fits several lots.
    """
    number = meant(connection, text)
    value = typed(number)
    if isinstance(value, ItemNumber):
        return _summed(connection, (number, "item"), [_item(connection, number)])
    if is_lot(value):
        return asked_whole(connection, number, "lot", [_not_void(find_lot(connection, number))])
    kind = value.family.name.lower()
    if value.family not in _MEANINGS:
        raise _no_goods(connection, value)
    return _MEANINGS[value.family](connection, number, kind)


def asked_whole(connection: Connection, number: str, kind: str, lots: Iterable[Row[Any]]) -> Asked:
    """Several lots asked together under one number, all of each."""
    return _summed(connection, (number, kind), [Part(lot, lot.amount) for lot in lots if not lot.voided])


def _not_void(lot: Row[Any]) -> Row[Any]:
    if lot.voided:
        raise Unknown(
            f"{shown(lot.number)} was taken back: it never was.",
            value=lot.number,
            expected="A lot that stands.",
            next_step="Destroy this label and scan the goods' new one.",
        )
    return lot


def _item(connection: Connection, number: str) -> Part:
    value = item_from(number)
    lot = _not_void(find_lot(connection, str(value.lot)))
    if value.serial > lot.items:
        raise Unknown(
            f"{shown(lot.number)} has no item {value.serial}.",
            value=number,
            expected=f"Items 1 to {lot.items}." if lot.items else "A lot of items.",
            next_step="Scan the label again.",
        )
    amount = _item_amount(connection, lot.number, value.serial)
    return Part(lot, amount, ((value.serial, value.serial),), whole=False)


def _item_amount(connection: Connection, lot: str, serial: int) -> int:
    """What an item amounts to where it stands, or did when it was made."""
    born = [
        Range(row.first, row.last, -row.amount)
        for row in lines_of_lot(connection, lot)
        if row.account == BORN and row.first
    ]
    standing = [Range(row.first, row.last, row.amount) for row in standings(connection, lot)]
    around = [each for each in standing + born if each.first <= serial <= each.last]
    if not around:
        return 0
    weighed = weights(connection, lot, around[0].first, around[0].last)
    return cut(around[0], weighed, serial, serial)


def _carrier(connection: Connection, number: str, kind: str) -> Asked:
    find_carrier(connection, number)
    rows = [row for row in at_spot(connection, number) if row.amount > 0]
    on_it = [Line(row.lot, row.first, row.last, row.amount) for row in rows]
    lines = on_it or _when_last_filled(connection, number)
    return _of_lines(connection, (number, kind), lines, now=bool(on_it))


def _when_last_filled(connection: Connection, number: str) -> list[Line]:
    """What was on a carrier after the last was put on it: as it was then shipped or emptied."""
    rows = contents(connection, number)
    filled = max((row.put_on for row in rows), default=0)
    return [
        Line(row.lot, row.first, row.last, row.amount)
        for row in rows
        if row.taken_off is None or row.taken_off > filled
    ]


def _run(connection: Connection, number: str, kind: str) -> Asked:
    run = find_run(connection, number)
    lots = lots_of_run(connection, number)
    if not lots and judged_by(connection, run.row)[1].feed == "as_is":
        # What goes in comes out under its own number.
        lots = list(lots_numbered(connection, (load.lot for load in run.inputs)).values())
    return asked_whole(connection, number, kind, lots)


def _shipment(connection: Connection, number: str, kind: str) -> Asked:
    loads = find_shipment(connection, number).loads
    lines = [Line(row.lot, row.first, row.last, row.amount) for row in loads]
    return _of_lines(connection, (number, kind), lines, now=True)


_MEANINGS: dict[Family, Callable[[Connection, str, str], Asked]] = {
    Family.CARRIER: _carrier,
    Family.RUN: _run,
    Family.SHIPMENT: _shipment,
}


def _no_goods(connection: Connection, value: Number) -> Unreadable:
    thing = thing_or_none(connection, str(value))
    called = Words(connection).called(str(value)) if thing is not None else f"a {value.family.word}"
    return Unreadable(
        f"{value.shown} is no goods: it is {called}.",
        value=str(value),
        expected="The number of a lot, an item, a carrier, a run or a shipment.",
        next_step="Scan the label on the goods.",
    )


def _of_lines(connection: Connection, what: tuple[str, str], lines: Iterable[Line], *, now: bool) -> Asked:
    by_lot: dict[str, list[Line]] = {}
    for line in lines:
        by_lot.setdefault(line.lot, []).append(line)
    lots = lots_numbered(connection, by_lot)
    parts = [_part(lot, by_lot[number]) for number, lot in lots.items() if not lot.voided]
    return _summed(connection, what, parts, now=now)


def _part(lot: Row[Any], lines: list[Line]) -> Part:
    amount = sum(line.amount for line in lines)
    if lot.axis != "serial" or not all(line.first for line in lines):
        return Part(lot, amount, whole=amount >= lot.amount)
    spans = tuple(merged((line.first, line.last) for line in lines))
    return Part(lot, amount, spans, whole=spans == ((1, lot.items),))


def _summed(
    connection: Connection, what: tuple[str, str], parts: Iterable[Part], *, now: bool = True
) -> Asked:
    number, kind = what
    ordered = tuple(sorted(parts, key=lambda part: part.lot.number))
    units = {part.lot.unit for part in ordered}
    if len(units) == 1:
        return Asked(number, kind, units.pop(), sum(part.amount for part in ordered), ordered, now)
    return Asked(number, kind, "g", sum(in_grams(connection, ordered)), ordered, now)


def in_grams(connection: Connection, parts: Sequence[Part]) -> list[int]:
    """The mass of each part of a lot in g, 0 where none is known."""
    plant = plant_or_none(connection)
    known = masses(connection, (part.lot for part in parts))
    return [_grams(plant, known, part) for part in parts]


def _grams(plant: Plant | None, known: Masses, part: Part) -> int:
    lot = part.lot
    grams = known.of(lot, *(Some(0 if nth else part.amount, *span) for nth, span in enumerate(part.spans)))
    if grams is not None:
        return grams
    product = plant.products.get(lot.product) if plant else None
    mass = product.mass_per_piece_mg if product and lot.unit == "pcs" else None
    return part.amount * (mass or 0) // 1000
