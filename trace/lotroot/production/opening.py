"""How does a run begin, and which run is meant when none is named?"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from lotroot.errors import Refused, Unreadable
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of
from lotroot.plant.adopted import code_of, thing_or_none
from lotroot.processes.definition import Plant, Process, Station
from lotroot.production.facts import ResourceUsed, RunOpened
from lotroot.production.runs import Run, find_run, latest_runs, open_runs_at, refuse_closed
from lotroot.work import MICROSECONDS, Answer, LabelRequest, Work


@dataclass(frozen=True)
class OpenRun:
    """Start a run at the station: a process, what it makes, and the die sets or moulds it uses."""

    process: str = ""
    product: str = ""
    resources: tuple[str, ...] = ()


def open_run(work: Work, command: OpenRun) -> Answer:
    """Start a run; an open run of the same station stays open and is named."""
    number = start_run(work, command.process, command.product, command.resources)
    row = find_run(work.connection, number).row
    product = work.plant.products.get(row.product)
    what = product.name if product else work.plant.process(row.process).name
    return Answer(f"{what}: run {shown(number)} is open. Scan what goes in.", (number,))


def start_run(work: Work, process: str, product: str, resources: tuple[str, ...]) -> str:
    """Record a run at the posting's station; returns its number."""
    station = station_of(work)
    code = process or station.processes[0]
    if code not in station.processes:
        raise Unreadable(
            f"{station.name} does not work this.",
            value=code,
            expected=f"One of: {', '.join(station.processes)}.",
            next_step="Choose the process, or go to its station.",
        )
    chosen = work.plant.process(code)
    made = product or usual_product(work, chosen)
    if made:
        work.plant.product(made)
    number = work.number("U")
    work.record(RunOpened(number, code, work.posting.station, made, shift_of(work.plant, work.happened)))
    for thing in resources:
        code_of(work.connection, thing, "resource")
        work.record(ResourceUsed(number, thing))
    if chosen.number_printed:
        work.label(LabelRequest(number))
    return number


def usual_product(work: Work, process: Process) -> str:
    """The product last made by this process at this station, else the only one it can make, else none.

    Where tags tell what each output is of, the run before says nothing of this one.
    """
    main = next(output for output in process.outputs if not output.by_product)
    before = () if "of" in main.asks else latest_runs(work.connection, work.posting.station, process.code)
    for row in before:
        if row.product in work.plant.products:
            return str(row.product)
    fitting = main.products or tuple(
        product.code for product in work.plant.products.values() if product.kind == main.kind
    )
    return fitting[0] if len(fitting) == 1 else ""


def station_of(work: Work) -> Station:
    """The station this posting is made at. Raises Refused where there is none."""
    if not work.posting.station:
        raise Refused(
            "This device is not signed in at a station.",
            expected="A station's label.",
            next_step="Scan the label of the machine first.",
        )
    return work.plant.station(code_of(work.connection, work.posting.station, "station"))


def run_meant(work: Work, number: str, *, closed_too: bool = False) -> Run:
    """The run that is named, or the one open at the station. Raises Refused where none is."""
    if number:
        run = find_run(work.connection, number)
        if not closed_too:
            refuse_closed(run.row)
        return run
    station = station_of(work)
    rows = open_runs_at(work.connection, work.posting.station)
    if not rows:
        raise Refused(
            f"No run is open at {station.name}.",
            expected="A loaded input.",
            next_step="Scan what goes in first.",
        )
    return find_run(work.connection, rows[0].number)


def shift_of(plant: Plant, at: int) -> str:
    """The production day and shift of a time, as `2026-11-24 night`; a day lasts from its first shift."""
    local = datetime.fromtimestamp(at / MICROSECONDS, ZoneInfo(plant.zone))
    day = local if local.strftime("%H:%M") >= plant.day_start else local - timedelta(days=1)
    clock = local.strftime("%H:%M")
    ordered = sorted(plant.shifts, key=lambda shift: shift.start)
    if not ordered:
        return f"{day:%Y-%m-%d}"
    running = [shift for shift in ordered if shift.start <= clock] or ordered
    return f"{day:%Y-%m-%d} {running[-1].code}"


def thing_shown(work: Work, number: str) -> str:
    """A thing's plant code or name, for a sentence."""
    row = thing_or_none(work.connection, number)
    return str(row.code) if row else name_of(work.connection, number)
