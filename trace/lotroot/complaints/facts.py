"""Which facts make a complaint, and how do they become its tables?

The ledger keeps what was said about goods. Whom to call back is a person's name: it stands outside the
chain (`ledger.names`).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import BigInteger, Column, Connection, Index, Integer, Table, Text, insert, update

from lotroot.database import metadata
from lotroot.ledger.events import Recorded, event

complaint = Table(
    "complaint",
    metadata,
    Column("number", Text, primary_key=True),
    Column("customer", Text, nullable=False),  # a party's code, empty where not known
    Column("words", Text, nullable=False),
    Column("read", Text, nullable=False),  # what could be read of a label
    Column("quantity", Text, nullable=False),
    Column("state", Text, nullable=False),  # open, closed
    Column("answer", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("opened", BigInteger, nullable=False),
    Column("closed", BigInteger),
    info={"layer": "status"},
)

named = Table(
    "complaint_number",
    metadata,
    Column("case", Text, primary_key=True),
    Column("number", Text, primary_key=True),  # a lot, item, carrier, shipment or run
    Column("lot", Text, nullable=False),  # of a lot or an item, else empty
    Column("event", BigInteger, nullable=False),
    info={"layer": "status"},
)
Index("ix_complaint_number_number", named.c.number)
Index("ix_complaint_number_lot", named.c.lot)

entry = Table(
    "complaint_entry",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("case", Text, nullable=False, index=True),
    Column("kind", Text, nullable=False),  # opened, added, closed
    Column("words", Text, nullable=False),
    Column("file", Text, nullable=False),  # SHA-256 of a kept file, empty for none
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("numbers", Integer, nullable=False),  # how many were named with it
    info={"layer": "status"},
)


@dataclass(frozen=True)
class NamedGoods:
    """A number that is complained of; `lot` is that of a lot or an item, else empty."""

    number: str
    lot: str = ""


@event
@dataclass(frozen=True)
class CaseOpened:
    """Somebody complained: in whose words, of which goods, of how much as they tell it."""

    case: str
    words: str
    customer: str = ""
    read: str = ""
    quantity: str = ""
    goods: tuple[NamedGoods, ...] = ()


@event
@dataclass(frozen=True)
class CaseAdded:
    """More came to a complaint: words, a kept file, further goods. A closed one is open again."""

    case: str
    words: str = ""
    file: str = ""
    goods: tuple[NamedGoods, ...] = ()


@event
@dataclass(frozen=True)
class CaseClosed:
    """A complaint was answered."""

    case: str
    answer: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the tables of complaints; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Nothing about complaints."""


@_apply.register
def _(event: CaseOpened, connection: Connection, recorded: Recorded) -> None:
    row = {
        "number": event.case,
        "customer": event.customer,
        "words": event.words,
        "read": event.read,
        "quantity": event.quantity,
        "state": "open",
        "answer": "",
        "person": recorded.posting.person,
        "opened": recorded.posting.happened,
        "closed": None,
    }
    connection.execute(insert(complaint), [row])
    _enter(connection, recorded, ("opened", event.words, ""), event.goods)


@_apply.register
def _(event: CaseAdded, connection: Connection, recorded: Recorded) -> None:
    where = complaint.c.number == event.case
    connection.execute(update(complaint).where(where).values(state="open", closed=None))
    _enter(connection, recorded, ("added", event.words, event.file), event.goods)


@_apply.register
def _(event: CaseClosed, connection: Connection, recorded: Recorded) -> None:
    values = {"state": "closed", "answer": event.answer, "closed": recorded.posting.happened}
    connection.execute(update(complaint).where(complaint.c.number == event.case).values(values))
    _enter(connection, recorded, ("closed", event.answer, ""), ())


def _enter(
    connection: Connection,
    recorded: Recorded,
    said: tuple[str, str, str],
    goods: Iterable[NamedGoods],
) -> None:
    kind, words, file = said
    case = recorded.event.case
    rows = [{"case": case, "number": one.number, "lot": one.lot, "event": recorded.id} for one in goods]
    if rows:
        connection.execute(insert(named), rows)
    posting = recorded.posting
    row = {"event": recorded.id, "case": case, "kind": kind, "words": words, "file": file}
    who = {"person": posting.person, "at": posting.happened, "numbers": len(rows)}
    connection.execute(insert(entry), [{**row, **who}])
