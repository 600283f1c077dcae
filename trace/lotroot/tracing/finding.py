"""Which known numbers can somebody mean who reads only part of a label, or knows another name?"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, select

from lotroot.database import anywhere
from lotroot.dispatch.facts import shipment
from lotroot.errors import Unreadable
from lotroot.genealogy.lots import as_alias
from lotroot.genealogy.tables import alias, lot, lot_table
from lotroot.genealogy.walks import lots_numbered
from lotroot.identity import ItemNumber, is_lot, number_from
from lotroot.identity import find as parts_of
from lotroot.identity.showing import shown
from lotroot.production.tables import run
from lotroot.reserved import stands_for
from lotroot.stock.tables import carrier
from lotroot.tracing.words import Words

MOST = 20
_LOT_LENGTH, _SERIAL_LENGTH = 11, 4

_numbered = [
    select(column).where(column.like(bindparam("like"))).order_by(column.desc()).limit(MOST)
    for column in (lot_table.c.number, carrier.c.number, run.c.number, shipment.c.number)
]
_known_as = (
    select(alias.c.number, alias.c.scheme, alias.c.value)
    .where(alias.c.value.like(bindparam("like"), escape="\\"))
    .order_by(alias.c.number.desc())
    .limit(MOST)
)
_made_as = (
    select(lot.c.number)
    .where(lot.c.product.in_(bindparam("products", expanding=True)), lot.c.voided == 0)
    .order_by(lot.c.id.desc())
    .limit(MOST)
)
_coded = select(carrier.c.number).where(carrier.c.code == bindparam("code"))


@dataclass(frozen=True)
class Candidate:
    """A number that may be meant: what family it is of, what it is, and by which name it was found."""

    number: str
    family: str
    what: str
    known_as: str = ""


def find(connection: Connection, text: str) -> list[Candidate]:
    """What a text may be or be a part of, at most 20, the latest first; lots that never were are left out.

    A number's digits, a heat, a supplier's number, a pan's code: any stretch of them will do. Raises
    Unreadable where nothing is known that is like it, and no number of ours could look like it either.
    """
    names = _names(connection, text)
    try:
        parts = parts_of(text)
    except Unreadable:
        if not names:
            raise
        parts = []
    on_goods = {goods: f"emergency label {shown(part)}" for part, goods in _answered(connection, parts)}
    names = {**names, **on_goods}
    numbers = [number for part in parts for number in _numbers(connection, part)]
    found = list(dict.fromkeys([*names, *numbers]))
    return _told(connection, found, names)[:MOST]


def of_products(connection: Connection, products: Collection[str]) -> list[Candidate]:
    """The lots of some products, at most 20, the latest first."""
    if not products:
        return []
    numbers = [str(row.number) for row in connection.execute(_made_as, {"products": sorted(products)})]
    return _told(connection, numbers, {})


def _names(connection: Connection, text: str) -> dict[str, str]:
    """Numbers that go by a name with this text in it, and that name."""
    wanted = as_alias(text)
    if not wanted:
        return {}
    rows = connection.execute(_known_as, {"like": anywhere(wanted)})
    found = {row.number: f"{row.scheme} {row.value}" for row in rows}
    coded = connection.execute(_coded, {"code": text.strip().lower()})
    return {**found, **{row.number: "" for row in coded}}


def _answered(connection: Connection, parts: list[str]) -> Iterator[tuple[str, str]]:
    """Whole numbers of emergency labels that were stuck on goods, and the goods."""
    for part in parts:
        goods = stands_for(connection, part)
        if goods != part:
            yield part, goods


def _numbers(connection: Connection, part: str) -> Iterator[str]:
    """Known numbers with a part in them; one that begins with a letter stands at their head."""
    head = part[: _LOT_LENGTH if part[0].isalpha() else _LOT_LENGTH - 1]
    like = f"{head}%" if part[0].isalpha() else f"%{head}%"
    found: list[Any] = [row[0] for query in _numbered for row in connection.execute(query, {"like": like})]
    for number in sorted(found, key=lambda number: number[1:9], reverse=True):
        yield _with_item(number, part[len(head) :])


def _with_item(lot: str, rest: str) -> str:
    """The item that the rest of a number names, also without its check pair; else its lot."""
    serial, number = rest[:_SERIAL_LENGTH], number_from(lot)
    if len(serial) < _SERIAL_LENGTH or not int(serial) or not is_lot(number):
        return lot
    item = str(ItemNumber(number, int(serial)))
    return item if item.startswith(lot + rest) else lot


def _told(connection: Connection, numbers: list[str], names: dict[str, str]) -> list[Candidate]:
    lots = lots_numbered(connection, (number[:_LOT_LENGTH] for number in numbers))
    words = Words(connection)
    found = []
    for number in numbers:
        row = lots.get(number[:_LOT_LENGTH])
        if row is None and len(number) > _LOT_LENGTH:
            continue
        if row is not None and (row.voided or int(number[11:15] or 0) > row.items):
            continue
        family = "item" if len(number) > _LOT_LENGTH else number_from(number).family.word
        what = words.called(number)
        if row is not None:
            what = f"{shown(number)}: {words.product(row.product) or words.kind(row.kind)}"
        found.append(Candidate(number, family, what, names.get(number, "")))
    return found
