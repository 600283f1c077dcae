"""Which figures of a station are worth a look: runs that add up to the gram, weights all alike, typed scrap?

Nothing here is wrong by itself. What closes at exactly zero again and again was hardly weighed; a scale does
not show one weight many times over; and what fingers typed no scale stands behind.
"""

from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy import BindParameter, Connection, bindparam, case, func, literal, select, union, union_all

from lotroot.ledger.tables import event, posting
from lotroot.processes.definition import Plant
from lotroot.production.facts import APPORTIONED, WEIGHED
from lotroot.production.tables import bin_weighing, run, run_output, run_scrap
from lotroot.reconciliation.tables import STANDS, run_balance
from lotroot.stock.tables import item_weight
from lotroot.work import MICROSECONDS

BY_HAND = "hand"
_FROM: BindParameter[str] = bindparam("first")
_TO: BindParameter[str] = bindparam("after")
_SINCE: BindParameter[int] = bindparam("since")
_UNTIL: BindParameter[int] = bindparam("until")

_off = (
    select(
        run_balance.c.run,
        run_balance.c.station,
        func.max(run_balance.c.closed).label("closed"),
        func.max(func.abs(run_balance.c.difference)).label("off"),
    )
    .where(STANDS, run_balance.c.day >= _FROM, run_balance.c.day < _TO)
    .where(run_balance.c.loaded > run_balance.c.returned)
    .group_by(run_balance.c.run, run_balance.c.station)
    .subquery("counted")
)
_closed = select(
    _off.c.station, func.count().label("runs"), func.sum(case((_off.c.off == 0, 1), else_=0)).label("exact")
).group_by(_off.c.station)
_closed_runs = select(_off.c.run, _off.c.off).where(_off.c.station == bindparam("station"))

_made = (
    run_output.c.voided == 0,
    run_output.c.basis == WEIGHED,
    run_output.c.shift >= _FROM,
    run_output.c.shift < _TO,
)
_weights = union_all(
    select(
        run.c.station,
        run_output.c.output,
        run_output.c.run,
        run_output.c.amount,
        run_output.c.ended,
        run_output.c.event,
        literal(0).label("serial"),
    )
    .join(run, run.c.number == run_output.c.run)
    .where(*_made, run_output.c.first == 0),
    select(
        run.c.station,
        run_output.c.output,
        run_output.c.run,
        item_weight.c.amount,
        run_output.c.ended,
        run_output.c.event,
        item_weight.c.serial,
    )
    .join(run, run.c.number == run_output.c.run)
    .join(item_weight, item_weight.c.lot == run_output.c.lot)
    .where(*_made, item_weight.c.serial >= run_output.c.first, item_weight.c.serial <= run_output.c.last),
).subquery("weights")
_turn = (_weights.c.ended, _weights.c.event, _weights.c.serial)
_kind = (_weights.c.station, _weights.c.output)
_numbered = select(
    _weights,
    (
        func.row_number().over(partition_by=_kind, order_by=_turn)
        - func.row_number().over(partition_by=(*_kind, _weights.c.amount), order_by=_turn)
    ).label("series"),
).subquery("numbered")
_alike = (_numbered.c.station, _numbered.c.output, _numbered.c.amount, _numbered.c.series)
_series = (
    select(
        *_alike,
        func.count().label("times"),
        func.min(_numbered.c.event).label("began"),
        func.max(_numbered.c.event).label("ended"),
    )
    .group_by(*_alike)
    .having(func.count() > 1)
    .order_by(func.count().desc(), func.min(_numbered.c.event))
)

