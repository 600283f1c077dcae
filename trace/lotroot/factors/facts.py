"""Which facts set or withdraw a product's factor on theory, and how do they become its table?

Person and date are those of the posting. What the fit rested on stays in the event for ever.
"""

from dataclasses import dataclass
from functools import singledispatch
from typing import Any

from sqlalchemy import BigInteger, Column, Connection, Index, Integer, Table, Text, insert, update

from lotroot.database import metadata
from lotroot.ledger.events import Recorded, event

factor = Table(
    "factor",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("product", Text, nullable=False),
    Column("factor_ppm", BigInteger, nullable=False),
    Column("theory_mg", BigInteger, nullable=False),  # of a metre, in plant.toml of then
    Column("rolls", Integer, nullable=False),
    Column("smallest_ppm", BigInteger, nullable=False),
    Column("largest_ppm", BigInteger, nullable=False),
    Column("deviation_ppm", BigInteger, nullable=False),
    Column("upto", BigInteger, nullable=False),  # the last roll's event
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("withdrawn", BigInteger),  # the event that did
    Column("withdrawn_by", Text, nullable=False),
    Column("withdrawn_at", BigInteger),
    Column("why", Text, nullable=False),  # it was withdrawn
    info={"layer": "status"},
)
Index("ix_factor_product", factor.c.product, factor.c.event)


@event
@dataclass(frozen=True)
class FactorSet:
    """A product weighs `factor_ppm` millionths of theory, the mean of so many weighed rolls.

    `theory_mg` is what theory gave for a metre then: for another theory it is no factor. The rolls are the
    latest up to the event `upto`; their ratios lie from smallest to largest.
    """

    product: str
    factor_ppm: int
    theory_mg: int
    rolls: int
    smallest_ppm: int
    largest_ppm: int
    deviation_ppm: int
    upto: int


@event
@dataclass(frozen=True)
class FactorWithdrawn:
    """A factor counts no more; `factor` is the event that set it."""

    product: str
    factor: int
    reason: str


def apply(connection: Connection, recorded: Recorded) -> None:
    """Copy one event into the table of factors; events of other features pass by."""
    _apply(recorded.event, connection, recorded)


@singledispatch
def _apply(_event: Any, _connection: Connection, _recorded: Recorded) -> None:
    """Nothing about factors."""


@_apply.register
def _(event: FactorSet, connection: Connection, recorded: Recorded) -> None:
    row = {
        "event": recorded.id,
        "product": event.product,
        "factor_ppm": event.factor_ppm,
        "theory_mg": event.theory_mg,
        "rolls": event.rolls,
        "smallest_ppm": event.smallest_ppm,
        "largest_ppm": event.largest_ppm,
        "deviation_ppm": event.deviation_ppm,
        "upto": event.upto,
        "person": recorded.posting.person,
        "at": recorded.posting.happened,
        "withdrawn_by": "",
        "why": "",
    }
    connection.execute(insert(factor), [row])


@_apply.register
def _(event: FactorWithdrawn, connection: Connection, recorded: Recorded) -> None:
    change = update(factor).where(factor.c.event == event.factor)
    values = {
        "withdrawn": recorded.id,
        "withdrawn_by": recorded.posting.person,
        "withdrawn_at": recorded.posting.happened,
        "why": event.reason,
    }
    connection.execute(change.values(**values))
