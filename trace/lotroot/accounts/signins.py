"""Which terminal is signed in, at which station, and who works there now?

A sign-in is a browser's: its cookie holds a random token, of which only the hash is kept. A terminal is
signed in as a terminal and stays so; who works there is a duty, begun by a badge and ended by another
badge, by signing off or by the end of the shift. Past duties are kept, so that a scan sent late may
name the person it was made by.
"""

import secrets
from dataclasses import dataclass
from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Row,
    Table,
    Text,
    bindparam,
    delete,
    insert,
    select,
    update,
)

from lotroot.accounts.people import roles_of
from lotroot.database import metadata
from lotroot.ledger.canonical import sha256
from lotroot.work import MICROSECONDS

signin = Table(
    "signin",
    metadata,
    Column("token", Text, primary_key=True),  # SHA-256 of the cookie
    Column("device", Text, nullable=False),  # empty for an office and in the demo
    Column("station", Text, nullable=False),  # a station's number, empty for an office
    Column("made", BigInteger, nullable=False),
    Column("until", BigInteger, nullable=False),
    info={"layer": "operational"},
)

duty = Table(
    "duty",
    metadata,
    Column("signin", Text, primary_key=True),
    Column("since", BigInteger, primary_key=True, autoincrement=False),
    Column("person", Text, nullable=False),
    Column("until", BigInteger, nullable=False),  # 0 while it lasts
    info={"layer": "operational"},
)

# What every request asks: written once.
_by_token = select(signin).where(signin.c.token == bindparam("token"))
_lasting = (
    select(duty).where(duty.c.signin == bindparam("signin"), duty.c.until == 0).order_by(duty.c.since.desc())
)

_HOUR = 60 * 60 * MICROSECONDS
OFFICE_LASTS = 12 * _HOUR
TERMINAL_LASTS = 180 * 24 * _HOUR
"""Our own choice: an office for a working day, a terminal for half a year."""

_KNOWN_TOKEN = 43
"""Characters of 256 random bits in base 64: anything else is no token of ours."""


@dataclass(frozen=True)
class SignIn:
    """One signed-in browser. `station` and `person` are numbers, empty for none."""

    id: str
    device: str
    station: str
    person: str
    since: int
    until: int


def begin(connection: Connection, now: int, *, device: str = "", station: str = "", person: str = "") -> str:
    """Sign a browser in; returns the token for its cookie. Needs the write transaction.

    With a person and no station it is an office, which ends after a working day.
    """
    connection.execute(
        delete(duty).where(duty.c.signin.in_(select(signin.c.token).where(signin.c.until < now)))
    )
    connection.execute(delete(signin).where(signin.c.until < now))
    token = secrets.token_urlsafe(32)
    lasts = TERMINAL_LASTS if station or device else OFFICE_LASTS
    row = {"token": sha256(token), "device": device, "station": station, "made": now, "until": now + lasts}
    connection.execute(insert(signin), [row])
    if person:
        begin_duty(connection, sha256(token), person, now)
    return token


def find(connection: Connection, token: str, now: int) -> SignIn | None:
    """The sign-in a cookie's token belongs to, while it lasts."""
    found = _signin(connection, sha256(token)) if len(token) == _KNOWN_TOKEN else None
    return found if found is not None and found.until >= now else None


def still(connection: Connection, before: SignIn) -> SignIn | None:
    """A sign-in as it stands now: somebody else may have come on duty, or it ended."""
    return _signin(connection, before.id)


def _signin(connection: Connection, identifier: str) -> SignIn | None:
    row = connection.execute(_by_token, {"token": identifier}).first()
    if row is None:
        return None
    on = on_duty(connection, row.token)
    working = on is not None and roles_of(connection, on.person) is not None
    person, since = (on.person, on.since) if on is not None and working else ("", 0)
    return SignIn(row.token, row.device, row.station, person, since, row.until)


def end(connection: Connection, identifier: str) -> None:
    """Sign a browser out. Needs the write transaction."""
    connection.execute(delete(duty).where(duty.c.signin == identifier))
    connection.execute(delete(signin).where(signin.c.token == identifier))


def end_all_of(connection: Connection, device: str) -> None:
    """Sign out every browser of a device. Needs the write transaction."""
    connection.execute(delete(signin).where(signin.c.device == device))


def move_to(connection: Connection, identifier: str, station: str) -> None:
    """A terminal that serves several machines works at another one. Needs the write transaction."""
    connection.execute(update(signin).where(signin.c.token == identifier).values(station=station))


def begin_duty(connection: Connection, identifier: str, person: str, now: int) -> None:
    """Somebody works here from now on, in place of whoever did. Needs the write transaction."""
    end_duty(connection, identifier, now)
    row = {"signin": identifier, "since": now, "person": person, "until": 0}
    connection.execute(delete(duty).where(duty.c.signin == identifier, duty.c.since == now))
    connection.execute(insert(duty), [row])


def end_duty(connection: Connection, identifier: str, now: int) -> None:
    """Nobody works here from now on. Needs the write transaction."""
    here = (duty.c.signin == identifier, duty.c.until == 0)
    connection.execute(update(duty).where(*here).values(until=now))


def on_duty(connection: Connection, identifier: str) -> Row[Any] | None:
    """The duty that lasts: its person and since when."""
    return connection.execute(_lasting, {"signin": identifier}).first()


def was_on_duty(connection: Connection, identifier: str, person: str) -> bool:
    """Whether somebody has worked at this sign-in: only their scans may come from it, also late ones."""
    here = (duty.c.signin == identifier, duty.c.person == person)
    return connection.execute(select(duty.c.since).where(*here).limit(1)).first() is not None
