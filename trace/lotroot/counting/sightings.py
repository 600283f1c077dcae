"""What does a scanned number mean in a count, and where does the record have it?"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.counting.commands import CountGoods
from lotroot.counting.facts import Sighting
from lotroot.counting.serials import Span, without
from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.genealogy.lots import find_lot, lot_or_none
from lotroot.goods import typed
from lotroot.identity import Family, ItemNumber, Number, is_carrier, is_lot
from lotroot.identity.showing import shown
from lotroot.reserved import is_reserved
from lotroot.stock.carriers import carrier_or_none, find_carrier
from lotroot.stock.standing import Range, at_spot, cut, standings, weights


def seen_as(connection: Connection, command: CountGoods) -> list[Sighting]:
    """What a scanned number means, wherever the record has it. Raises Unknown, Unreadable, Refused."""
    number = typed(command.number)
    if isinstance(number, ItemNumber):
        return _items(connection, number, command.to)
    if command.to:
        raise _no_row(command)
    if is_carrier(number):
        return _on_carrier(connection, command.number)
    if is_lot(number):
        return _lot(connection, number)
    raise Unreadable(
        f"{number.shown} is not goods.",
        value=command.number,
        expected="The label of a lot, a box, a pan or a pallet.",
        next_step="Scan the label on the goods.",
    )


def _no_row(command: CountGoods) -> Refused:
    return Refused(
        "These two labels are no row of items.",
        value=f"{shown(command.number)} to {shown(command.to)}",
        expected="The first and the last item of one lot.",
        next_step="Scan the first, then the last.",
    )


def _items(connection: Connection, number: ItemNumber, to: str) -> list[Sighting]:
    end = typed(to) if to else number
    if not isinstance(end, ItemNumber) or end.lot != number.lot or end.serial < number.serial:
        raise _no_row(CountGoods(0, str(number), to))
    lot = find_lot(connection, str(number.lot))
    if end.serial > lot.items and not lot.voided:
        raise Refused(
            f"{shown(lot.number)} has no item {end.serial} yet.",
            value=str(end),
            expected=f"Items 1 to {lot.items}.",
            next_step="Put it aside: record the items first, then scan this one again.",
        )
    row = Span(number.serial, end.serial)
    found = [one for one in _standing(connection, lot) if one.first <= row.last and one.last >= row.first]
    here = [_part(connection, one, row) for one in found]
    nowhere = without(row, [Span(one.first, one.last) for one in here])
    return here + [Sighting(lot.number, first, last, "", "", 0) for first, last in nowhere]


def _part(connection: Connection, one: Sighting, row: Span) -> Sighting:
    """What of a standing row is among the serials that were scanned."""
    first, last = max(one.first, row.first), min(one.last, row.last)
    weighed = weights(connection, one.lot, one.first, one.last)
    amount = cut(Range(one.first, one.last, one.amount), weighed, first, last)
    return Sighting(one.lot, first, last, one.spot, one.stood, amount)


def _lot(connection: Connection, number: Number) -> list[Sighting]:
    text = str(number)
    if lot_or_none(connection, text) is None and is_reserved(connection, number):
        raise Unknown(
            f"{number.shown} is a label kept ready: nothing is recorded with it yet.",
            value=text,
            expected="Goods that have been recorded.",
            next_step="Put it aside, record the goods on the page Catching up, then scan it again.",
        )
    lot = find_lot(connection, text)
    if lot.axis == "serial":
        raise Refused(
            f"{number.shown} is told by items: which of them stand here?",
            value=text,
            expected="The label of each, a row of them, or the pallet they are on.",
            next_step="Scan the labels on the items; ROW for many in a row.",
        )
    return _standing(connection, lot) or [Sighting(text, 0, 0, "", "", 0)]


def _standing(connection: Connection, lot: Row[Any]) -> list[Sighting]:
    return [
        Sighting(lot.number, row.first, row.last, row.spot, where_stands(connection, row.spot), row.amount)
        for row in standings(connection, lot.number)
    ]


def where_stands(connection: Connection, spot: str) -> str:
    """The place, run or shipment a spot is, or that the carrier it names stands in; empty for nowhere."""
    carrier = carrier_or_none(connection, spot) if spot.startswith(Family.CARRIER) else None
    return str(carrier.spot) if carrier is not None else spot


def _on_carrier(connection: Connection, number: str) -> list[Sighting]:
    carrier = find_carrier(connection, number)
    if carrier.state in ("became", "void"):
        became = f"became {shown(carrier.became)}" if carrier.became else "was taken back"
        raise Refused(
            f"{shown(number)} {became}.",
            value=number,
            expected="The label that counts now.",
            next_step="Destroy this label; scan the other, or what stands here one by one.",
        )
    itself = Sighting("", 0, 0, number, carrier.spot, 0)
    return [itself] + [
        Sighting(row.lot, row.first, row.last, number, carrier.spot, row.amount)
        for row in at_spot(connection, number)
    ]


def nearest(place: str, seen: list[Sighting]) -> list[Sighting]:
    """Of a lot that stands at a place and elsewhere too, a label seen there is on what stands there."""
    here = [one for one in seen if place in (one.spot, one.stood)]
    return here if here and not seen[0].first else seen


def seen_before(rows: Sequence[Row[Any]], number: str, seen: Sequence[Sighting]) -> Row[Any] | None:
    """The last of the scans of a count that saw all of this before; None where any of it is new."""
    if not seen[0].lot:
        return next((row for row in reversed(rows) if not row.lot and row.number == number), None)
    met: list[Row[Any]] = []
    for one in seen:
        same = [row for row in rows if row.lot == one.lot and (row.first or row.spot == one.spot)]
        if without(Span(one.first, one.last), [Span(row.first, row.last) for row in same]):
            return None
        met += [row for row in same if row.first <= one.last and row.last >= one.first]
    return max(met, key=lambda row: (row.event, row.seq))
