"""How do a run's happenings become links, and amounts that close?

Links are one pure function of the run's history (RULES 6). After every act that changes it, the links
are worked out anew; only children whose links changed get a new version, and what each load gave and
lost moves between its accounts by the change.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, cast

from sqlalchemy import Row, bindparam, select

from lotroot.balance.closing import differences
from lotroot.balance.feeds import links
from lotroot.balance.happenings import FeedName, Happening, Link, Load, Margin, Order
from lotroot.genealogy.events import LinksWritten, LotLink, RanksRaised
from lotroot.genealogy.lots import lots_of_run
from lotroot.genealogy.ranks import raised
from lotroot.genealogy.tables import LIVE, edge_table, lot_table
from lotroot.genealogy.walks import links_by_child, lots_numbered
from lotroot.processes.definition import Process
from lotroot.production.history import Streams, streams_of
from lotroot.production.runs import Run, find_run, left_of_load, loads_of_lot
from lotroot.stock.events import DIFFERENCE, LOSS, LoadBooked, LoadsBooked
from lotroot.work import Work

_ends_of = (
    select(edge_table.c.parent_to, edge_table.c.load, lot_table.c.run)
    .join(lot_table, lot_table.c.id == edge_table.c.child)
    .where(edge_table.c.parent == bindparam("parent"), edge_table.c.state == LIVE)
    .where(edge_table.c.taken > 0, edge_table.c.parent_to.is_not(None))
)
_FIELDS = tuple(LotLink.__dataclass_fields__)
Took = list[tuple[Link, int]]
"""Links with what each took in its lot's unit."""
Starts = dict[int, int | None]
"""By load, where its stretches start; None of items, which are told by serials."""
Reckoned = tuple[dict[str, dict[str, Took]], dict[int, Row[Any]], Starts]
"""Links by stream and child, loads by number, where their stretches start."""


def relink(work: Work, number: str, *, doubted: bool = False) -> None:
    """Write what the history of a run now says: links, ranks and the accounts of its loads.

    `doubted` keeps parents that are no longer named as doubted (RULES 14).
    """
    run = find_run(work.connection, number)
    streams = streams_of(work.connection, run)
    found = {stream: _links(streams, stream) for stream in streams.happenings}
    _write_links(work, run, streams, found, doubted=doubted)
    for lot, since in _book(work, run, streams, found).items():
        relink_later(work, number, lot, since, doubted=doubted)


def rebook(work: Work, number: str) -> None:
    """Move what the loads of a run lost to where it belongs; nothing changed that links follow from."""
    run = find_run(work.connection, number)
    streams = streams_of(work.connection, run)
    _book(work, run, streams, {stream: _links(streams, stream) for stream in streams.happenings})


def relink_later(work: Work, number: str, lot: str, since: int, *, doubted: bool = False) -> None:
    """Relink the other runs that a lot was loaded in after the load `since`, an event, of this one.

    Their stretches start where that load's stop, also of a run that this one came back to later.
    """
    loads = loads_of_lot(work.connection, lot)
    for later in sorted({one.run for one in loads if one.event > since and one.run != number}):
        relink(work, later, doubted=doubted)


def feed_of(process: Process, stream: str) -> FeedName:
    """The feed of a stream: its roles' own where they state one, else the process's."""
    own = {role.feed for role in process.inputs if role.stream == stream and role.feed}
    return cast(FeedName, own.pop() if own else process.feed)  # checked when the plant was parsed


def _links(streams: Streams, stream: str) -> tuple[Link, ...]:
    process = streams.process
    happenings = streams.happenings[stream]
    return links(
        feed_of(process, stream), cast(Order, process.order), happenings, margin_of(process, happenings)
    )


