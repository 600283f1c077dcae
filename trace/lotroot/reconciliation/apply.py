"""How do the facts of balances become their tables?"""

from functools import singledispatch
from typing import Any

from sqlalchemy import Connection, insert, select, update

from lotroot.ledger.events import Recorded
from lotroot.production.facts import RunReopened, RunVoided
from lotroot.production.tables import run
from lotroot.reconciliation.facts import RunBalanced, StreamBalance
from lotroot.reconciliation.tables import balance_scrap, balance_source, run_balance


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the tables of balances; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not about balances."""


@_apply.register
def _(event: RunReopened | RunVoided, connection: Connection, recorded: Recorded) -> None:
    _replace(connection, event.run, recorded)


@_apply.register
def _(event: RunBalanced, connection: Connection, recorded: Recorded) -> None:
    _replace(connection, event.run, recorded)
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
        connection.execute(insert(run_balance), [{**of_run, **figures}])
        _parts(connection, recorded.id, stream)


def _parts(connection: Connection, number: int, stream: StreamBalance) -> None:
    for table, parts in ((balance_source, stream.sources), (balance_scrap, stream.thrown)):
        of_stream = {"event": number, "stream": stream.stream}
        rows = [{**of_stream, "seq": seq, **vars(part)} for seq, part in enumerate(parts)]
        if rows:
            connection.execute(insert(table), rows)


def _replace(connection: Connection, number: str, recorded: Recorded) -> None:
    standing = (run_balance.c.run == number, run_balance.c.replaced.is_(None))
    connection.execute(update(run_balance).where(*standing).values(replaced=recorded.posting.entered))
