"""Which weights were typed by hand, at which station, and of what?

A weight is entered where something is made, taken off, thrown away, comes in, is counted or weighed empty; of
each it is kept whether a scale or fingers typed it. What is counted at a nominal weight is no weight.
"""

from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, Select, bindparam, case, func, literal, select, union, union_all

from lotroot.counting.tables import WEIGHED_THERE, sighting
from lotroot.genealogy.tables import lot
from lotroot.ledger.tables import event, posting
from lotroot.processes.definition import Plant
from lotroot.production.facts import APPORTIONED, WEIGHED
from lotroot.production.tables import bin_weighing, run, run_input, run_output, run_scrap
from lotroot.receiving.tables import weight_told
from lotroot.reconciliation.days import FROM, SINCE, TO, UNTIL, Days
from lotroot.stock.tables import tare
from lotroot.stock.typed import HAND

MADE, LEFT, SCRAP, BIN, TOLD, COUNTED, EMPTY = "made", "left", "scrap", "bin", "told", "counted", "empty"
"""What was weighed: an output, a remainder, scrap, a bin, a lot by itself, in a count, a pan."""

_scrap_in_time = (run_scrap.c.voided == 0, run_scrap.c.at >= SINCE, run_scrap.c.at < UNTIL)


def _entry(what: str, station: Any, number: Any, at: Any, by: Any) -> Select[Any]:
    return select(
        station.label("station"),
        literal(what).label("what"),
        number.label("number"),
        at.label("at"),
        by.label("typed_by"),
    )


def _posted(what: str, table: Any, number: Any, at: Any) -> Select[Any]:
    """Entries of a table whose rows do not say at which station they were posted."""
    found = _entry(what, posting.c.station, number, at, table.c.typed_by)
    joined = found.join_from(table, event, event.c.id == table.c.event)
    return joined.join(posting, posting.c.id == event.c.posting).where(at >= SINCE, at < UNTIL)


_entries = union_all(
    _entry(MADE, run.c.station, run_output.c.run, run_output.c.ended, run_output.c.typed_by)
    .join_from(run_output, run, run.c.number == run_output.c.run)
    .where(run_output.c.voided == 0, run_output.c.basis == WEIGHED)
    .where(run_output.c.shift >= FROM, run_output.c.shift < TO),
    _entry(LEFT, run.c.station, run_input.c.run, run_input.c.unloaded_at, run_input.c.typed_by)
    .join_from(run_input, run, run.c.number == run_input.c.run)
    .where(run_input.c.voided == 0, run_input.c.left_how == WEIGHED)
    .where(run_input.c.unloaded_at >= SINCE, run_input.c.unloaded_at < UNTIL),
    _entry(SCRAP, run.c.station, run_scrap.c.run, run_scrap.c.at, run_scrap.c.typed_by)
    .join_from(run_scrap, run, run.c.number == run_scrap.c.run)
    .join(event, event.c.id == run_scrap.c.event)
    .where(*_scrap_in_time, run_scrap.c.how == WEIGHED)
    # One weight that was shared over several loads was typed once.
    .group_by(run.c.station, run_scrap.c.run, run_scrap.c.at, run_scrap.c.typed_by, event.c.posting),
    _posted(BIN, bin_weighing, bin_weighing.c.bin, bin_weighing.c.at).where(bin_weighing.c.voided == 0),
    _entry(TOLD, weight_told.c.station, weight_told.c.lot, weight_told.c.at, weight_told.c.typed_by)
    .join_from(weight_told, lot, lot.c.number == weight_told.c.lot)
    .where(lot.c.voided == 0, weight_told.c.at >= SINCE, weight_told.c.at < UNTIL),
    _posted(COUNTED, sighting, sighting.c.lot, sighting.c.at).where(WEIGHED_THERE),
    _posted(EMPTY, tare, tare.c.carrier, tare.c.since),
).subquery("entries")
_of_scrap = _entries.c.what.in_((SCRAP, BIN))
_hand, _nobody_knows = _entries.c.typed_by == HAND, _entries.c.typed_by == ""


def _count(*conditions: Any) -> Any:
    whole = conditions[0] if len(conditions) == 1 else conditions[0] & conditions[1]
    return func.sum(case((whole, 1), else_=0))


_counted = select(
    _entries.c.station,
    func.count().label("weights"),
    _count(_hand).label("weights_by_hand"),
    _count(_nobody_knows).label("weights_unknown"),
    _count(_of_scrap).label("scrap"),
    _count(_of_scrap, _hand).label("by_hand"),
    _count(_of_scrap, _nobody_knows).label("unknown"),
).group_by(_entries.c.station)
_by_hand = (
    select(_entries.c.what, _entries.c.number, _entries.c.at)
    .where(_hand, _entries.c.station == bindparam("station"))
    .order_by(_entries.c.at, _entries.c.what, _entries.c.number)
)
_scrap_runs = union(
    select(run_scrap.c.run)
    .join(run, run.c.number == run_scrap.c.run)
    .where(*_scrap_in_time, run_scrap.c.how == WEIGHED, run_scrap.c.typed_by == HAND)
    .where(run.c.station == bindparam("station")),
    select(run_scrap.c.run)
    .join(event, event.c.id == run_scrap.c.event)
    .join(posting, posting.c.id == event.c.posting)
    .where(*_scrap_in_time, run_scrap.c.how == APPORTIONED, run_scrap.c.typed_by == HAND)
    .where(posting.c.station == bindparam("station")),
)


class Typed(NamedTuple):
    """Of `weights` entered at a station so many were typed `by_hand`, of so many it is `unknown`."""

    weights: int = 0
    by_hand: int = 0
    unknown: int = 0


def weights_typed(connection: Connection, query: dict[str, Any]) -> dict[str, tuple[Typed, Typed]]:
    """By station: all weights, and those of scrap among them, bins included."""
    return {
        str(row.station): (
            Typed(int(row.weights), int(row.weights_by_hand), int(row.weights_unknown)),
            Typed(int(row.scrap), int(row.by_hand), int(row.unknown)),
        )
        for row in connection.execute(_counted, query)
    }


def typed_by_hand(connection: Connection, plant: Plant, days: Days, station: str) -> list[Row[Any]]:
    """The weights typed by hand at a station: `what`, the `number` it is of, `at`; in order of time."""
    return list(connection.execute(_by_hand, {**days.query(plant), "station": station}))


def runs_typed_by_hand(connection: Connection, plant: Plant, days: Days, station: str) -> list[str]:
    """The runs whose scrap was typed by hand at a station, by itself or with its bin."""
    rows = connection.execute(_scrap_runs, {**days.query(plant), "station": station})
    return sorted(str(row.run) for row in rows)
