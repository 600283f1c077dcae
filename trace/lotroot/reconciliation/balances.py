"""How did a closed run add up, as it is known now, and as it was known before?"""

from collections.abc import Sequence
from dataclasses import fields
from typing import Any, TypeVar

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.reconciliation.facts import ScrapBalance, SourceBalance, StreamBalance
from lotroot.reconciliation.tables import STANDS, balance_scrap, balance_source, run_balance

_of_run = select(run_balance).where(run_balance.c.run == bindparam("run"))
_now = _of_run.where(STANDS).order_by(run_balance.c.event, run_balance.c.stream)
_ever = _of_run.order_by(run_balance.c.event, run_balance.c.stream)
_sources = (
    select(balance_source).where(balance_source.c.event == bindparam("event")).order_by(balance_source.c.seq)
)
_thrown = (
    select(balance_scrap).where(balance_scrap.c.event == bindparam("event")).order_by(balance_scrap.c.seq)
)
_FIGURES = tuple(one.name for one in fields(StreamBalance) if one.name not in ("sources", "thrown"))
_Part = TypeVar("_Part", SourceBalance, ScrapBalance)


def known_balance(connection: Connection, run: str) -> tuple[StreamBalance, ...]:
    """Every stream of a closed run as it adds up by what is known now; empty for one that is open."""
    rows = connection.execute(_now, {"run": run}).all()
    if not rows:
        return ()
    query = {"event": rows[0].event}
    sources = connection.execute(_sources, query).all()
    thrown = connection.execute(_thrown, query).all()
    return tuple(_balance(row, sources, thrown) for row in rows)


def balance_event(connection: Connection, run: str) -> int:
    """The event that says how a run adds up by what is known now; 0 for one that is open."""
    row = connection.execute(_now, {"run": run}).first()
    return int(row.event) if row is not None else 0


def balance_history(connection: Connection, run: str) -> Sequence[Row[Any]]:
    """Every balance there ever was of a run, oldest first, with when it was `known` and `replaced`."""
    return connection.execute(_ever, {"run": run}).all()


def _balance(row: Row[Any], sources: Sequence[Row[Any]], thrown: Sequence[Row[Any]]) -> StreamBalance:
    figures: dict[str, Any] = {name: getattr(row, name) for name in _FIGURES}
    figures["sources"] = tuple(_part(SourceBalance, one) for one in sources if one.stream == row.stream)
    figures["thrown"] = tuple(_part(ScrapBalance, one) for one in thrown if one.stream == row.stream)
    return StreamBalance(**figures)


def _part(kind: type[_Part], row: Row[Any]) -> _Part:
    values: dict[str, Any] = {one.name: getattr(row, one.name) for one in fields(kind)}
    return kind(**values)
