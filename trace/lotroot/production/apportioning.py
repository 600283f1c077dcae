"""Whose is the scrap in a bin, and how much of it was told by itself before?

What is in it is shared out over the runs of its stations by what their outputs took of each load since the
bin was last emptied. Scrap that somebody weighed by itself in that time was thrown into the same bin, and
counts first.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple, cast

from sqlalchemy import BindParameter, Connection, Row, bindparam, func, or_, select

from lotroot.balance.feeds import per_output
from lotroot.balance.happenings import Order
from lotroot.plant.adopted import number_of, thing_or_none
from lotroot.processes.bins import Bin, falls_into
from lotroot.processes.definition import Plant
from lotroot.production.facts import APPORTIONED
from lotroot.production.history import streams_of
from lotroot.production.relinking import feed_of, margin_of
from lotroot.production.runs import Run, find_run
from lotroot.production.tables import bin_weighing, run, run_scrap
from lotroot.quantities import share_out

_stations: BindParameter[Any] = bindparam("stations", expanding=True)
_worked = (
    select(run.c.number)
    .where(run.c.station.in_(_stations), run.c.voided == 0, run.c.opened <= bindparam("at"))
    .where(or_(run.c.closed.is_(None), run.c.closed > bindparam("since")))
    .order_by(run.c.opened_event)
)
_named = (
    select(run.c.station, run_scrap.c.reason, func.sum(run_scrap.c.amount).label("amount"))
    .join(run, run.c.number == run_scrap.c.run)
    .where(run.c.station.in_(_stations), run.c.voided == 0)
    .where(run_scrap.c.voided == 0, run_scrap.c.how != APPORTIONED)
    .where(run_scrap.c.at > bindparam("since"), run_scrap.c.at <= bindparam("at"))
    .group_by(run.c.station, run_scrap.c.reason)
)
_weighings = (
    select(bin_weighing)
    .where(bin_weighing.c.bin == bindparam("bin"), bin_weighing.c.voided == 0)
    .order_by(bin_weighing.c.at, bin_weighing.c.event)
)
_latest = (
    select(bin_weighing)
    .where(bin_weighing.c.voided == 0)
    .order_by(bin_weighing.c.at.desc(), bin_weighing.c.event.desc())
    .limit(bindparam("most"))
)
_weighing = select(bin_weighing).where(bin_weighing.c.event == bindparam("event"))
_parts = (
    select(run_scrap)
    .where(run_scrap.c.weighing == bindparam("event"), run_scrap.c.voided == 0)
    .order_by(run_scrap.c.event)
)


class Time(NamedTuple):
    """While a bin was filled: after `since`, up to `at`, in microseconds UTC."""

    since: int
    at: int


class Use(NamedTuple):
    """What the outputs of a run took of one load, in grams."""

    run: Run
    load: Row[Any]
    grams: int


def shares_of(grams: int, uses: Sequence[Use]) -> list[tuple[Use, int]]:
    """An amount over runs by what each used, and in each over its loads likewise; exact to the gram."""
    totals: dict[str, int] = {}
    for use in uses:
        totals[use.run.number] = totals.get(use.run.number, 0) + use.grams
    found: list[tuple[Use, int]] = []
    for number, share in zip(totals, share_out(grams, list(totals.values())), strict=True):
        mine = [use for use in uses if use.run.number == number]
        found += zip(mine, share_out(share, [use.grams for use in mine]), strict=True)
    return [(use, share) for use, share in found if share]


def uses_of(connection: Connection, found: Bin, time: Time) -> list[Use]:
    """What every run that worked at a bin's stations in a time used in it, load by load; nothing of 0 g."""
    query = {"stations": _numbers(connection, found), **time._asdict()}
    uses = []
    for row in connection.execute(_worked, query).all():
        one = find_run(connection, row.number)
        taken = _taken(connection, one, time)
        uses += [Use(one, load, taken[load.load]) for load in one.inputs if taken.get(load.load, 0) > 0]
    return uses


def _taken(connection: Connection, one: Run, time: Time) -> dict[int, int]:
    """What outputs of a time took of each load that is told in grams."""
    streams = streams_of(connection, one)
    process, taken = streams.process, dict[int, int]()
    for stream, happenings in streams.happenings.items():
        if process.streams[stream] != "g":
            continue
        how = (feed_of(process, stream), cast(Order, process.order))
        for made, links in per_output(*how, happenings, margin_of(process, happenings)):
            for link in links if time.since < made.ended <= time.at else ():
                taken[link.load] = taken.get(link.load, 0) + link.given
    return taken


def named_before(connection: Connection, plant: Plant, found: Bin, time: Time) -> int:
    """Grams of scrap of a bin's stations that were weighed by themselves in a time and belong into it."""
    query = {"stations": _numbers(connection, found), **time._asdict()}
    named = 0
    for row in connection.execute(_named, query):
        station = thing_or_none(connection, row.station)
        if station is not None and falls_into(plant.bins.values(), station.code, row.reason) == found:
            named += int(row.amount)
    return named


def weighings_of(connection: Connection, number: str) -> Sequence[Row[Any]]:
    """Every weighing of a bin that stands, in the order of their times."""
    return connection.execute(_weighings, {"bin": number}).all()


def latest_weighings(connection: Connection, most: int) -> Sequence[Row[Any]]:
    """So many weighings of any bins that stand, the latest first."""
    return connection.execute(_latest, {"most": most}).all()


def weighing_or_none(connection: Connection, event: int) -> Row[Any] | None:
    """One weighing, by the event that said so; also one that was taken back."""
    return connection.execute(_weighing, {"event": event}).first()


def parts_of(connection: Connection, event: int) -> Sequence[Row[Any]]:
    """The scrap that one weighing of a bin apportioned: rows of run_scrap."""
    return connection.execute(_parts, {"event": event}).all()


def _numbers(connection: Connection, found: Bin) -> list[str]:
    return [number_of(connection, "station", code) for code in found.stations]
