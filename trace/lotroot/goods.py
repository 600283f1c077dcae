"""Which goods does a scanned number mean?

A lot's number means all of the lot, an item's number one of its units, a carrier's number what is on
it, a vessel's number what stands in it.
"""

from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import ItemNumber, Number, is_carrier, is_lot, is_thing, item_from, number_from
from lotroot.identity.showing import shown
from lotroot.stock.carriers import carrier_or_none
from lotroot.stock.standing import amount_at, at_spot, standings

ITEM_LENGTH = 17


class Goods(NamedTuple):
    """A lot, or serials first to last of it, standing at one spot; `amount` in the lot's unit."""

    lot: Row[Any]
    first: int
    last: int
    spot: str
    amount: int

    @property
    def number(self) -> str:
        """The number of the lot, or of the item where it is one."""
        if self.first and self.first == self.last:
            return str(ItemNumber(number_from(self.lot.number), self.first))
        return str(self.lot.number)


def typed(text: str) -> Number | ItemNumber:
    """The canonical text of a number as a value. Raises Unreadable."""
    return item_from(text) if len(text) == ITEM_LENGTH else number_from(text)


def means_carrier(text: str) -> bool:
    """Whether a number is a carrier's: a pan's, tram's, spool's or pallet's."""
    number = typed(text)
    return isinstance(number, Number) and is_carrier(number)


def goods(connection: Connection, text: str) -> list[Goods]:
    """What a number means now, one entry a lot and spot; empty for a lot that stands nowhere.

    Raises Unknown for a number nobody gave, Unreadable for one that is no goods at all.
    """
    number = typed(text)
    if isinstance(number, ItemNumber):
        return _item(connection, number)
    if is_lot(number):
        return _of_lot(connection, find_lot(connection, text))
    if is_carrier(number) or is_thing(number):
        return [
            Goods(find_lot(connection, row.lot), row.first, row.last, row.spot, row.amount)
            for row in at_spot(connection, text)
        ]
    raise Unreadable(
        f"{shown(text)} is not goods.",
        value=text,
        expected="The label of a lot, a box, a pan or a pallet.",
        next_step="Scan the label on the goods.",
    )


def one_lot(connection: Connection, text: str) -> Row[Any]:
    """The one lot a number means. Raises Refused where a carrier or vessel holds none or several."""
    number = typed(text)
    if isinstance(number, ItemNumber):
        return find_lot(connection, str(number.lot))
    if is_lot(number):
        return find_lot(connection, text)
    found = {one.lot.number: one.lot for one in goods(connection, text)}
    if len(found) == 1:
        return next(iter(found.values()))
    carrier = carrier_or_none(connection, text)
    name = carrier.code or shown(text) if carrier else shown(text)
    holds = "is empty" if not found else f"holds {len(found)} lots"
    raise Refused(
        f"{name} {holds}.",
        value=text,
        expected="One lot.",
        next_step="Scan the lot's own label.",
    )


def standing_goods(connection: Connection, number: str, to: str = "") -> list[Goods]:
    """The goods a number means that stand somewhere, or its items up to the item `to` of the same lot.

    Raises Refused where nothing, or not all of the row, is recorded as standing.
    """
    found = _row_of_items(connection, number, to) if to else goods(connection, number)
    if not found:
        raise Refused(
            f"{shown(number)} stands nowhere: it was used up, or is not packed yet.",
            value=number,
            expected="Goods that are here.",
            next_step="Scan the label on the goods; if this is it, call the supervisor.",
        )
    return found


def part_amount(connection: Connection, part: Goods) -> int:
    """What a part of a standing range, or of a lot at a spot, amounts to, in the lot's unit."""
    return amount_at(connection, part.lot.number, part.spot, part.first, part.last)


def _row_of_items(connection: Connection, number: str, to: str) -> list[Goods]:
    start, end = typed(number), typed(to)
    first, last = getattr(start, "serial", 0), getattr(end, "serial", 0)
    if not first or last < first or getattr(start, "lot", None) != getattr(end, "lot", None):
        raise Refused(
            "These two labels are no row of items.",
            value=f"{shown(number)} to {shown(to)}",
            expected="The first and the last item of one lot.",
            next_step="Scan the first, then the last.",
        )
    whole = goods(connection, number[:11])
    cut = [
        part._replace(first=max(part.first, first), last=min(part.last, last))
        for part in whole
        if part.first <= last and part.last >= first
    ]
    missing = (last - first + 1) - sum(part.last - part.first + 1 for part in cut)
    if missing:
        raise Refused(
            f"{missing} of these items are not recorded as standing anywhere.",
            value=f"{shown(number)} to {shown(to)}",
            expected="Items that are here.",
            next_step="Scan them one by one.",
        )
    return cut


def _item(connection: Connection, number: ItemNumber) -> list[Goods]:
    lot = find_lot(connection, str(number.lot))
    if number.serial > lot.items:
        raise Refused(
            f"{shown(lot.number)} has no item {number.serial} yet.",
            value=str(number),
            expected=f"Items 1 to {lot.items}.",
            next_step="Record the items first, then scan this one again.",
        )
    return [
        Goods(lot, number.serial, number.serial, one.spot, one.amount)
        for one in _of_lot(connection, lot)
        if one.first <= number.serial <= one.last
    ]


def _of_lot(connection: Connection, lot: Row[Any]) -> list[Goods]:
    return [
        Goods(lot, row.first, row.last, row.spot, row.amount) for row in standings(connection, lot.number)
    ]
