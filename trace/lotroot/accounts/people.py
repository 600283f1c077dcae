"""Who is known here, and in which roles?

The ledger knows people by number and role. Names, badges and PINs are operational: they can be
erased or revoked without touching history.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import Column, Connection, Integer, Row, Table, Text, bindparam, insert, select, update

from lotroot.database import metadata
from lotroot.ledger.events import Recorded, event

person = Table(
    "person",
    metadata,
    Column("number", Text, primary_key=True),
    Column("roles", Text, nullable=False),  # separated by spaces
    Column("active", Integer, nullable=False),
    info={"layer": "status"},
)

_person = select(person).where(person.c.number == bindparam("number"))
_everybody = select(person).order_by(person.c.number)


@event
@dataclass(frozen=True)
class PersonAdded:
    """Somebody works here from now on; their name stands outside the ledger."""

    number: str
    roles: tuple[str, ...]


@event
@dataclass(frozen=True)
class RolesChanged:
    """A person may do other things than before."""

    number: str
    roles: tuple[str, ...]
    was: tuple[str, ...]


@event
@dataclass(frozen=True)
class PersonLeft:
    """A person works here no more: badge and PIN lead nowhere."""

    number: str


@event
@dataclass(frozen=True)
class BadgeIssued:
    """A person got a badge; every badge of theirs before it is revoked."""

    number: str


@event
@dataclass(frozen=True)
class PinSet:
    """A person got a new PIN."""

    number: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of people; events of other features pass by."""
    _apply(recorded.event, connection)


@singledispatch
def _apply(_event: Any, _connection: Connection) -> None:
    """Nothing about people, or nothing status shows."""


@_apply.register
def _(event: PersonAdded, connection: Connection) -> None:
    row = {"number": event.number, "roles": " ".join(event.roles), "active": 1}
    connection.execute(insert(person), [row])


@_apply.register
def _(event: RolesChanged, connection: Connection) -> None:
    _change(connection, event.number, roles=" ".join(event.roles))


@_apply.register
def _(event: PersonLeft, connection: Connection) -> None:
    _change(connection, event.number, active=0)


def _change(connection: Connection, number: str, **values: Any) -> None:
    connection.execute(update(person).where(person.c.number == number).values(**values))


def roles_of(connection: Connection, number: str) -> frozenset[str] | None:
    """The roles of somebody who works here, or None."""
    row = connection.execute(_person, {"number": number}).first() if number else None
    return frozenset(row.roles.split()) if row and row.active else None


def everybody(connection: Connection) -> Sequence[Row[Any]]:
    """All who ever worked here: rows of number, roles, active."""
    return connection.execute(_everybody).all()


def anybody(connection: Connection) -> bool:
    """Whether anybody is known yet."""
    return connection.execute(_everybody.limit(1)).first() is not None
