"""What has gone through each die of a set since it was recut, how fast does it wear, when is it due?

Mass is that of what was made while the set worked; scrap of drawn wire is not in it. Readings are those of
what was checked by itself, on what was made since the last die became another. All of it is a forecast from
the record: the readings judge.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from sqlalchemy import Connection, bindparam, select

from lotroot.dies.sizes import Die, dies_in_force, recuts_of
from lotroot.genealogy.lots import find_lot
from lotroot.plant.adopted import code_of, current_plant, plant_of, things
from lotroot.processes.definition import Limits, Plant, Resource
from lotroot.production.tables import run, run_output, run_use
from lotroot.quality.facts import checked
from lotroot.theory.dies import Drift, Reading, Through, drift, due_g, through
from lotroot.theory.sizes import MOST_MASS_G
from lotroot.tracing.die_spans import Drawn, Spans, Use, finished_in, part, spans

LEAST_READINGS = 5
"""Fewer say nothing of the wear: a gauge's own step is as large as the wear of tonnes (our own choice)."""

_mine = select(run_use.c.run).where(run_use.c.thing == bindparam("thing"))
_uses = (
    select(run_use.c.run, run_use.c.thing, run_use.c.since, run_use.c.event, run.c.process, run.c.plant)
    .join(run, run.c.number == run_use.c.run)
    .where(run_use.c.run.in_(_mine), run.c.voided == 0)
)
_made = (
    select(
        *(run_output.c[name] for name in ("run", "seq", "lot", "stream", "amount", "began", "ended")),
    )
    .where(run_output.c.run.in_(_mine), run_output.c.voided == 0, run_output.c.ended > bindparam("since"))
    .order_by(run_output.c.ended, run_output.c.event)
)
_read = (
    select(run_output.c.run, run_output.c.seq, checked.c.lot, checked.c.at, checked.c.readings)
    .join(checked, checked.c.lot == run_output.c.lot)
    .where(run_output.c.run.in_(_mine), run_output.c.voided == 0, run_output.c.ended > bindparam("since"))
    .where(checked.c.characteristic == bindparam("what"), checked.c.voided == 0)
    .order_by(checked.c.event)
)


class DieWear(NamedTuple):
    """A die of a set with what went through it since it became what it is."""

    die: Die
    through: Through


class RunThrough(NamedTuple):
    """What a run drew through a set since the last recut of any of its dies, or ever."""

    run: str
    since: int
    until: int
    mass_g: int


class Read(NamedTuple):
    """A diameter that was read, decimal text in mm, and what had gone through the last die by then."""

    lot: str
    at: int
    size_mm: str
    through_g: int


class Wear(NamedTuple):
    """A set of dies: each die, the runs, and the wear of the last one.

    `upper` is what the wire drawn last may be, None where nothing says. `line` is None where
    there are too few of the `readings`; `left_g` what may still be drawn, None where nothing is foreseen.
    """

    thing: str
    resource: Resource
    dies: tuple[DieWear, ...]
    runs: tuple[RunThrough, ...]
    readings: tuple[Read, ...]
    upper: Limits | None
    line: Drift | None
    left_g: int | None


class _Past(NamedTuple):
    """When a set worked, and what was made then, in order."""

    spans: Spans
    made: dict[tuple[str, int], Drawn]


def sets_with_dies(connection: Connection) -> list[Wear]:
    """Every die set of the plant whose dies are told, in the order of plant.toml."""
    resources = current_plant(connection).resources
    numbers = {row.code: row.number for row in things(connection) if row.kind == "resource"}
    return [wear(connection, numbers[code]) for code, one in resources.items() if one.dies_mm]


def wear(connection: Connection, thing: str) -> Wear:
    """The wear of one set, by the number on its label. Raises Unknown."""
    plant = current_plant(connection)
    resource = plant.resource(code_of(connection, thing, "resource"))
    dies = dies_in_force(resource, recuts_of(connection, thing))
    past = _past(connection, thing, resource, min((die.since for die in dies), default=0))
    masses = {since: _masses(past, since) for since in {die.since for die in dies}}
    worn = tuple(DieWear(die, through(masses[die.since], Decimal(die.size_mm))) for die in dies)
    upper = _upper(connection, plant, resource, past)
    readings = _readings(connection, thing, past, (_characteristic(plant, resource), dies)) if dies else []
    line = _line(readings)
    high = upper.high if upper is not None else None
    due = due_g(line, Decimal(high)) if line is not None and high is not None else None
    left = None if due is None else max(due - worn[-1].through.mass_g, 0)
    return Wear(thing, resource, worn, _runs(past), tuple(readings), upper, line, left)


