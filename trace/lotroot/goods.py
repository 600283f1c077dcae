"""Which goods does a scanned number mean?

A lot's number means all of the lot, an item's number one of its units, a carrier's number what is on
it, a vessel's number what stands in it.
"""

from collections.abc import Iterable
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import ItemNumber, Number, is_carrier, is_lot, is_thing, item_from, number_from
from lotroot.identity.showing import shown
from lotroot.stock.carriers import carrier_or_none
from lotroot.stock.events import BORN
from lotroot.stock.standing import amount_at, at_spot, lines_of_lot, standings

ITEM_LENGTH = 17

GONE = {"taken": "used up or tipped out", "difference": "found missing", "void": "taken back"}
"""What became of items by the account they went to last."""


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

    @property
    def items(self) -> int:
        """How many items of a lot these are; 0 for a lot that has none."""
        return self.last - self.first + 1 if self.first else 0


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
    several = f"holds {len(found)} lots: {', '.join(shown(one) for one in list(found)[:3])}"
    holds = several if found else "is empty"
    raise Refused(
        f"{name} {holds}.",
        value=text,
        expected="One lot.",
        next_step="Scan the label of the lot that is meant.",
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


def away(connection: Connection, parts: Iterable[Goods]) -> str:
    """Which goods are where, for a refusal: items 5 to 6 of N26-... are on pallet P26-..., in run ..."""
    said = []
    for part in parts:
        if part.lot.voided:
            said.append(f"{shown(part.number)} was taken back")
        elif part.items > 1:
            row = f"items {row_words(part.first, part.last)} of {shown(part.lot.number)}"
            said.append(f"{row} are {where_words(connection, part.spot)}")
        else:
            said.append(f"{shown(part.number)} is {where_words(connection, part.spot)}")
    text = "; ".join(said)
    return f"{text[:1].upper()}{text[1:]}."


def where_words(connection: Connection, spot: str) -> str:
    """A spot in words: on shipment D26-..., on pallet P26-..., on a machine, at T26-...."""
    if spot.startswith("D"):
        return f"on shipment {shown(spot)}"
    if spot.startswith("U"):
        return f"on a machine, in run {shown(spot)}"
    carrier = carrier_or_none(connection, spot) if spot.startswith("P") else None
    if carrier is None:
        return f"at {shown(spot)}"
    name = f"on {carrier.code or f'pallet {shown(carrier.number)}'}"
    return f"{name}, on shipment {shown(carrier.spot)}" if carrier.spot.startswith("D") else name


def row_words(first: int, last: int) -> str:
    """Serials in words: 7, or 7 to 9."""
    return str(first) if first == last else f"{first} to {last}"


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
    serials = range(first, last + 1)
    cut = [
        part._replace(first=max(part.first, first), last=min(part.last, last))
        for part in whole
        if part.first <= last and part.last >= first
    ]
    there = {serial for part in cut for serial in range(part.first, part.last + 1)}
    missing = [serial for serial in serials if serial not in there]
    if missing:
        raise Refused(
            f"Some of these items are not recorded as standing here: {_gone(connection, number, missing)}.",
            value=f"{shown(number)} to {shown(to)}",
            expected="Items that are here.",
            next_step="Leave those out and put them aside; scan the others in rows without a gap.",
        )
    return cut


def _gone(connection: Connection, number: str, serials: Iterable[int]) -> str:
    """Serials that stand nowhere with what became of them: 7 used up, 9 to 10 never packed."""
    lines = [row for row in lines_of_lot(connection, number[:11]) if row.account != BORN and row.amount > 0]
    rows: list[tuple[str, int, int]] = []
    for serial in serials:
        last = next((row for row in reversed(lines) if row.first <= serial <= row.last), None)
        word = "never packed" if last is None else GONE.get(last.account, "used up")
        if rows and rows[-1][0] == word and rows[-1][2] == serial - 1:
            rows[-1] = (word, rows[-1][1], serial)
        else:
            rows.append((word, serial, serial))
    return ", ".join(f"{row_words(first, last)} {word}" for word, first, last in rows)


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