_in_time = (run_scrap.c.voided == 0, run_scrap.c.at >= _SINCE, run_scrap.c.at < _UNTIL)
_entries = union_all(
    select(run.c.station, event.c.posting, run_scrap.c.typed_by)
    .join(run, run.c.number == run_scrap.c.run)
    .join(event, event.c.id == run_scrap.c.event)
    .where(*_in_time, run_scrap.c.how == WEIGHED)
    .distinct(),  # one weight shared over several loads was typed once
    select(posting.c.station, event.c.posting, bin_weighing.c.typed_by)
    .join(event, event.c.id == bin_weighing.c.event)
    .join(posting, posting.c.id == event.c.posting)
    .where(bin_weighing.c.voided == 0, bin_weighing.c.at >= _SINCE, bin_weighing.c.at < _UNTIL),
).subquery("entries")
_typed = select(
    _entries.c.station,
    func.count().label("scrap"),
    func.sum(case((_entries.c.typed_by == BY_HAND, 1), else_=0)).label("by_hand"),
    func.sum(case((_entries.c.typed_by == "", 1), else_=0)).label("unknown"),
).group_by(_entries.c.station)
_typed_runs = union(
    select(run_scrap.c.run)
    .join(run, run.c.number == run_scrap.c.run)
    .where(*_in_time, run_scrap.c.how == WEIGHED, run_scrap.c.typed_by == BY_HAND)
    .where(run.c.station == bindparam("station")),
    select(run_scrap.c.run)
    .join(event, event.c.id == run_scrap.c.event)
    .join(posting, posting.c.id == event.c.posting)
    .where(*_in_time, run_scrap.c.how == APPORTIONED, run_scrap.c.typed_by == BY_HAND)
    .where(posting.c.station == bindparam("station")),
)


class Days(NamedTuple):
    """Production days, both counted in."""

    first: date
    last: date

    def query(self, plant: Plant) -> dict[str, Any]:
        """As the statements here take them: texts of days, and microseconds UTC."""
        after = self.last + timedelta(days=1)
        return {
            "first": self.first.isoformat(),
            "after": after.isoformat(),
            "since": _begins(plant, self.first),
            "until": _begins(plant, after),
        }


class Series(NamedTuple):
    """So many weights one after the other all alike, in grams; from one event to another."""

    times: int
    amount: int
    output: str
    began: int
    ended: int


class Figures(NamedTuple):
    """What is counted of one station: closed runs, those at exactly 0, the longest series, typed scrap.

    Of `scrap` weights so many were typed `by_hand`, of so many it is `unknown`; bins weighed there count too.
    """

    station: str
    runs: int = 0
    exact: int = 0
    series: Series | None = None
    scrap: int = 0
    by_hand: int = 0
    unknown: int = 0


def figures(connection: Connection, plant: Plant, days: Days) -> list[Figures]:
    """The figures of every station that closed a run, weighed or threw away anything in some days."""
    query = days.query(plant)
    found: dict[str, Figures] = {}
    for row in connection.execute(_closed, query):
        found[row.station] = Figures(row.station, int(row.runs), int(row.exact))
    for row in connection.execute(_series, query):
        one = found.get(row.station, Figures(row.station))
        longest = one.series or Series(row.times, row.amount, row.output, row.began, row.ended)
        found[row.station] = one._replace(series=longest)
    for row in connection.execute(_typed, query):
        one = found.get(row.station, Figures(row.station))
        scrap, by_hand, unknown = (int(figure) for figure in (row.scrap, row.by_hand, row.unknown))
        found[row.station] = one._replace(scrap=scrap, by_hand=by_hand, unknown=unknown)
    return [found[station] for station in sorted(found) if station]


def closed_runs(
    connection: Connection, plant: Plant, days: Days, station: str, *, exact: bool = False
) -> list[str]:
    """The runs a station closed, all of them or those at exactly 0, in the order they were closed."""
    query = _closed_runs.order_by(_off.c.closed, _off.c.run)
    rows = connection.execute(query, {**days.query(plant), "station": station})
    return [str(row.run) for row in rows if not (exact and row.off)]


def runs_of_series(connection: Connection, plant: Plant, days: Days, one: Figures) -> list[str]:
    """The runs that a station's longest series of weights lies in."""
    if one.series is None:
        return []
    query = (
        select(_weights.c.run)
        .where(_weights.c.station == one.station, _weights.c.output == one.series.output)
        .where(_weights.c.event >= one.series.began, _weights.c.event <= one.series.ended)
        .distinct()
        .order_by(_weights.c.run)
    )
    return [str(row.run) for row in connection.execute(query, days.query(plant))]


def runs_typed_by_hand(connection: Connection, plant: Plant, days: Days, station: str) -> list[str]:
    """The runs whose scrap was typed by hand at a station, by itself or with its bin."""
    rows = connection.execute(_typed_runs, {**days.query(plant), "station": station})
    return sorted(str(row.run) for row in rows)


def _begins(plant: Plant, day: date) -> int:
    local = datetime.combine(day, time.fromisoformat(plant.day_start), ZoneInfo(plant.zone))
    return int(local.timestamp()) * MICROSECONDS
