"""By which factor does a product go, now or when the ledger ended in an event, and what is a metre then?

The last one that was set counts, unless it was withdrawn or plant.toml gives the product another theory.
"""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.factors.facts import factor

PPM = 1_000_000

_last = (
    select(factor)
    .where(factor.c.product == bindparam("product"), factor.c.event <= bindparam("event"))
    .order_by(factor.c.event.desc())
    .limit(1)
)
LATEST = 2**53
_ever = select(factor).where(factor.c.product == bindparam("product")).order_by(factor.c.event)


class Factor(NamedTuple):
    """A factor in force: millionths of theory, of how many weighed rolls, who set it and when (us UTC)."""

    event: int
    factor_ppm: int
    rolls: int
    person: str
    at: int

    @property
    def shown(self) -> str:
        """For people, to the thousandth: 1.034."""
        return in_thousandths(self.factor_ppm)


def factor_in_force(connection: Connection, product: str, theory_mg: int | None) -> Factor | None:
    """The factor of a product whose metre weighs `theory_mg` by theory; None where it has none."""
    return factor_at(connection, product, theory_mg, LATEST)


def factor_at(connection: Connection, product: str, theory_mg: int | None, event: int) -> Factor | None:
    """The same as it was when the ledger ended in an event."""
    row = connection.execute(_last, {"product": product, "event": event}).first() if theory_mg else None
    if row is None or row.theory_mg != theory_mg:
        return None
    if row.withdrawn is not None and row.withdrawn <= event:
        return None
    return Factor(row.event, row.factor_ppm, row.rolls, row.person, row.at)


def metre_mg(connection: Connection, product: str, theory_mg: int | None) -> int:
    """What a metre weighs in mg: theory, times the plant's factor where it has one; 0 without theory."""
    found = factor_in_force(connection, product, theory_mg)
    return times(theory_mg or 0, found)


def times(amount: int, found: Factor | None) -> int:
    """An amount by theory times a factor, to the nearest; as it is without one."""
    return (amount * found.factor_ppm + PPM // 2) // PPM if found else amount


def factors_of(connection: Connection, product: str) -> Sequence[Row[Any]]:
    """Every factor a product ever had, oldest first, withdrawn ones too."""
    return connection.execute(_ever, {"product": product}).all()


def in_thousandths(ppm: int) -> str:
    """A factor for people: 1.034."""
    return f"{(Decimal(ppm) / PPM).quantize(Decimal('0.001'))}"


def standing_of(rows: Sequence[Row[Any]], theory_mg: int | None) -> Iterator[tuple[Row[Any], str]]:
    """Each row of a product's history, the latest first, with what has become of it, in words."""
    for place, row in enumerate(reversed(rows)):
        if row.withdrawn is not None:
            yield row, "withdrawn"
        elif place:
            yield row, "replaced"
        else:
            yield row, "in force" if row.theory_mg == theory_mg else "of another theory"
