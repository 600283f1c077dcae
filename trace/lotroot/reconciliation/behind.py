"""Which runs are behind a figure, and which of them became others since a time?"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Row, Select, exists, func, select

from lotroot.balance.reconciling import BEYOND
from lotroot.reconciliation.knowing import NOW, since
from lotroot.reconciliation.sums import OF_RUNS, Figures, figures_of
from lotroot.reconciliation.tables import balance_scrap, run_balance
from lotroot.reconciliation.yields import Asked, Line, conditions, of_days, of_each_run, of_sources

_row = run_balance.c
_ABOUT = (_row.run, _row.process, _row.product, _row.station, _row.day, _row.shift, _row.closed, _row.verdict)


class Behind(NamedTuple):
    """One run behind a figure: the row of its balance, and its part of the figure."""

    row: Row[Any]
    figures: Figures

    @property
    def beyond(self) -> bool:
        """Whether its difference was beyond the plant's tolerance."""
        return bool(self.row.verdict == BEYOND)


class Which(NamedTuple):
    """Further conditions on runs: beyond tolerance, or that threw away for a reason, known in a way."""

    beyond: bool = False
    reason: str = ""
    how: str = ""


class Change(NamedTuple):
    """A stream of a run as it was known then, and as it is known now; None where it does not stand.

    `about` is the row of now, else that of then.
    """

    run: str
    stream: str
    unit: str
    about: Row[Any]
    then: Row[Any] | None
    now: Row[Any] | None


ANY = Which()


def runs(connection: Connection, asked: Asked, which: Which = ANY, most: int = -1) -> list[Behind]:
    """The runs behind a figure, those with the largest difference first; of a supplier or a heat their part
    of it. At most so many, all where `most` is below zero."""
    statement = _of_sources(asked) if of_sources(asked) else select(run_balance).where(*conditions(asked))
    more = _further(which)
    # What is sorted has a name in one form and is a column in the other.
    column: Any = statement.selected_columns["difference"]
    ordered = statement.where(*more).order_by(func.abs(column).desc(), _row.event, _row.stream)
    rows = connection.execute(ordered.limit(most) if most >= 0 else ordered, asked.then.values).all()
    return [Behind(row, _figures(row)) for row in rows]


def _of_sources(asked: Asked) -> Select[Any]:
    return of_each_run(asked, "process", *(one for one in _ABOUT if one is not _row.verdict))


def _figures(row: Row[Any]) -> Figures:
    if "loaded" in row._fields:
        return figures_of(row)
    beyond, difference = int(row.verdict == BEYOND), int(row.difference)
    missing = max(difference, 0)
    return Figures(1, beyond, int(row.used), int(row.good), 0, int(row.scrap), 0, difference, missing)


def _further(which: Which) -> list[ColumnElement[bool]]:
    found: list[ColumnElement[bool]] = [_row.verdict == BEYOND] if which.beyond else []
    if which.reason:
        thrown = balance_scrap.c
        mine = [thrown.event == _row.event, thrown.stream == _row.stream, thrown.reason == which.reason]
        found.append(exists().where(*mine, *([thrown.how == which.how] if which.how else [])))
    return found


def changes(connection: Connection, asked: Asked) -> list[Change]:
    """Every balance asked for that did not stand `then`, or does not stand now, both versions of a run
    together; none as known now. A run that is of another day, product or station now has but one of them."""
    if asked.then == NOW:
        return []
    pairs: dict[tuple[str, str], list[Row[Any] | None]] = {}
    for place, states in enumerate(since(asked.then)):
        statement = select(run_balance).where(*of_days(asked), states).order_by(_row.event)
        for row in connection.execute(statement, asked.then.values):
            pairs.setdefault((row.run, row.stream), [None, None])[place] = row
    return [
        Change(run, stream, about.unit, about, then, now)
        for (run, stream), (then, now) in sorted(pairs.items())
        if (about := then if now is None else now) is not None
    ]


def figures_then(lines: Sequence[Line], changed: Sequence[Change], by: str) -> list[Line]:
    """Lines as known then, out of those of now and of what changed since; `by` a grouping of runs."""
    assert by in OF_RUNS, by
    found = {(one.value, one.stream, one.unit): one.figures for one in lines}
    for change in changed:
        for side, times in ((change.now, -1), (change.then, 1)):
            if side is not None:
                key = (getattr(side, by), side.stream, side.unit)
                found[key] = found.get(key, Figures()).plus(figures_of(side), times)
    return [Line(*key, figures) for key, figures in sorted(found.items()) if figures.runs]
