"""How do the facts of balances become their tables?"""

from collections.abc import Sequence
from functools import singledispatch
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, insert, select, update

from lotroot.ledger.events import Recorded
from lotroot.production.facts import RunReopened, RunVoided
from lotroot.production.tables import run
from lotroot.reconciliation.facts import MonthClosed, RunBalanced, StreamBalance
from lotroot.reconciliation.sums import add, parts, rows_of
from lotroot.reconciliation.tables import STANDS, balance_scrap, balance_source, closed_month, run_balance

_NOW = (run_balance.c.run == bindparam("of_run"), STANDS)
_standing = select(run_balance).where(*_NOW)
_replace = update(run_balance).where(*_NOW)
_sources = select(balance_source).where(balance_source.c.event == bindparam("event"))
_thrown = select(balance_scrap).where(balance_scrap.c.event == bindparam("event"))


class _Balance(NamedTuple):
    """Columns of a new row of `run_balance`, as if it had been read back."""

    stream: str
    unit: str
    day: str
    process: str
    product: str
    station: str
    shift: str
    loaded: int
    returned: int
    good: int
    by_product: int
    scrap: int
    loss: int
    difference: int
    verdict: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the tables of balances; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not about balances."""


@_apply.register
def _(event: RunReopened | RunVoided, connection: Connection, recorded: Recorded) -> None:
    _take_out(connection, event.run, recorded)


@_apply.register
def _(event: RunBalanced, connection: Connection, recorded: Recorded) -> None:
    _take_out(connection, event.run, recorded)
    row = connection.execute(select(run).where(run.c.number == event.run)).one()
    day, _, shift = event.shift.partition(" ")
    of_run = {
        "event": recorded.id,
        "run": event.run,
        "process": row.process,
        "product": row.product,
        "station": row.station,
        "closed": row.closed,
        "day": day,
        "shift": shift,
        "known": recorded.posting.entered,
    }
    for stream in event.streams:
        figures = {name: value for name, value in vars(stream).items() if name not in ("sources", "thrown")}
        values = {**of_run, **figures}
        connection.execute(insert(run_balance), [values])
        _parts(connection, recorded.id, stream)
        made = _Balance(**{name: values[name] for name in _Balance._fields})
        add(connection, rows_of(made, list(parts(made, stream.sources, stream.thrown))))


@_apply.register
def _(event: MonthClosed, connection: Connection, recorded: Recorded) -> None:
    by = {"at": recorded.posting.entered, "person": recorded.posting.person}
    connection.execute(insert(closed_month), [{**vars(event), **by}])


def _parts(connection: Connection, number: int, stream: StreamBalance) -> None:
    for table, some in ((balance_source, stream.sources), (balance_scrap, stream.thrown)):
        of_stream = {"event": number, "stream": stream.stream}
        rows = [{**of_stream, "seq": seq, **vars(part)} for seq, part in enumerate(some)]
        if rows:
            connection.execute(insert(table), rows)


def _take_out(connection: Connection, number: str, recorded: Recorded) -> None:
    """What stood of a run until now is out of date, and out of the sums."""
    rows = connection.execute(_standing, {"of_run": number}).all()
    if not rows:
        return
    query = {"event": rows[0].event}
    sources = connection.execute(_sources, query).all()
    thrown = connection.execute(_thrown, query).all()
    for row in rows:
        some = list(parts(row, _of(sources, row.stream), _of(thrown, row.stream)))
        add(connection, rows_of(row, some, -1))
    until = {"replaced": recorded.posting.entered, "replaced_by": recorded.id}
    connection.execute(_replace.values(**until), {"of_run": number})


def _of(rows: Sequence[Row[Any]], stream: str) -> list[Row[Any]]:
    return [one for one in rows if one.stream == stream]
