"""What did the plant yield: by process, product, station, shift, supplier or heat, over some production days?

As known now it is read off the sums; narrowed further, or as known before, out of the balances themselves.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Select, and_, case, exists, func, or_, select

from lotroot.balance.reconciling import BEYOND
from lotroot.reconciliation.knowing import NOW, Then, known
from lotroot.reconciliation.sums import DAY, MONTH, OF_RUNS, OF_SOURCES, SCRAP, Figures, balance_sum
from lotroot.reconciliation.tables import balance_scrap, balance_source, run_balance

GROUPINGS = (*OF_RUNS, *OF_SOURCES)

_row, _part, _sum = run_balance.c, balance_source.c, balance_sum.c
_SOURCES = and_(_part.event == _row.event, _part.stream == _row.stream)
_THROWN = and_(balance_scrap.c.event == _row.event, balance_scrap.c.stream == _row.stream)


class Asked(NamedTuple):
    """Which balances: of production days `first` to `last` (2026-11-24, both included), `only` those of a
    value for each grouping named, as known `then`."""

    first: str
    last: str
    only: Mapping[str, str] = {}
    then: Then = NOW


class Line(NamedTuple):
    """One line of yields: a value of the grouping, the stream, and what its runs come to in `unit`."""

    value: str
    stream: str
    unit: str
    figures: Figures


class Thrown(NamedTuple):
    """Scrap for one reason; `how` it is known: weighed, or apportioned from a bin."""

    reason: str
    how: str
    stream: str
    unit: str
    runs: int
    amount: int


def yields(connection: Connection, asked: Asked, by: str) -> list[Line]:
    """What each value of a grouping comes to; the most used first, units and streams apart."""
    found = _lines(connection, _statement(asked, by), asked)
    return sorted((one for one in found if one.figures.runs), key=_order)


def scrap(connection: Connection, asked: Asked) -> list[Thrown]:
    """Scrap by reason, the most first; of a supplier or a heat that of the runs that used any of it."""
    if asked.then == NOW and asked.only.keys() <= {"process"}:
        statement = _from_sums(asked, SCRAP, ("runs", "scrap"))
    else:
        figures = (func.count().label("runs"), func.sum(balance_scrap.c.amount).label("scrap"))
        key = (balance_scrap.c.reason.label("value"), balance_scrap.c.how, _row.stream, _row.unit)
        statement = (
            select(*key, *figures)
            .select_from(run_balance.join(balance_scrap, _THROWN))
            .where(*conditions(asked))
            .group_by(*key)
        )
    rows = connection.execute(statement, asked.then.values)
    found = [
        Thrown(row.value, row.how, row.stream, row.unit, int(row.runs), int(row.scrap))
        for row in rows
        if row.runs
    ]
    return sorted(found, key=lambda one: (one.unit, one.stream, -one.amount, one.reason, one.how))


def conditions(asked: Asked) -> list[ColumnElement[bool]]:
    """What holds of the balances that are asked for."""
    return [*of_days(asked), known(asked.then)]


def of_days(asked: Asked) -> list[ColumnElement[bool]]:
    """The same whenever they were known; what a run used is looked for among its sources."""
    found: list[ColumnElement[bool]] = [_row.day.between(asked.first, asked.last)]
    found += [_row[name] == value for name, value in asked.only.items() if name in OF_RUNS]
    used = [_part[name] == value for name, value in asked.only.items() if name in OF_SOURCES]
    return [*found, exists().where(_SOURCES, *used)] if used else found


def of_sources(asked: Asked, by: str = "") -> bool:
    """Whether what is asked for is a part of what runs used, rather than whole runs."""
    return by in OF_SOURCES or any(name in OF_SOURCES for name in asked.only)


def _order(one: Line) -> tuple[Any, ...]:
    return (one.unit, one.stream, -one.figures.used, one.value)


def _lines(connection: Connection, statement: Select[Any], asked: Asked) -> Iterator[Line]:
    for row in connection.execute(statement, asked.then.values):
        amounts = (int(getattr(row, name)) for name in Figures._fields)
        yield Line(row.value, row.stream, row.unit, Figures(*amounts))


def _statement(asked: Asked, by: str) -> Select[Any]:
    if asked.then == NOW and asked.only.keys() <= {"process", by}:
        return _from_sums(asked, by, Figures._fields)
    return _from_sources(asked, by) if of_sources(asked, by) else _from_runs(asked, by)


def _from_sums(asked: Asked, by: str, names: Sequence[str]) -> Select[Any]:
    only = [_sum.process == asked.only["process"]] if "process" in asked.only else []
    only += [_sum.value == asked.only[by]] if by in asked.only else []
    spans = [
        and_(_sum.kind == by, _sum.span == span, _sum.period.between(first, last))
        for span, first, last in periods(asked.first, asked.last)
    ]
    key = (_sum.value, _sum.how, _sum.stream, _sum.unit)
    return (
        select(*key, *(func.sum(_sum[name]).label(name) for name in names))
        .where(or_(*spans), *only)
        .group_by(*key)
    )


def periods(first: str, last: str) -> list[tuple[str, str, str]]:
    """Production days as whole months and the days on either side: (month, 2026-02, 2026-11)."""
    begins, ends = date.fromisoformat(first), date.fromisoformat(last) + timedelta(days=1)
    month = begins if begins.day == 1 else _next_month(begins)  # the first whole one, and the one after all
    after = ends.replace(day=1)
    if month >= after:
        return [(DAY, first, last)]
    found = [(MONTH, f"{month:%Y-%m}", f"{after - timedelta(days=1):%Y-%m}")]
    if begins < month:
        found.insert(0, (DAY, first, str(month - timedelta(days=1))))
    if after < ends:
        found.append((DAY, str(after), last))
    return found


def _next_month(day: date) -> date:
    return (day.replace(day=1) + timedelta(days=32)).replace(day=1)


def _beyond(verdict: Any) -> ColumnElement[int]:
    return func.sum(case((verdict == BEYOND, 1), else_=0)).label("beyond")


def _above_zero(amount: Any) -> ColumnElement[int]:
    return func.sum(case((amount > 0, amount), else_=0)).label("missing")


def _from_runs(asked: Asked, by: str) -> Select[Any]:
    key = (_row[by].label("value"), _row.stream, _row.unit)
    same = ("good", "by_product", "scrap", "loss", "difference")
    figures = (
        func.count().label("runs"),
        _beyond(_row.verdict),
        func.sum(_row.loaded - _row.returned).label("used"),
        *(func.sum(_row[name]).label(name) for name in same),
        _above_zero(_row.difference),
    )
    return select(*key, *figures).where(*conditions(asked)).group_by(*key)


def _from_sources(asked: Asked, by: str) -> Select[Any]:
    """First what each run used of it, so that a run counts once, however many loads it had."""
    mine = of_each_run(asked, by).subquery("mine")
    key = (mine.c.value, mine.c.stream, mine.c.unit)
    figures = (
        func.count().label("runs"),
        _beyond(mine.c.verdict),
        *(func.sum(mine.c[name]).label(name) for name in ("used", "good")),
        func.sum(0).label("by_product"),
        func.sum(mine.c.scrap).label("scrap"),
        func.sum(0).label("loss"),
        func.sum(mine.c.difference).label("difference"),
        _above_zero(mine.c.difference),
    )
    return select(*key, *figures).group_by(*key)


def of_each_run(asked: Asked, by: str, *more: Any) -> Select[Any]:
    """What each run used of the sources asked for, by a grouping of its own or of theirs; `more` columns."""
    value = _part[by] if by in OF_SOURCES else _row[by]
    key = (_row.event, _row.stream, value.label("value"), _row.unit, _row.verdict, *more)
    names = {"good": "taken", "scrap": "scrap", "difference": "difference"}
    whole_runs = {name: only for name, only in asked.only.items() if name in OF_RUNS}
    used = [_part[name] == only for name, only in asked.only.items() if name in OF_SOURCES]
    return (
        select(
            *key,
            func.sum(_part.loaded - _part.returned).label("used"),
            *(func.sum(_part[source]).label(name) for name, source in names.items()),
        )
        .select_from(run_balance.join(balance_source, _SOURCES))
        .where(*conditions(asked._replace(only=whole_runs)), *used)
        .group_by(*key)
    )
