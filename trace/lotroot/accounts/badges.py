"""Whose badge is this, and does the PIN fit?

A bar-code badge can be copied with a camera: it says who, it proves little. Acts that need proof ask
the PIN every time (argon2id at 19 MiB, so that the server stays small); ten wrong ones in a row lock it.
"""

import secrets
import time
from concurrent.futures import ThreadPoolExecutor

from argon2 import PasswordHasher
from argon2.exceptions import VerifyMismatchError
from sqlalchemy import BigInteger, Column, Connection, Integer, Table, Text, delete, insert, select, update

from lotroot.accounts.people import roles_of
from lotroot.database import Database, metadata
from lotroot.errors import NotAllowed, NotSignedIn, Unreadable
from lotroot.identity import Badge

badge = Table(
    "badge",
    metadata,
    Column("code", Text, primary_key=True),
    Column("person", Text, nullable=False, index=True),
    Column("revoked", Integer, nullable=False),
    info={"layer": "operational"},
)

login = Table(
    "login",
    metadata,
    Column("person", Text, primary_key=True),
    Column("pin", Text, nullable=False),
    Column("failures", Integer, nullable=False),
    Column("tried", BigInteger, nullable=False),  # seconds
    info={"layer": "operational"},
)

MOST_FAILURES = 10
"""NIST SP 800-63B-4 section 3.2.2: at most ten wrong tries in a row for a short secret."""

_HASHER = PasswordHasher(time_cost=2, memory_cost=19_456, parallelism=1)
_ONE_THREAD = ThreadPoolExecutor(1, "pin")
"""Every PIN is hashed here: each thread that hashed once would keep the 19 MiB that takes."""
_EASY = ("0123456789", "9876543210")


def issue_badge(connection: Connection, person: str) -> str:
    """Give a person a new badge and revoke the older ones; returns the badge's text."""
    code = str(Badge(f"{secrets.randbelow(10**14):014d}"))
    keep_badge(connection, person, code)
    return code


def keep_badge(connection: Connection, person: str, code: str) -> None:
    """Give a person a badge with a text known beforehand, as the demo's printed sheets have it."""
    connection.execute(update(badge).where(badge.c.person == person).values(revoked=1))
    connection.execute(insert(badge), [{"code": code, "person": person, "revoked": 0}])


def badge_of(connection: Connection, person: str) -> str | None:
    """The text of a person's badge, to print it."""
    query = select(badge.c.code).where(badge.c.person == person, badge.c.revoked == 0)
    return connection.scalar(query)


def person_with(connection: Connection, code: str) -> str:
    """The person a badge leads to. Raises NotSignedIn for a revoked or strange one."""
    query = select(badge.c.person).where(badge.c.code == code, badge.c.revoked == 0)
    number = connection.scalar(query)
    if number is None or roles_of(connection, number) is None:
        raise NotSignedIn(
            "This badge is not valid here.",
            expected="The badge of somebody who works here now.",
            next_step="Ask the administrator for a new badge.",
        )
    return str(number)


def check_new_pin(pin: str) -> None:
    """Raise Unreadable for a PIN that is too short or easily guessed."""
    if not (pin.isdigit() and 4 <= len(pin) <= 12) or len(set(pin)) == 1 or any(pin in row for row in _EASY):
        raise Unreadable(
            "This PIN cannot be used.",
            expected="4 to 12 digits, not all the same and not in a row.",
            next_step="Choose another.",
        )


def set_pin(connection: Connection, person: str, pin: str) -> None:
    """Keep a new PIN as a hash. Raises Unreadable for one that is easily guessed."""
    check_new_pin(pin)
    connection.execute(delete(login).where(login.c.person == person))
    row = {"person": person, "pin": _ONE_THREAD.submit(_HASHER.hash, pin).result(), "failures": 0, "tried": 0}
    connection.execute(insert(login), [row])


def with_pin(connection: Connection) -> frozenset[str]:
    """Who has a PIN, and so may sign an office in."""
    return frozenset(connection.scalars(select(login.c.person)))


def check_pin(database: Database, person: str, pin: str) -> None:
    """Prove a person by PIN. Raises NotSignedIn for a wrong one, NotAllowed when locked or too soon."""
    with database.reading() as connection:
        row = connection.execute(select(login).where(login.c.person == person)).first()
    if row is None:
        raise NotAllowed(
            "No PIN is set for this person.",
            expected="A PIN.",
            next_step="The administrator sets one under People.",
        )
    _check_pace(row.failures, row.tried)
    try:
        _ONE_THREAD.submit(_HASHER.verify, row.pin, pin).result()
    except VerifyMismatchError:
        _note(database, person, row.failures + 1)
        raise NotSignedIn(
            "The PIN does not fit.",
            value=f"{row.failures + 1} of {MOST_FAILURES} tries",
            expected="The PIN that belongs to this badge.",
            next_step="Try again, slowly.",
        ) from None
    if row.failures:
        _note(database, person, 0)


def _check_pace(failures: int, tried: int) -> None:
    if failures >= MOST_FAILURES:
        raise NotAllowed(
            "The PIN is locked after ten wrong tries.",
            expected="A new PIN.",
            next_step="The administrator sets a new one under People.",
        )
    wait = tried + 2 ** max(failures - 2, 0) - int(time.time()) if failures > 2 else 0
    if wait > 0:
        raise NotAllowed(
            f"Too many tries in a row: wait {wait} s.",
            expected="A pause before the next try.",
            next_step="Wait, then enter the PIN again.",
        )


def _note(database: Database, person: str, failures: int) -> None:
    with database.writing() as connection:
        values = {"failures": failures, "tried": int(time.time())}
        connection.execute(update(login).where(login.c.person == person).values(values))
