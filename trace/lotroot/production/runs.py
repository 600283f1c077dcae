"""What is known of a run: what it is, what is loaded, what it made?"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, func, or_, select

from lotroot.errors import Refused, Unknown
from lotroot.identity.showing import shown
from lotroot.plant.adopted import plant_of
from lotroot.processes.definition import Plant, Process
from lotroot.production.facts import APPORTIONED
from lotroot.production.tables import (
    run,
    run_input,
    run_join,
    run_mark,
    run_output,
    run_scrap,
    run_use,
)

_by_number = select(run).where(run.c.number == bindparam("number"))
_open_at = (
    select(run)
    .where(run.c.station == bindparam("station"), run.c.closed.is_(None))
    .order_by(run.c.opened.desc(), run.c.opened_event.desc())  # one entered late is not the latest
)
_open = select(run).where(run.c.closed.is_(None)).order_by(run.c.opened_event)
_at_the_time = (
    select(run)
    .where(run.c.station == bindparam("station"), run.c.voided == 0, run.c.opened <= bindparam("at"))
    .where(or_(run.c.closed.is_(None), run.c.closed >= bindparam("at")))
    .order_by(run.c.opened.desc(), run.c.opened_event.desc())
    .limit(1)
)
_latest = (
    select(run)
    .where(run.c.station == bindparam("station"), run.c.process == bindparam("process"), run.c.voided == 0)
    .order_by(run.c.opened_event.desc())
    .limit(5)
)
_inputs = select(run_input).where(run_input.c.run == bindparam("run")).order_by(run_input.c.load)
_outputs = select(run_output).where(run_output.c.run == bindparam("run")).order_by(run_output.c.seq)
_scrap = select(run_scrap).where(run_scrap.c.run == bindparam("run")).order_by(run_scrap.c.event)
_joins = select(run_join).where(run_join.c.run == bindparam("run"))
_uses = select(run_use).where(run_use.c.run == bindparam("run")).order_by(run_use.c.event)
_marks = select(run_mark).where(run_mark.c.run == bindparam("run")).order_by(run_mark.c.event)
_scrapped_of_load = select(func.coalesce(func.sum(run_scrap.c.own), 0)).where(
    run_scrap.c.run == bindparam("run"),
    run_scrap.c.load == bindparam("load"),
    run_scrap.c.voided == 0,
    run_scrap.c.how != APPORTIONED,  # nobody knows where along the coil it was
)
_loads_of_lot = select(run_input).where(run_input.c.lot == bindparam("lot")).order_by(run_input.c.event)
_outputs_of_lot = select(run_output).where(run_output.c.lot == bindparam("lot")).order_by(run_output.c.event)


class Run(NamedTuple):
    """A run with all that happened in it; void parts are left out."""

    row: Row[Any]
    inputs: list[Row[Any]]
    outputs: list[Row[Any]]
    scrap: list[Row[Any]]
    joins: Sequence[Row[Any]]
    uses: Sequence[Row[Any]]
    marks: Sequence[Row[Any]]

    @property
    def number(self) -> str:
        """The run's number."""
        return str(self.row.number)

    @property
    def loaded(self) -> list[Row[Any]]:
        """What stands on its payoffs now."""
        return [one for one in self.inputs if one.ended_at is None and one.unloaded_at is None]

    def load(self, seq: int) -> Row[Any]:
        """One of its loads. Raises Unknown."""
        for one in self.inputs:
            if one.load == seq:
                return one
        raise Unknown(
            f"Run {shown(self.number)} has no load {seq}.",
            value=str(seq),
            expected=f"Loads: {', '.join(str(one.load) for one in self.inputs) or 'none'}.",
            next_step="Look at the run's page.",
        )


def run_or_none(connection: Connection, number: str) -> Row[Any] | None:
    """The bare row of a run."""
    return connection.execute(_by_number, {"number": number}).first()


def find_run(connection: Connection, number: str) -> Run:
    """A run with all that happened in it. Raises Unknown."""
    row = run_or_none(connection, number)
    if row is None:
        raise Unknown(
            f"No run {shown(number)} is recorded.",
            value=number,
            expected="The number of a run.",
            next_step="Scan the run's label, or open a run by loading an input.",
        )
    query = {"run": number}
    return Run(
        row,
        [one for one in connection.execute(_inputs, query) if not one.voided],
        [one for one in connection.execute(_outputs, query) if not one.voided],
        [one for one in connection.execute(_scrap, query) if not one.voided],
        connection.execute(_joins, query).all(),
        connection.execute(_uses, query).all(),
        connection.execute(_marks, query).all(),
    )


def open_runs_at(connection: Connection, station: str) -> Sequence[Row[Any]]:
    """The open runs of a station, the one that began last first."""
    return connection.execute(_open_at, {"station": station}).all()


def run_at_the_time(connection: Connection, station: str, at: int) -> Row[Any] | None:
    """The run that went on at a station at a time, closed since or not; of several the last that began."""
    return connection.execute(_at_the_time, {"station": station, "at": at}).first()


def latest_runs(connection: Connection, station: str, process: str) -> Sequence[Row[Any]]:
    """The last few runs of a process at a station, the latest first."""
    return connection.execute(_latest, {"station": station, "process": process}).all()


def open_runs(connection: Connection) -> Sequence[Row[Any]]:
    """All open runs, oldest first."""
    return connection.execute(_open).all()


def next_load(connection: Connection, number: str) -> int:
    """The number the next load of a run gets; void loads keep theirs."""
    rows = connection.execute(_inputs, {"run": number}).all()
    return max((row.load for row in rows), default=0) + 1


def next_output(connection: Connection, number: str) -> int:
    """The number the next output of a run gets; void outputs keep theirs."""
    rows = connection.execute(_outputs, {"run": number}).all()
    return max((row.seq for row in rows), default=0) + 1


def loads_of_lot(connection: Connection, lot: str) -> list[Row[Any]]:
    """Every run a lot was loaded in, oldest first."""
    return [row for row in connection.execute(_loads_of_lot, {"lot": lot}) if not row.voided]


def left_of_load(connection: Connection, load: Row[Any]) -> int:
    """How much of its lot a load let go for good, in the lot's own unit: taken by outputs, or scrapped
    where somebody weighed it. What is a part of a bin has no place along the coil.
    """
    scrapped = connection.scalar(_scrapped_of_load, {"run": load.run, "load": load.load})
    return int(load.taken) + int(scrapped or 0)


def outputs_of_lot(connection: Connection, lot: str) -> list[Row[Any]]:
    """The outputs a lot was made in, oldest first."""
    return [row for row in connection.execute(_outputs_of_lot, {"lot": lot}) if not row.voided]


def judged_by(connection: Connection, row: Row[Any]) -> tuple[Plant, Process]:
    """The plant and process a run is judged by: those it was opened under."""
    plant = plant_of(connection, row.plant)
    return plant, plant.process(row.process)


def refuse_closed(row: Row[Any]) -> None:
    """Refuse an act that takes an open run."""
    if row.closed is not None:
        raise Refused(
            f"Run {shown(row.number)} is closed.",
            word="wrong",
            value=row.number,
            expected="An open run.",
            next_step="Load an input to open a new run, or correct the closed one.",
        )
