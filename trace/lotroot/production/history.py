"""What happened in a run, in order, as the arithmetic of feeds wants it: one stream at a time?

An output gives its own stream what was weighed or counted. Of another stream it gets its product's
parts (steel and PVC of coated wire), or else its share, by volume, of what the loads of that stream
lost: the solution that did not drain back is in the packs.
"""

from collections.abc import Iterator
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.balance.happenings import Closed, Ended, Happening, Load, Made, Scrapped, Unloaded
from lotroot.processes.definition import Plant, Process
from lotroot.production.facts import APPORTIONED
from lotroot.production.runs import Run, judged_by


class Streams(NamedTuple):
    """A run read for its arithmetic: its happenings by stream."""

    plant: Plant
    process: Process
    happenings: dict[str, list[Happening]]
    unknown: dict[str, list[int]]
    """Outputs whose part of a stream is not known yet."""


def streams_of(connection: Connection, run: Run) -> Streams:
    """The history of a run for each stream of its process."""
    plant, process = judged_by(connection, run.row)
    happenings: dict[str, list[Happening]] = {}
    unknown: dict[str, list[int]] = {}
    for stream in process.streams:
        made, unknown[stream] = _parts(run, plant, process, stream)
        happenings[stream] = _in_order(run, stream, made)
    return Streams(plant, process, happenings, unknown)


Timed = tuple[int, int, Happening]
"""When it happened, the event that says so, and what."""


def _in_order(run: Run, stream: str, made: dict[int, int]) -> list[Happening]:
    """Everything of one stream by the time it happened, then by the order it was recorded."""
    loads = [one for one in run.inputs if one.stream == stream]
    of_stream = {one.load for one in loads}
    timed: list[Timed] = [entry for one in loads for entry in _of_load(one)]
    timed += [
        (one.at, one.event, Scrapped(one.load, one.amount, one.at, placed=one.how != APPORTIONED))
        for one in run.scrap
        if one.load in of_stream
    ]
    timed += [
        (one.ended, one.event, _made(one, made[one.seq], of_stream)) for one in run.outputs if one.seq in made
    ]
    if run.row.closed is not None:
        timed.append((run.row.closed, run.row.closed_event, Closed(run.row.closed)))
    return [happening for _, _, happening in sorted(timed, key=lambda one: one[:2])]


def _of_load(one: Row[Any]) -> Iterator[Timed]:
    yield (
        one.at,
        one.event,
        Load(
            seq=one.load,
            lot=one.lot,
            role=one.role,
            stream=one.stream,
            payoff=one.payoff,
            amount=one.amount,
            end=one.end,
            at=one.at,
            weight=one.weight,
        ),
    )
    if one.ended_at is not None:
        yield one.ended_at, one.ended_event, Ended(one.load, one.next_load, one.ended_at, one.counter)
    if one.unloaded_at is not None:
        yield one.unloaded_at, one.unloaded_event, Unloaded(one.load, one.unloaded_at, one.remainder)


def _made(one: Row[Any], amount: int, loads: set[int]) -> Made:
    return Made(
        seq=one.seq,
        lot=one.lot,
        first=one.first,
        last=one.last,
        amount=amount,
        began=one.began,
        ended=one.ended,
        of=one.of if one.of in loads else 0,
        counter_from=one.counter_from,
        counter_to=one.counter_to,
        lane_from=one.lane_from,
        lane_to=one.lane_to,
        basis=one.basis,
    )


def _parts(run: Run, plant: Plant, process: Process, stream: str) -> tuple[dict[int, int], list[int]]:
    """How much of a stream each output got, by its number in the run; and those not known yet."""
    parts: dict[int, int] = {}
    others: list[Row[Any]] = []
    for one in run.outputs:
        definition = process.output(one.output)
        if definition is None or definition.stream != one.stream:
            continue
        divided = plant.product(run.row.product).parts_permille if run.row.product else {}
        if not definition.by_product and stream in divided:
            parts[one.seq] = one.amount * divided[stream] // 1000
        elif one.stream == stream:
            parts[one.seq] = one.amount
        elif not definition.by_product:
            others.append(one)
    shared, missing = _by_volume(run, stream, parts, others)
    return parts | shared, missing


def _by_volume(
    run: Run, stream: str, parts: dict[int, int], others: list[Row[Any]]
) -> tuple[dict[int, int], list[int]]:
    """Shares of what the loads of a stream lost, in proportion to the outputs' own amounts.

    Nothing is known before something of the stream came back: then the shares are left open.
    """
    if not others:
        return {}, []
    loads = [one for one in run.inputs if one.stream == stream]
    if not loads or not parts:
        return {}, [one.seq for one in others]
    lost = sum(one.amount - one.remainder for one in loads) - sum(parts.values())
    main = others[0].stream
    whole = sum(one.amount for one in run.inputs if one.stream == main and one.unloaded_at is None)
    whole = max(whole, sum(one.amount for one in others))
    shares, before = {}, 0
    for one in others:
        shares[one.seq] = max(lost, 0) * (before + one.amount) // whole - max(lost, 0) * before // whole
        before += one.amount
    return shares, []
