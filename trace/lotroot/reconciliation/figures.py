"""Which figures of a station are worth a look: runs that add up to the gram, or weights that are all alike?

Nothing here is wrong by itself. What closes at exactly zero again and again was hardly weighed; a scale does
not show one weight many times over. Who typed its weights, `typing` counts.
"""

from typing import NamedTuple

from sqlalchemy import Connection, bindparam, case, func, literal, select, union_all

from lotroot.processes.definition import Plant
from lotroot.production.facts import WEIGHED
from lotroot.production.tables import run, run_output
from lotroot.reconciliation.days import FROM, TO, Days
from lotroot.reconciliation.tables import STANDS, run_balance
from lotroot.reconciliation.who_typed import Typed, weights_typed
from lotroot.stock.tables import item_weight

_off = (
    select(
        run_balance.c.run,
        run_balance.c.station,
        func.max(run_balance.c.closed).label("closed"),
        func.max(func.abs(run_balance.c.difference)).label("off"),
    )
    .where(STANDS, run_balance.c.day >= FROM, run_balance.c.day < TO)
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
    run_output.c.shift >= FROM,
    run_output.c.shift < TO,
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


class Series(NamedTuple):
    """So many weights one after the other all alike, in grams; from one event to another."""

    times: int
    amount: int
    output: str
    began: int
    ended: int


class Figures(NamedTuple):
    """What is counted of one station: closed runs, those at exactly 0, the longest series of one weight.

    `weights` are all that were entered there, `scrap` those of scrap among them, bins too: who typed them.
    """

    station: str
    runs: int = 0
    exact: int = 0
    series: Series | None = None
    weights: Typed = Typed()
    scrap: Typed = Typed()


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
    for station, (weights, scrap) in weights_typed(connection, query).items():
        one = found.get(station, Figures(station))
        found[station] = one._replace(weights=weights, scrap=scrap)
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
