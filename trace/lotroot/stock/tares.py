"""What does a pan, tram, spool or pallet weigh empty, and since when is that known?

A carrier is weighed empty again and again: each weight holds from its own time until the next one, so that
what was weighed in it before goes by the weight of then. Until the first, the plant's own figure holds.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.stock.tables import tare

_latest = (
    select(tare)
    .where(tare.c.carrier == bindparam("carrier"), tare.c.since <= bindparam("at"))
    .order_by(tare.c.since.desc(), tare.c.event.desc())
    .limit(1)
)
_all = select(tare).where(tare.c.carrier == bindparam("carrier")).order_by(tare.c.since, tare.c.event)


class Tare(NamedTuple):
    """Grams of an empty carrier; `since` is when it was weighed, None for a figure of the plant's text."""

    grams: int
    since: int | None


def tare_at(connection: Connection, number: str, at: int, told: int | None = None) -> Tare | None:
    """What a carrier weighed empty at a time (microseconds UTC); `told` is the plant's own figure, if any."""
    row = connection.execute(_latest, {"carrier": number, "at": at}).first()
    if row is not None:
        return Tare(row.grams, row.since)
    return None if told is None else Tare(told, None)


def tares_of(connection: Connection, number: str) -> Sequence[Row[Any]]:
    """Every time a carrier was weighed empty, oldest first: event, grams, since, person, typed_by."""
    return connection.execute(_all, {"carrier": number}).all()