def _line(readings: Sequence[Read]) -> Drift | None:
    if len(readings) < LEAST_READINGS:
        return None
    return drift([Reading(one.through_g, Decimal(one.size_mm)) for one in readings])


def _past(connection: Connection, thing: str, resource: Resource, since: int) -> _Past:
    rows = connection.execute(_uses, {"thing": thing}).all()
    kind = _of_kind(connection, resource.kind)
    uses = [Use(row.run, row.thing, row.since, row.event) for row in rows if row.thing in kind | {thing}]
    units = {row.run: _streams(connection, row.plant, row.process) for row in rows}
    made = {
        (row.run, row.seq): Drawn(row.run, row.lot, row.amount, row.began, row.ended)
        for row in connection.execute(_made, {"thing": thing, "since": since})
        if units.get(row.run, {}).get(row.stream) == "g"
    }
    return _Past(spans(uses, thing), made)


def _streams(connection: Connection, plant: str, code: str) -> dict[str, str]:
    """What the streams of a process close in, by the plant a run was opened under."""
    process = plant_of(connection, plant).processes.get(code)
    return dict(process.streams) if process is not None else {}


def _of_kind(connection: Connection, kind: str) -> set[str]:
    """The numbers of all things of one kind of resource: only one of them works in a run at a time."""
    resources = current_plant(connection).resources
    codes = {code for code, one in resources.items() if one.kind == kind}
    return {row.number for row in things(connection) if row.kind == "resource" and row.code in codes}


def _masses(past: _Past, since: int) -> list[int]:
    """What went through a die that is there since then, in parts as large as theory takes."""
    total = sum(part(one, past.spans, since) for one in past.made.values())
    whole, rest = divmod(total, MOST_MASS_G)
    return [MOST_MASS_G] * whole + [rest] * bool(rest)


def _runs(past: _Past) -> tuple[RunThrough, ...]:
    found: dict[str, RunThrough] = {}
    for one in past.made.values():
        mass = part(one, past.spans)
        if mass:
            before = found.get(one.run, RunThrough(one.run, one.began, one.ended, 0))
            found[one.run] = RunThrough(one.run, before.since, one.ended, before.mass_g + mass)
    return tuple(found.values())


def _characteristic(plant: Plant, resource: Resource) -> str:
    """What says how thick the wire of a set is; "" where no process that uses it tells."""
    drafts = [one.drafts for one in plant.processes.values() if resource.kind in one.uses and one.drafts]
    return next((one.checked for one in drafts if one.checked), "")


def _upper(connection: Connection, plant: Plant, resource: Resource, past: _Past) -> Limits | None:
    what = _characteristic(plant, resource)
    last = next((one for one in reversed(past.made.values()) if finished_in(one, past.spans)), None)
    product = find_lot(connection, last.lot).product if last is not None else ""
    return plant.limits(what, product) if what and product in plant.products else None


def _readings(connection: Connection, thing: str, past: _Past, of: tuple[str, Sequence[Die]]) -> list[Read]:
    """Each reading with what had gone through the last die by the end of what was read.

    One that is half or double the die's size is a slip, which its check has said; it is no wear.
    """
    what, dies = of
    since, so_far, by = dies[-1].since, 0, {}
    size = Decimal(dies[-1].size_mm)
    for key, one in past.made.items():
        so_far += part(one, past.spans, since)
        if finished_in(one, past.spans):
            by[key] = so_far
    rows = connection.execute(_read, {"thing": thing, "since": since, "what": what})
    return [
        Read(row.lot, row.at, text, by[row.run, row.seq])
        for row in rows
        if (row.run, row.seq) in by
        for text in row.readings.split()
        if size < 2 * Decimal(text) < 4 * size
    ]
