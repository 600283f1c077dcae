"""How does a test record facts that no handler would, in a real posting of a real house?"""

import dataclasses
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any
from uuid import UUID

from houses import MONDAY, House
from lotroot.genealogy.events import LotBorn
from lotroot.ledger import book
from lotroot.ledger.canonical import sha256
from lotroot.ledger.events import Posting
from lotroot.posting.features import APPLIES
from lotroot.stock.events import BORN, Move, Moved
from lotroot.work import Envelope, Work
from sqlalchemy import Connection

PLACE = "T2600000160"


def record(connection: Connection, *facts: Any) -> None:
    """Record facts as one posting: chained, and copied into status by every feature."""
    number = book.next_posting_id(connection)
    posting = Posting(
        id=number,
        uuid=str(UUID(int=number)),
        key=f"by-hand-key-{number:06d}",
        payload_sha=sha256(str(number)),
        command="ByHand",
        site="",
        person="",
        station="",
        happened=MONDAY + number,
        offset=0,
        entered=MONDAY + number,
        basis="at once",
        plant="",
    )
    work = Work(connection, posting, Envelope(posting.key, ""), APPLIES)
    for fact in facts:
        work.record(fact)
    book.append(connection, posting, work.events)


class Undone(Exception):
    """Ends a change so that nothing of it is kept."""


@contextmanager
def undone(house: House) -> Iterator[Connection]:
    """A write transaction that leaves nothing behind."""
    with suppress(Undone), house.database.writing() as connection:
        yield connection
        raise Undone


def born(number: str, amount: int, rank: int, **more: Any) -> tuple[LotBorn, Moved]:
    """A lot and its amount at a place."""
    lot = LotBorn(number, "rod", "rod_55", "g", amount, "weighed", rank, source="received")
    return dataclasses.replace(lot, **more), Moved((Move(number, BORN, PLACE, amount),))
