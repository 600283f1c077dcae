"""Which facts make the plant, and how do they become its tables?"""

from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import BigInteger, Column, Connection, Index, Table, Text, delete, insert, update

from lotroot.database import metadata
from lotroot.ledger.events import Body, Recorded, event, event_version

adopted = Table(
    "plant",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("hash", Text, nullable=False, index=True),
    Column("text", Text, nullable=False),
    info={"layer": "status"},
)

thing = Table(
    "thing",
    metadata,
    Column("number", Text, primary_key=True),
    Column("kind", Text, nullable=False),  # station, payoff, place, vessel, instrument, resource ...
    Column("code", Text, nullable=False),
    Column("owner", Text, nullable=False),  # a payoff's station
    Column("since", BigInteger, nullable=False),  # when it got its number, microseconds UTC
    info={"layer": "status"},
)
Index("ix_thing_code", thing.c.code)

party = Table(
    "party",
    metadata,
    Column("code", Text, primary_key=True),
    Column("kind", Text, nullable=False),  # supplier, customer
    Column("country", Text, nullable=False),
    Column("market", Text, nullable=False),
    Column("language", Text, nullable=False),
    info={"layer": "status"},
)

customer_item = Table(
    "customer_item",
    metadata,
    Column("customer", Text, primary_key=True),
    Column("product", Text, primary_key=True),
    Column("item", Text, nullable=False),
    info={"layer": "status"},
)


def _with_market(body: Body) -> Body:
    """Market and language were not asked before."""
    return {**body, "market": "", "language": ""}


@event
@dataclass(frozen=True)
class PlantAdopted:
    """From here on the plant is what `text` (plant.toml, its catalogue written out) says."""

    hash: str
    text: str


@event
@dataclass(frozen=True)
class ThingNumbered:
    """A station, payoff, place, vessel, instrument, resource, printer or bin got the number on its label."""

    number: str
    kind: str
    code: str
    owner: str = ""


@event_version(2, {1: _with_market})
@dataclass(frozen=True)
class PartyAdded:
    """The plant deals with a supplier or customer, known by a short code; `country` is ISO 3166-1.

    `market` is the plant's own word for where its goods go, `language` (BCP 47) that of its labels.
    """

    code: str
    kind: str
    country: str = ""
    market: str = ""
    language: str = ""


@event_version(2, {1: _with_market})
@dataclass(frozen=True)
class PartyChanged:
    """A supplier's or customer's kind, country, market or language is another than recorded."""

    code: str
    kind: str
    country: str = ""
    market: str = ""
    language: str = ""


@event
@dataclass(frozen=True)
class CustomerItemSet:
    """A customer calls a product of ours by this code; empty where by none any more."""

    customer: str
    product: str
    item: str


_add_thing = insert(thing)


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the plant's tables; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Not a fact of the plant."""


@_apply.register
def _(event: PlantAdopted, connection: Connection, recorded: Recorded) -> None:
    row = {"event": recorded.id, "hash": event.hash, "text": event.text}
    connection.execute(insert(adopted), [row])


@_apply.register
def _(event: ThingNumbered, connection: Connection, recorded: Recorded) -> None:
    row = {"number": event.number, "kind": event.kind, "code": event.code, "owner": event.owner}
    connection.execute(_add_thing, [{**row, "since": recorded.posting.happened}])


@_apply.register
def _(event: PartyAdded, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(insert(party), [{"code": event.code, **_of_party(event)}])


@_apply.register
def _(event: PartyChanged, connection: Connection, _recorded: Recorded) -> None:
    connection.execute(update(party).where(party.c.code == event.code).values(_of_party(event)))


def _of_party(event: PartyAdded | PartyChanged) -> dict[str, str]:
    told = {"kind": event.kind, "country": event.country}
    return {**told, "market": event.market, "language": event.language}


@_apply.register
def _(event: CustomerItemSet, connection: Connection, _recorded: Recorded) -> None:
    where = (customer_item.c.customer == event.customer, customer_item.c.product == event.product)
    connection.execute(delete(customer_item).where(*where))
    if event.item:
        row = {"customer": event.customer, "product": event.product, "item": event.item}
        connection.execute(insert(customer_item), [row])
