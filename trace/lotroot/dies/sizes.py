"""Which sizes have the dies of a set now, and since when?

Those of plant.toml until a die is recut, moved or replaced. Where plant.toml gives a set other dies later,
its sizes hold again; since when a place has its die follows from the last recut either way.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.dies.facts import die_recut
from lotroot.processes.definition import Resource

_of = (
    select(die_recut)
    .where(die_recut.c.thing == bindparam("thing"))
    .order_by(die_recut.c.at, die_recut.c.event)  # one told late is not the latest
)


class Die(NamedTuple):
    """The die at one place of a set, 1 at the entry: its size in mm as decimal text.

    `since` is when it was recut, moved or put in, in microseconds UTC; 0 where it is still the first one.
    """

    place: int
    size_mm: str
    since: int
    how: str


def recuts_of(connection: Connection, thing: str) -> Sequence[Row[Any]]:
    """All that was ever recorded about the dies of a set, in the order it happened."""
    return connection.execute(_of, {"thing": thing}).all()


def dies_in_force(resource: Resource, recuts: Sequence[Row[Any]]) -> list[Die]:
    """The dies of a set from entry to finish; none where the plant does not tell them."""
    listed = listed_words(resource)
    found = [Die(place, size, 0, "") for place, size in enumerate(resource.dies_mm, start=1)]
    for row in recuts:
        if row.place <= len(found):
            held = found[row.place - 1]
            size = row.size_mm if row.listed == listed else held.size_mm
            found[row.place - 1] = Die(row.place, size, row.at, row.how)
    return found


def dies_of(connection: Connection, resource: Resource, thing: str) -> list[Die]:
    """The dies of the set with this number."""
    return dies_in_force(resource, recuts_of(connection, thing)) if resource.dies_mm else []


def listed_words(resource: Resource) -> str:
    """The dies that plant.toml gives a set, a space between."""
    return " ".join(resource.dies_mm)
