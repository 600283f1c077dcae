"""Which goods can somebody mean who reads only part of a label over the telephone?"""

from collections.abc import Iterator

from sqlalchemy import Connection, select

from lotroot.dispatch.facts import shipment
from lotroot.errors import Unreadable
from lotroot.genealogy.lots import lots_known_as
from lotroot.genealogy.tables import lot_table
from lotroot.identity import find
from lotroot.production.tables import run
from lotroot.stock.tables import carrier

MOST = 20
WHOLE = 11
"""Characters of a whole number; what is longer is an item's."""

_NUMBERED = (lot_table.c.number, carrier.c.number, shipment.c.number, run.c.number)


def candidates(connection: Connection, text: str) -> list[str]:
    """The known numbers, at most 20 and the latest first, that `text` may be or be a part of.

    Names of lots count too: a heat, a supplier's number. Raises Unreadable where no number of ours could
    look like that and no lot is known by it.
    """
    known = lots_known_as(connection, text)
    try:
        parts = find(text)
    except Unreadable:
        if not known:
            raise
        parts = []
    found = [*known, *(number for part in parts for number in _with(connection, part))]
    return list(dict.fromkeys(found))[:MOST]


def _with(connection: Connection, part: str) -> Iterator[str]:
    """Numbers that hold a part: one with a letter begins with it; an item's number is its lot's."""
    if len(part) > WHOLE and part[0].isalpha():
        yield from _like(connection, part[:WHOLE])
        return
    yield from _like(connection, f"{part}%" if part[0].isalpha() else f"%{part}%")


def _like(connection: Connection, pattern: str) -> list[str]:
    found = []
    for column in _NUMBERED:
        query = select(column).where(column.like(pattern)).order_by(column.desc()).limit(MOST)
        found += [str(row[0]) for row in connection.execute(query)]
    return sorted(found, key=lambda number: number[1:9], reverse=True)
