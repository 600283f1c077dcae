"""How do the facts of stock become its tables?

Ranges of items are split where a move touches part of one; they are never merged (RULES 21). In a run a lot
stands as an amount: what is made of it takes an amount, and nobody sees of which item.
"""

from functools import singledispatch
from typing import Any

from sqlalchemy import Connection, Row, and_, bindparam, delete, insert, select, update

from lotroot.errors import Fault
from lotroot.identity import Family
from lotroot.ledger.events import Recorded
from lotroot.stock.events import (
    ACCOUNTS,
    CarrierChanged,
    CarrierMoved,
    CarrierOpened,
    CarrierTared,
    ItemsWeighed,
    LoadsBooked,
    Move,
    Moved,
    TareTakenBack,
)
from lotroot.stock.standing import part_of_range
from lotroot.stock.tables import carrier, content, item_weight, line, standing, tare

_of_carrier = update(carrier).where(carrier.c.number == bindparam("carrier"))
_moved = _of_carrier.values(spot=bindparam("to"), since=bindparam("event"))
_changed = _of_carrier.values(state=bindparam("to"), became=bindparam("became_it"), since=bindparam("event"))


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the tables of stock; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not a fact of stock."""


@_apply.register
def _(event: Moved, connection: Connection, recorded: Recorded) -> None:
    _follow(event.moves, connection, recorded)


@_apply.register
def _(event: LoadsBooked, connection: Connection, recorded: Recorded) -> None:
    _follow(event.moves, connection, recorded)


def _follow(moves: tuple[Move, ...], connection: Connection, recorded: Recorded) -> None:
    for seq, move in enumerate(moves, 1):
        for account, sign in ((move.source, -1), (move.target, 1)):
            if account in ACCOUNTS:
                _enter(connection, recorded, (seq * 2 + (sign > 0), account, sign), move)
        if move.source not in ACCOUNTS:
            _leave(connection, recorded.id, move)
        if move.target not in ACCOUNTS:
            _arrive(connection, recorded.id, move)


@_apply.register
def _(event: ItemsWeighed, connection: Connection, _recorded: Recorded) -> None:
    rows = [{"lot": event.lot, "serial": one.serial, "amount": one.amount} for one in event.weights]
    serials = [one.serial for one in event.weights]
    connection.execute(
        delete(item_weight).where(item_weight.c.lot == event.lot, item_weight.c.serial.in_(serials))
    )
    connection.execute(insert(item_weight), rows)


@_apply.register
def _(event: CarrierOpened, connection: Connection, recorded: Recorded) -> None:
    row = {
        "number": event.number,
        "kind": event.kind,
        "code": event.code,
        "reusable": int(event.reusable),
        "state": "open",
        "spot": event.spot,
        "became": "",
        "since": recorded.id,
    }
    connection.execute(insert(carrier), [row])


@_apply.register
def _(event: CarrierMoved, connection: Connection, recorded: Recorded) -> None:
    connection.execute(_moved, {"carrier": event.number, "to": event.spot, "event": recorded.id})


@_apply.register
def _(event: CarrierChanged, connection: Connection, recorded: Recorded) -> None:
    values = {"to": event.state, "became_it": event.became, "event": recorded.id}
    connection.execute(_changed, {"carrier": event.number, **values})


@_apply.register
def _(event: CarrierTared, connection: Connection, recorded: Recorded) -> None:
    row = {
        "event": recorded.id,
        "carrier": event.number,
        "grams": event.grams,
        "since": recorded.posting.happened,
        "person": recorded.posting.person,
        "typed_by": event.typed_by,
    }
    connection.execute(insert(tare), [row])


@_apply.register
def _(event: TareTakenBack, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(delete(tare).where(tare.c.event == event.event))


def _enter(connection: Connection, recorded: Recorded, entry: tuple[int, str, int], move: Move) -> None:
    seq, account, sign = entry
    row = {
        "event": recorded.id,
        "seq": seq,
        "lot": move.lot,
        "first": move.first,
        "last": move.last,
        "account": account,
        "amount": sign * move.amount,
        "run": move.run,
        "reason": move.reason,
        "at": recorded.posting.happened,
    }
    connection.execute(insert(line), [row])


def _leave(connection: Connection, event_id: int, move: Move) -> None:
    if move.first and _told_apart(move.source):
        _leave_range(connection, event_id, move)
        return
    row = connection.execute(select(standing).where(_bulk(move.lot, move.source))).first()
    left = (row.amount if row else 0) - move.amount
    if row is None:
        _put(connection, (move.lot, 0, 0), move.source, left, event_id)
    elif left == 0:
        connection.execute(delete(standing).where(_bulk(move.lot, move.source)))
    else:
        connection.execute(update(standing).where(_bulk(move.lot, move.source)).values(amount=left))
    _off(connection, event_id, move, gone=left == 0)


def _leave_range(connection: Connection, event_id: int, move: Move) -> None:
    query = select(standing).where(
        standing.c.lot == move.lot,
        standing.c.spot == move.source,
        standing.c.first <= move.last,
        standing.c.last >= move.first,
    )
    rows = connection.execute(query.order_by(standing.c.first)).all()
    if not rows or rows[0].first > move.first or rows[-1].last < move.last:
        raise Fault(
            "Items are moved that do not stand there.",
            value=f"{move.lot} {move.first}-{move.last} at {move.source}",
            expected=f"Standing there: {[(row.first, row.last) for row in rows]}",
        )
    beyond = sum(row.amount for row in rows) - move.amount
    for row in rows:
        connection.execute(delete(standing).where(_same(row)))
        for first, last in ((row.first, move.first - 1), (move.last + 1, row.last)):
            if first <= last:
                amount = part_of_range(connection, row, first, last)
                _put(connection, (row.lot, first, last), row.spot, amount, row.since)
                beyond -= amount
    if beyond:  # an old ledger moved pieces of an item as if they were all of it: the rest stayed, loose
        _arrive(connection, event_id, Move(move.lot, move.target, move.source, beyond))
    _off(connection, event_id, move, gone=True)


def _arrive(connection: Connection, event_id: int, move: Move) -> None:
    row = None
    serials = (move.first, move.last) if _told_apart(move.target) else (0, 0)
    if not serials[0]:
        row = connection.execute(select(standing).where(_bulk(move.lot, move.target))).first()
    if row is not None and row.amount + move.amount == 0:
        connection.execute(delete(standing).where(_bulk(move.lot, move.target)))
    elif row is not None:
        amount = row.amount + move.amount
        connection.execute(update(standing).where(_bulk(move.lot, move.target)).values(amount=amount))
    else:
        _put(connection, (move.lot, *serials), move.target, move.amount, event_id)
    if move.target.startswith("P"):
        on = {"carrier": move.target, "lot": move.lot, "first": move.first, "last": move.last}
        connection.execute(insert(content), [{**on, "amount": move.amount, "put_on": event_id}])


def _told_apart(spot: str) -> bool:
    """Whether items stand there one by one; on a machine they do not."""
    return not spot.startswith(Family.RUN)


def _off(connection: Connection, event_id: int, move: Move, *, gone: bool) -> None:
    """Close the dated lines of what left a carrier; a bulk lot is off when nothing of it is left."""
    if not move.source.startswith("P") or not gone:
        return
    query = update(content).where(
        content.c.carrier == move.source,
        content.c.lot == move.lot,
        content.c.taken_off.is_(None),
        content.c.first <= move.last,
        content.c.last >= move.first,
    )
    connection.execute(query.values(taken_off=event_id))


def _put(connection: Connection, serials: tuple[str, int, int], spot: str, amount: int, since: int) -> None:
    lot, first, last = serials
    row = {"lot": lot, "first": first, "last": last, "spot": spot, "amount": amount, "since": since}
    connection.execute(insert(standing), [row])


def _bulk(lot: str, spot: str) -> Any:
    return and_(standing.c.lot == lot, standing.c.spot == spot, standing.c.first == 0)


def _same(row: Row[Any]) -> Any:
    return and_(standing.c.lot == row.lot, standing.c.first == row.first, standing.c.spot == row.spot)
