"""Is every event still as it was written, in its place, and nothing missing between?

The chain shows any change, loss or reordering before its head. A ledger cut off at its end, or written
anew as a whole, shows only against a head kept elsewhere: in a backup, an export, on paper.
"""

from typing import NamedTuple

from sqlalchemy import Connection, select

from lotroot.errors import Unreadable
from lotroot.ledger import book
from lotroot.ledger.canonical import sha256
from lotroot.ledger.tables import event, file, posting

_empty_postings = (
    select(posting.c.id)
    .where(~select(event.c.id).where(event.c.posting == posting.c.id).exists())
    .order_by(posting.c.id)
    .limit(1)
)
_files = select(file).order_by(file.c.sha).execution_options(yield_per=10)


class Finding(NamedTuple):
    """What is wrong where, and what should be there."""

    where: str
    found: str
    expected: str


def chain_finding(connection: Connection) -> Finding | None:
    """The first thing wrong with the ledger, by event number; None where every hash fits."""
    return _wrong_event(connection) or _wrong_posting(connection) or _wrong_file(connection)


def _wrong_event(connection: Connection) -> Finding | None:
    number = 0
    try:
        for link in book.chain(connection):
            number += 1
            if link.id != number:
                return Finding(f"event {number}", "nothing", "an event and its posting")
            if link.computed != link.stored:
                return Finding(f"event {number}", link.computed, link.stored)
    except Unreadable as error:
        return Finding(f"event {number + 1}", error.value, "a posting as it was recorded")
    if book.head(connection).count != number:
        return Finding(f"event {number + 1}", "nothing", "an event and its posting")
    return None


def _wrong_posting(connection: Connection) -> Finding | None:
    number = connection.scalar(_empty_postings)
    return None if number is None else Finding(f"posting {number}", "no event", "at least one event")


def _wrong_file(connection: Connection) -> Finding | None:
    with connection.execute(_files) as rows:
        for row in rows:
            digest = sha256(row.bytes)
            if digest != row.sha:
                return Finding(f"file {row.sha}", digest, row.sha)
    return None
