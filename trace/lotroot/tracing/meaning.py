"""Which of our numbers does somebody mean who typed or scanned a text?"""

from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.genealogy.lots import find_lot, lot_or_none, lots_known_as
from lotroot.genealogy.walks import lots_numbered
from lotroot.identity import ItemNumber, Number, is_lot, read
from lotroot.identity.showing import shown
from lotroot.reserved import stands_for
from lotroot.stock.carriers import carrier_or_none
from lotroot.tracing.outside import number_in

_NAMED_AT_MOST = 6


def meant(connection: Connection, text: str) -> str:
    """The canonical number a text stands for, by itself or as another name of one lot or carrier.

    Numbers of lots are known ones; of other families nobody has looked yet. Raises Unknown for the number
    of a lot nobody gave, Unreadable for what is no number, or a name that fits several lots.
    """
    number, unread = _number_in(text)
    if number and not _is_unknown_lot(connection, number):
        return number
    known = stands_for(connection, number) if number else ""
    if known == number:
        known = _known_as(connection, text) or number_in(connection, text)
    if known:
        return known
    if unread is not None:
        raise unread
    return str(find_lot(connection, number[:11]).number)


def _number_in(text: str) -> tuple[str, Unreadable | None]:
    """The number a text proves to be, or why it is none."""
    try:
        value = read(text).value
    except Unreadable as error:
        return "", error
    if isinstance(value, Number | ItemNumber):
        return str(value), None
    return "", Unreadable(
        "This is no number of goods.",
        expected="The number of a lot, an item, a carrier, a run or a shipment.",
        next_step="Scan the label on the goods.",
    )


def _is_unknown_lot(connection: Connection, number: str) -> bool:
    value = read(number).value
    lot = value.lot if isinstance(value, ItemNumber) else value
    return isinstance(lot, Number) and is_lot(lot) and lot_or_none(connection, str(lot)) is None


def _known_as(connection: Connection, text: str) -> str:
    found = lots_numbered(connection, lots_known_as(connection, text))
    lots = sorted(number for number, row in found.items() if not row.voided)
    if len(lots) > 1:
        more = f" and {len(lots) - _NAMED_AT_MOST} more" if len(lots) > _NAMED_AT_MOST else ""
        named = ", ".join(shown(number) for number in lots[:_NAMED_AT_MOST])
        raise Unreadable(
            f"{len(lots)} lots are known as {text.strip()}: {named}{more}.",
            value=text,
            expected="A name of one lot.",
            next_step="Ask for one of these numbers.",
        )
    if lots:
        return lots[0]
    carrier = carrier_or_none(connection, text.strip())
    return str(carrier.number) if carrier is not None else ""
