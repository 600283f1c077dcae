"""Is a figure confirmed, by whom and when, and which values of it are in force?"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, Row, bindparam, or_, select

from lotroot.confirmed.facts import decided
from lotroot.confirmed.figures import Figure, figure_of
from lotroot.ledger.canonical import LARGEST, parse
from lotroot.reference import row as published

NOW = LARGEST
"""Later than any event."""

_of_digest = (
    select(decided)
    .where(decided.c.digest == bindparam("digest"), decided.c.event < bindparam("before"))
    .where(or_(decided.c.withdrawn.is_(None), decided.c.withdrawn > bindparam("before")))
    .order_by(decided.c.event.desc())
    .limit(1)
)
_standing = select(decided).where(decided.c.withdrawn.is_(None)).order_by(decided.c.event)
_of_row = (
    select(decided)
    .where(decided.c.table_name == bindparam("of"), decided.c.row_name == bindparam("row"))
    .order_by(decided.c.event)
)


@dataclass(frozen=True, slots=True)
class Standing:
    """A figure and what the plant says of it: the last confirmation or override of this very text.

    `event` is 0 and `person` empty where there is none. `values` are in force: those of the override, else
    those of the figure.
    """

    figure: Figure
    values: Mapping[str, str]
    event: int = 0
    overridden: bool = False
    person: str = ""
    at: int = 0
    reason: str = ""

    @property
    def by_name(self) -> bool:
        """Whether a named person at the plant confirmed or overrode it."""
        return bool(self.event)

    @property
    def counts(self) -> bool:
        """Whether an acceptance decision may rest on it."""
        return self.by_name or not self.figure.from_memory

    def number(self, column: str) -> Decimal:
        """The value in force in a column of numbers; the table's own unit."""
        return Decimal(self.values[column])


def standing(connection: Connection, figure: Figure, before: int = NOW) -> Standing:
    """What stands of one figure, or stood before an event: may it be relied on, and its values in force."""
    return _said(figure, connection.execute(_of_digest, {"digest": figure.digest, "before": before}).first())


def standings(connection: Connection, figures: Iterable[Figure]) -> list[Standing]:
    """The same for many, in their order."""
    last = {row.digest: row for row in connection.execute(_standing)}
    return [_said(one, last.get(one.digest)) for one in figures]


def in_force(connection: Connection, table: str, /, **wanted: str) -> Standing:
    """The one row of a published table whose columns hold what is wanted. Raises Unknown."""
    return standing(connection, figure_of(published(table, **wanted)))


def decisions_on(connection: Connection, figure: Figure) -> Sequence[Row[Any]]:
    """All that was ever confirmed, overridden or withdrawn of a row, oldest first, whatever it said then."""
    return connection.execute(_of_row, {"of": figure.table, "row": figure.row}).all()


def _said(figure: Figure, row: Row[Any] | None) -> Standing:
    if row is None:
        return Standing(figure, figure.values)
    values = {**figure.values, **parse(row.replaced)}
    return Standing(figure, values, row.event, bool(row.overridden), row.person, row.at, row.reason)
