"""What do all standing balances come to, day by day and month by month, for each way of grouping them?

Kept up as balances come and go, so that a year is read in a few hundred rows. Amounts are in `unit`.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import BigInteger, Column, Connection, Table, Text
from sqlalchemy.dialects import postgresql, sqlite

from lotroot.balance.reconciling import BEYOND
from lotroot.database import metadata

MONTH, DAY = "month", "day"
OF_RUNS = ("process", "product", "station", "shift")
"""What every balance has one of."""
OF_SOURCES = ("supplier", "heat")
"""What each part of what was used has one of."""
SCRAP = "scrap"
"""Scrap by its reason, and by how it is known."""


class Figures(NamedTuple):
    """What some runs come to, in one unit.

    `used` = `good` + `by_product` + `scrap` + `loss` + `difference`. `missing` is the sum of the differences
    above zero, so `missing` - `difference` is what was too much. `beyond` counts runs beyond tolerance.
    Of a supplier or a heat `good` is all that was made of it, and a named loss is still in its difference.
    """

    runs: int = 0
    beyond: int = 0
    used: int = 0
    good: int = 0
    by_product: int = 0
    scrap: int = 0
    loss: int = 0
    difference: int = 0
    missing: int = 0

    def plus(self, other: "Figures", times: int = 1) -> "Figures":
        """Both together; with `times` -1 what is left without the other."""
        return Figures(*(mine + times * its for mine, its in zip(self, other, strict=True)))


class Part(NamedTuple):
    """What one balance adds to one line: the grouping, its value, and of scrap how it is known."""

    kind: str
    value: str
    how: str
    figures: Figures


balance_sum = Table(
    "balance_sum",
    metadata,
    Column("kind", Text, primary_key=True),  # of value: one of the groupings
    Column("span", Text, primary_key=True),
    Column("period", Text, primary_key=True),  # 2026-11, 2026-11-24
    Column("process", Text, primary_key=True),
    Column("value", Text, primary_key=True),
    Column("how", Text, primary_key=True),
    Column("stream", Text, primary_key=True),
    Column("unit", Text, primary_key=True),
    *(Column(name, BigInteger, nullable=False) for name in Figures._fields),
    info={"layer": "status"},
)

_keys = tuple(column.name for column in balance_sum.primary_key)


def _adding(dialect: Any) -> Any:
    statement = dialect.insert(balance_sum)
    more = {name: balance_sum.c[name] + statement.excluded[name] for name in Figures._fields}
    return statement.on_conflict_do_update(index_elements=_keys, set_=more)


_add = {"sqlite": _adding(sqlite), "postgresql": _adding(postgresql)}


def figures_of(row: Any) -> Figures:
    """What a row of `run_balance` comes to."""
    beyond = int(row.verdict == BEYOND)
    made = (row.good, row.by_product, row.scrap, row.loss, row.difference, max(row.difference, 0))
    return Figures(1, beyond, row.loaded - row.returned, *made)


def parts(row: Any, sources: Iterable[Any], thrown: Iterable[Any]) -> Iterator[Part]:
    """Every line that a balance is part of: a row of `run_balance` with its sources and its scrap."""
    whole = figures_of(row)
    for by in OF_RUNS:
        yield Part(by, getattr(row, by), "", whole)
    mine = list(sources)
    for by in OF_SOURCES:
        used: dict[str, Figures] = {}
        for one in mine:
            of = Figures(0, 0, one.loaded - one.returned, one.taken, 0, one.scrap, 0, one.difference)
            used[getattr(one, by)] = used.get(getattr(one, by), Figures()).plus(of)
        for value, sums in used.items():
            missing = max(sums.difference, 0)
            yield Part(by, value, "", sums._replace(runs=1, beyond=whole.beyond, missing=missing))
    for one in thrown:
        yield Part(SCRAP, one.reason, one.how, Figures(runs=1, scrap=one.amount))


def rows_of(row: Any, some: Iterable[Part], times: int = 1) -> list[dict[str, Any]]:
    """The rows of `balance_sum` that a balance adds to, once for its day and once for its month."""
    found = []
    for span, period in ((DAY, row.day), (MONTH, row.day[:7])):
        for part in some:
            key = (part.kind, span, period, row.process, part.value, part.how, row.stream, row.unit)
            amounts = {name: times * amount for name, amount in part.figures._asdict().items()}
            found.append(dict(zip(_keys, key, strict=True)) | amounts)
    return found


def add(connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
    """Add rows to what the sums come to so far."""
    if rows:
        connection.execute(_add[connection.dialect.name], rows)
