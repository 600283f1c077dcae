"""What of a lot goes onto a machine, which of its items, and how much is that?

First come first, whole items as long as they fit; of the one that does not, some pieces: it stays where it
stands with what is left of it. Which items they really were only a scan of their own label says.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.genealogy.item_masses import Some
from lotroot.goods import ITEM_LENGTH, Goods, goods, part_amount
from lotroot.identity import item_from
from lotroot.production.amounts import in_unit
from lotroot.stock.events import Move
from lotroot.stock.standing import Range, cut, weights
from lotroot.work import Work


class GoingOn(NamedTuple):
    """Goods of one spot that go on with all they amount to; `back` of the one item among them stays."""

    goods: Goods
    back: int = 0

    def moves(self, run: str) -> Iterator[Move]:
        """What goes to the run, and what comes back of an item that is only begun."""
        one = self.goods
        yield Move(one.lot.number, one.spot, run, one.amount, one.first, one.last, run=run)
        if self.back:
            yield Move(one.lot.number, run, one.spot, self.back, one.first, one.last, run=run)


def serial_of(number: str) -> int:
    """The serial of an item's number; 0 of any other, which means all of a lot."""
    return item_from(number).serial if len(number) == ITEM_LENGTH else 0


def meant(connection: Connection, number: str, lot: str) -> list[Goods]:
    """The goods to be loaded: the one item whose label was scanned, else all of the lot."""
    if not serial_of(number):
        return goods(connection, lot)
    return [one._replace(amount=part_amount(connection, one)) for one in goods(connection, number)]


def going_on(connection: Connection, standing: Sequence[Goods], own: int) -> list[GoingOn]:
    """The first `own` of some goods, in their lot's unit; all of them where they are less."""
    found, left = [], own
    for one in standing:
        if left <= 0:
            break
        if one.amount <= 0:
            continue
        if not one.first:
            found.append(GoingOn(one._replace(amount=min(one.amount, left))))
        elif one.amount <= left:
            found.append(GoingOn(one))
        else:
            found.extend(_split(connection, one, left))
        left -= one.amount
    return found


def put_on(work: Work, row: Row[Any], unit: str, standing: Sequence[Goods], own: int) -> int:
    """What goes on of a lot, first come first, in the closing unit; items by what each of them weighs."""
    parts = going_on(work.connection, standing, own)
    more = own - sum(one.goods.amount - one.back for one in parts)
    amount = in_unit(work, row, unit, *[one.goods for one in parts], Some(more))
    for one in parts:
        if one.back:
            amount -= in_unit(work, row, unit, one.goods._replace(amount=one.back))
    return amount


def _split(connection: Connection, row: Goods, own: int) -> Iterator[GoingOn]:
    """The whole items of a row that `own` holds, and the one behind them that is only begun (RULES 21)."""
    whole = Range(row.first, row.last, row.amount)
    weighed = weights(connection, row.lot.number, row.first, row.last)
    serials = range(row.first, row.last + 1)
    count = bisect_right(serials, own, key=lambda last: cut(whole, weighed, row.first, last))
    done = cut(whole, weighed, row.first, row.first + count - 1) if count else 0
    if count:
        yield GoingOn(row._replace(last=row.first + count - 1, amount=done))
    if own > done:
        begun = row.first + count
        amount = cut(whole, weighed, begun, begun)
        yield GoingOn(row._replace(first=begun, last=begun, amount=amount), amount - (own - done))
