"""Which devices may send scans and commands, and how does a new one get in?

A device that the administrator allows (`enrolment.AllowDevice`) has a number and an enrolment code: ten
digits, good once and for a day. Whoever types it there makes the device known; from then on a token tells
it from a stranger. Only hashes of tokens are kept. A token says which device it is, never who works at it.
"""

import hmac
import secrets
from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    Connection,
    Integer,
    Row,
    Table,
    Text,
    bindparam,
    insert,
    select,
    update,
)

from lotroot.database import metadata
from lotroot.errors import NotSignedIn
from lotroot.ledger.canonical import sha256
from lotroot.work import MICROSECONDS

device = Table(
    "device",
    metadata,
    Column("number", Text, primary_key=True),
    Column("station", Text, nullable=False),  # the station it stands at, empty for an office or a program
    Column("code", Text, nullable=False),  # not used yet; empty once it was
    Column("code_until", BigInteger, nullable=False),  # microseconds UTC
    Column("token", Text, nullable=False, index=True),  # SHA-256, empty before enrolment
    Column("revoked", Integer, nullable=False),
    info={"layer": "operational"},
)

_with_token = select(device).where(device.c.token == bindparam("hash"), device.c.revoked == 0)

CODE_DIGITS = 10
CODE_LASTS = 24 * 60 * 60 * MICROSECONDS
"""An enrolment code that nobody used is worth nothing next day (our own choice)."""


def devices(connection: Connection) -> list[Row[Any]]:
    """Every device that may take part, with the enrolment code where it was not used yet."""
    query = select(device).where(device.c.revoked == 0).order_by(device.c.number)
    return list(connection.execute(query))


def make_code(connection: Connection, number: str, station: str, now: int) -> None:
    """Make a device known with an enrolment code. Needs the write transaction."""
    code = f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}d}"
    row = {"number": number, "station": station, "code": code, "code_until": now + CODE_LASTS}
    connection.execute(insert(device), [{**row, "token": "", "revoked": 0}])


def revoke(connection: Connection, number: str) -> None:
    """End a device's code and token. Needs the write transaction."""
    values = {"revoked": 1, "code": "", "token": ""}
    connection.execute(update(device).where(device.c.number == number).values(**values))


def device_or_none(connection: Connection, number: str) -> Row[Any] | None:
    """A device by its number."""
    return connection.execute(select(device).where(device.c.number == number)).first()


def use_code(connection: Connection, code: str, now: int) -> Row[Any]:
    """The device a code was made for; the code is used up. Needs the write transaction.

    Raises NotSignedIn for a code that is wrong, used or too old.
    """
    digits = "".join(character for character in code if character.isascii() and character.isdigit())
    waiting = connection.execute(select(device).where(device.c.code != "", device.c.code_until > now))
    for row in waiting.all():
        if hmac.compare_digest(row.code, digits):
            connection.execute(update(device).where(device.c.number == row.number).values(code=""))
            return row
    raise NotSignedIn(
        "This code lets nothing in.",
        expected=f"The {CODE_DIGITS} digits made for this device today, used once.",
        next_step="The administrator makes a new code under Plant.",
    )


def give_token(connection: Connection, number: str) -> str:
    """A new token for a device; the one before it ends. Needs the write transaction."""
    token = secrets.token_urlsafe(32)
    values = {"token": sha256(token)}
    connection.execute(update(device).where(device.c.number == number).values(**values))
    return token


def device_with(connection: Connection, token: str) -> Row[Any]:
    """The device a token belongs to. Raises NotSignedIn."""
    row = connection.execute(_with_token, {"hash": sha256(token)}).first() if token else None
    if row is None:
        raise NotSignedIn(
            "This device is not known here.",
            expected="Authorization: Bearer and the token it was given.",
            next_step="Enrol it with a code that the administrator makes under Plant.",
        )
    return row