def margin_of(process: Process, happenings: Sequence[Happening]) -> Margin:
    """How far a border between two loads is uncertain: the plant's loss of a load, and wire on the blocks."""
    most = max((one.amount for one in happenings if isinstance(one, Load)), default=0)
    return Margin(most * process.margin.loss_permille // 1000, process.margin.on_blocks)


def _write_links(
    work: Work, run: Run, streams: Streams, found: dict[str, tuple[Link, ...]], *, doubted: bool
) -> None:
    loads = {one.load: one for one in run.inputs}
    starts = _starts(work, run)
    took = {stream: _by_child(_with_taken(some, loads)) for stream, some in found.items()}
    children = lots_of_run(work.connection, run.number)
    known = links_by_child(work.connection, [child.id for child in children])
    for child in children:
        new = tuple(_all_of(run, streams, (took, loads, starts), child))
        if new == _as_written(known.get(child.id, ())):
            continue
        lifted = raised(work.connection, child.number, sorted({link.parent for link in new}))
        work.record(LinksWritten(child.number, run.number, new, doubted))
        if lifted:
            work.record(RanksRaised(lifted))


def _all_of(
    run: Run,
    streams: Streams,
    worked_out: Reckoned,
    child: Row[Any],
) -> Iterable[LotLink]:
    took, loads, starts = worked_out
    for stream, some in took.items():
        yield from _with_own_units(some.get(child.number, []), loads, starts, child)
        yield from _open_links(run, streams, stream, child)
    for join in run.joins:
        if join.child == child.number:
            yield LotLink(join.parent, "content", join.stream, join.taken, join.given, feed="mixed")


def _with_taken(some: Iterable[Link], loads: dict[int, Row[Any]]) -> Iterator[tuple[Link, int]]:
    """Each link with what it took in its lot's unit, as steps of a running sum: those of a load add up."""
    so_far: dict[int, int] = {}
    for link in some:
        before = so_far.get(link.load, 0)
        so_far[link.load] = before + link.taken
        load = loads[link.load]
        yield link, in_own_unit(load, so_far[link.load]) - in_own_unit(load, before)


def _by_child(some: Iterable[tuple[Link, int]]) -> dict[str, Took]:
    found: dict[str, Took] = {}
    for link, taken in some:
        found.setdefault(link.child, []).append((link, taken))
    return found


def _with_own_units(
    mine: Took, loads: dict[int, Row[Any]], starts: Starts, child: Row[Any]
) -> Iterable[LotLink]:
    serial = child.axis == "serial"
    for link, taken in mine:
        load = loads[link.load]
        parent_from, parent_to = _stretch(load, starts[link.load], link)
        yield LotLink(
            parent=load.lot,
            role=link.role,
            stream=link.stream,
            taken=taken,
            given=link.given,
            parent_from=parent_from,
            parent_to=parent_to,
            child_from=link.child_first if serial else link.child_from,
            child_to=link.child_last if serial else link.child_to,
            end=link.end,
            feed=link.feed,
            least=link.least,
            most=link.most,
            basis=link.basis,
            child_end=link.child_end,
            lane_from=link.lane_from,
            lane_to=link.lane_to,
            filling=link.filling,
            load=link.load,
        )


def _stretch(load: Row[Any], start: int | None, link: Link) -> tuple[int | None, int | None]:
    """From where to where on its lot's axis a link took; of items nobody named: nobody knows which."""
    if start is not None:
        return start + in_own_unit(load, link.parent_from), start + in_own_unit(load, link.parent_to)
    return (load.first, load.last) if load.first else (None, None)


def _starts(work: Work, run: Run) -> Starts:
    """How much had left each load's lot on other runs, scrap too, from the same end, before (RULES 8).

    A lot put back in the same run goes on where it stopped there: the arithmetic of feeds sees to that.
    """
    lots = lots_numbered(work.connection, {one.lot for one in run.inputs})
    starts: Starts = {one.load: None for one in run.inputs}
    for one in run.inputs:
        if lots[one.lot].axis == "serial":  # a stretch of it would be serials, not an amount
            continue
        before = [
            other
            for other in loads_of_lot(work.connection, one.lot)
            if other.run != run.number
            and other.end == one.end
            and (other.at, other.event) < (one.at, one.event)
        ]
        left = sum(left_of_load(work.connection, other) for other in before)
        starts[one.load] = max(left, _farthest(work, lots[one.lot], before))
    return starts


def _farthest(work: Work, parent: Row[Any], loads: Sequence[Row[Any]]) -> int:
    """How far outputs of some loads of a lot reach on its axis.

    That is beyond all that left it, where scrap of a later load came before an earlier one's wire was drawn.
    """
    if not loads:
        return 0
    those = {(one.run, one.load) for one in loads}
    rows = work.connection.execute(_ends_of, {"parent": parent.id})
    return max((row.parent_to for row in rows if (row.run, row.load) in those), default=0)


def _given(found: dict[str, tuple[Link, ...]]) -> dict[int, int]:
    """What outputs took of each load, in its stream's unit."""
    given: dict[int, int] = {}
    for some in found.values():
        for link in some:
            given[link.load] = given.get(link.load, 0) + link.taken
    return given


def _lines(streams: Streams) -> dict[int, int]:
    """The difference of each load that has any line of it, in its stream's unit."""
    lines: dict[int, int] = {}
    for stream, happenings in streams.happenings.items():
        feed = feed_of(streams.process, stream)
        for line in differences(feed, happenings, margin_of(streams.process, happenings)):
            lines[line.load] = lines.get(line.load, 0) + line.amount
    return lines


def _open_links(run: Run, streams: Streams, stream: str, child: Row[Any]) -> Iterable[LotLink]:
    """Links without an amount for outputs whose part of a stream is not known yet: a hold must reach them."""
    if not streams.unknown[stream]:
        return
    open_outputs = [one for one in run.outputs if one.seq in streams.unknown[stream]]
    mine = [one for one in open_outputs if one.lot == child.number]
    if not mine:
        return
    for load in run.inputs:
        if load.stream == stream and load.at <= max(one.ended for one in mine):
            yield LotLink(load.lot, load.role, stream, 0, 0, feed="mixed", least=0, basis="bounded")


def in_own_unit(load: Row[Any], amount: int) -> int:
    """An amount of a load, in the stream's unit, as the nearest amount in its lot's own unit."""
    if load.amount == load.own or not load.amount:
        return amount
    return int((2 * amount * load.own + load.amount) // (2 * load.amount))


def _as_written(rows: Iterable[Row[Any]]) -> tuple[LotLink, ...]:
    return tuple(LotLink(row.parent_number, *(getattr(row, name) for name in _FIELDS[1:])) for row in rows)


def _book(work: Work, run: Run, streams: Streams, found: dict[str, tuple[Link, ...]]) -> dict[str, int]:
    """Move what each load gave and lost since it was last booked.

    Returns the lots that gave otherwise, each with the event of the first load of it that did.
    """
    booked: list[LoadBooked] = []
    changed: dict[str, int] = {}
    given, lines = _given(found), _lines(streams)
    for load in run.inputs:
        taken = in_own_unit(load, given.get(load.load, 0))
        difference = _difference(run, load, taken, lines.get(load.load))
        if (taken, difference) != (load.taken, load.difference):
            gone = LOSS if streams.process.is_aid(load.stream) else DIFFERENCE
            more = (taken - load.taken, difference - load.difference)
            booked.append(LoadBooked(load.load, load.lot, *more, gone))
        if taken != load.taken:
            changed[str(load.lot)] = min(load.event, changed.get(str(load.lot), load.event))
    if booked:
        work.record(LoadsBooked(run.number, tuple(booked)))
    return changed


def _difference(run: Run, load: Row[Any], taken: int, line: int | None) -> int:
    """What the difference of a load is, in its lot's unit (RULES 3, 6, 7); `line` None: it has none yet."""
    if line is None and load.unloaded_at is None and run.row.closed is None:
        return 0
    if load.amount == load.own:
        return line or 0
    scrapped = sum(one.own for one in run.scrap if one.load == load.load)
    return int(load.own - taken - scrapped - in_own_unit(load, load.remainder))
