"""How does an input get onto a machine, run out there, or come off again?"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.goods import Goods, one_lot
from lotroot.holds.handling import refuse_held
from lotroot.identity.showing import shown
from lotroot.plant.adopted import number_of
from lotroot.processes.definition import Role
from lotroot.production.admitting import ask_more, refuse_elsewhere, refuse_loaded, refuse_part
from lotroot.production.dies_in_use import ask_dies
from lotroot.production.facts import InputEnded, InputLoaded, InputUnloaded
from lotroot.production.fitting_sizes import by_wire, refuse_misfit, refuse_overfull
from lotroot.production.opening import run_meant, start_run, station_of
from lotroot.production.painted import other_paint
from lotroot.production.putting_on import going_on, meant, put_on, serial_of
from lotroot.production.relinking import relink
from lotroot.production.remainders import ask_remainder, of_load, reckoned_left, refuse_impossible
from lotroot.production.runs import Run, find_run, loads_of_lot, next_load, open_runs_at, outputs_of_lot
from lotroot.stock.carriers import shipment_at
from lotroot.stock.events import DIFFERENCE, Move, Moved
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, LabelRequest, Work

ENDS = ("outer", "inner", "unknown")


@dataclass(frozen=True)
class LoadInput:
    """Put a lot, or one item of it, on a payoff; a run is opened where none is open at the station.

    `lot` may be the number of a lot, of one of its items, or of the carrier or vessel that holds it.
    `payoff` is its code, needed only where a station has several. `end` is the end that goes in first.
    `amount` is in the lot's unit, 0 for all of it. Onto an occupied payoff it asks whether the coil there
    has ended.
    """

    lot: str
    run: str = ""
    payoff: str = ""
    end: str = "unknown"
    amount: int = 0
    process: str = ""
    product: str = ""
    counter: int | None = None


@dataclass(frozen=True)
class EndInput:
    """The coil on a payoff has run out; `counter` as the machine shows it."""

    run: str = ""
    payoff: str = ""
    counter: int | None = None


@dataclass(frozen=True)
class UnloadInput:
    """Take a part coil off; it keeps its number and gets a PART label.

    `remainder` is in the lot's unit, None for what is reckoned to be left; `how` is weighed, calculated
    or estimated, `typed_by` scale or hand. It goes to `place` (a place's number), else to the station's own.
    """

    lot: str = ""
    run: str = ""
    remainder: int | None = None
    how: str = "calculated"
    place: str = ""
    typed_by: str = ""


def load_input(work: Work, command: LoadInput) -> Answer:
    """Load a lot; refuses what is wrong, unless it has happened already."""
    row = one_lot(work.connection, command.lot)
    refuse_loaded(work, row, command.lot)
    refuse_elsewhere(work, command.lot, row)
    run = _run_for(work, command)
    process = work.plant.process(run.row.process)
    payoff = _payoff(work, command.payoff)
    role = _role(work, run, payoff, row)
    serial = serial_of(command.lot)
    refuse_held(work, "A machine", row.number, serial, serial)
    standing = _standing(work, row, command.lot)
    own = command.amount or sum(one.amount for one in standing)
    if process.feed == "as_is":
        refuse_part(work, process.name, row, own)
    ask_more(work, row, standing, own)
    refuse_misfit(work, run, row, role)
    amount = put_on(work, row, process.streams[role.stream], standing, own)
    refuse_overfull(work, run, row, amount)
    before = _clear_payoff(work, run, role, (payoff, command.counter))
    load = next_load(work.connection, run.number)
    if before is not None:
        work.record(InputEnded(run.number, before.load, load, command.counter))
    _move_to_run(work, standing, run.number, own)
    work.record(
        InputLoaded(
            run=run.number,
            load=load,
            lot=row.number,
            role=role.role,
            stream=role.stream,
            payoff=payoff,
            amount=amount,
            own=own,
            end=_end(command.end),
            weight=_weight(work, run, role, row),
            first=serial,
            last=serial,
        )
    )
    relink(work, run.number)
    called = command.lot if serial else row.number
    ended = f"{shown(before.lot)} has ended; " if before is not None else ""
    paint = other_paint(work, run, row.number)
    said = f"{ended}{shown(called)} is on {_where(work, payoff)}.{paint}{ask_dies(work, run.number)}"
    return Answer(said, (row.number, run.number))


def end_input(work: Work, command: EndInput) -> Answer:
    """Record that a coil ran out with nothing welded on yet."""
    run = run_meant(work, command.run)
    load = _only_load(run, command.payoff)
    work.record(InputEnded(run.number, load.load, 0, command.counter))
    relink(work, run.number)
    return Answer(f"{shown(load.lot)} has ended.", (load.lot, run.number))


def unload_input(work: Work, command: UnloadInput) -> Answer:
    """Take a part coil off its machine; its number stays, its label says PART."""
    run = _run_holding(work, command)
    load = _load_of(run, command)
    work_row = one_lot(work.connection, load.lot)
    calculated = max(reckoned_left(run, load), 0)
    own = calculated if command.remainder is None else command.remainder
    how = "calculated" if command.remainder is None else command.how
    refuse_impossible(work, work_row, own)
    ask_remainder(work, load, own, calculated)
    place = command.place or number_of(work.connection, "place", station_of(work).place)
    process = work.plant.process(run.row.process)
    role = process.input(load.role)
    if own:
        move = Move(load.lot, run.number, place, own, run=run.number, reason="unloaded")
        work.record(Moved((move,)))
    amount = own if role is None else of_load(work, process.streams[role.stream], load, own)
    by = typed_by(command.typed_by) if command.remainder is not None else ""
    work.record(InputUnloaded(run.number, load.load, amount, own, how, by))
    relink(work, run.number)
    if own:
        work.label(LabelRequest(load.lot, layout="part_coil"))
    left = work.show(own, work_row.unit)
    return Answer(f"{shown(load.lot)} is off the machine with {left}.", (load.lot, run.number))


def _run_for(work: Work, command: LoadInput) -> Run:
    if command.run:
        return run_meant(work, command.run)
    rows = [
        row
        for row in open_runs_at(work.connection, work.posting.station)
        if command.process in ("", row.process)
    ]
    if rows:
        return find_run(work.connection, rows[0].number)
    return find_run(work.connection, start_run(work, command.process, command.product, ()))


def _payoff(work: Work, code: str) -> str:
    payoffs = station_of(work).payoffs
    if not code and len(payoffs) == 1:
        return payoffs[0].code
    if code not in [payoff.code for payoff in payoffs]:
        raise Refused(
            "Which payoff is it on?" if not code else f"There is no payoff {code} here.",
            value=code,
            expected=f"One of: {', '.join(payoff.code for payoff in payoffs)}.",
            next_step="Scan the label of the payoff, then the coil again.",
        )
    return code


def _role(work: Work, run: Run, payoff: str, row: Row[Any]) -> Role:
    """The role a lot of this kind has on this payoff; a wrong kind is refused unless it has happened."""
    process = work.plant.process(run.row.process)
    there = [role for role in process.inputs if not role.payoffs or payoff in role.payoffs]
    fitting = [role for role in there if row.kind in role.kinds]
    if fitting:
        return by_wire(work, run, row, fitting)
    payoffs = station_of(work).payoffs
    wanted = sorted({work.plant.kind(kind).name for role in there for kind in role.kinds})
    kind = work.plant.kinds.get(row.kind)
    work.refuse(
        Refused(
            f"{shown(row.number)} is {kind.name if kind else row.kind}, "
            f"which {process.name} does not take here.",
            value=row.number,
            expected=f"Here goes: {', '.join(wanted)}.",
            next_step="Scan the right lot."
            if len(payoffs) == 1
            else "Scan the right lot, or another payoff.",
        ),
        row.number,
    )
    return (there or list(process.inputs))[0]


def _standing(work: Work, row: Row[Any], number: str) -> list[Goods]:
    """Where the lot or item stands; one that is used up or shipped is refused unless it has happened."""
    everywhere = meant(work.connection, number, row.number)
    sent = [one for one in everywhere if shipment_at(work.connection, one.spot)]
    found = [one for one in everywhere if one not in sent and not one.spot.startswith("U")]
    if row.amount == 0 and not row.sealed:
        return found  # an emergency receipt that nobody has weighed yet
    if not found or sum(one.amount for one in found) <= 0:
        made = outputs_of_lot(work.connection, row.number)
        word = "shipped" if sent else "used up"
        work.refuse(
            Refused(
                f"{shown(number if serial_of(number) else row.number)} is {word}.",
                value=number,
                expected="A lot that stands here.",
                next_step="Scan the label on the goods; if this is it, call the supervisor.",
            ),
            made[-1].lot if made else row.number,
        )
    return found


def _clear_payoff(work: Work, run: Run, role: Role, at: tuple[str, int | None]) -> Row[Any] | None:
    """The load that ends as this one is welded on, if the payoff takes one at a time and is occupied."""
    payoff, _ = at
    there = [one for one in run.loaded if one.payoff == payoff and one.stream == role.stream]
    if not there or not _one_at_a_time(run, role, work):
        return None
    before = there[-1]
    answer = work.ask(
        f"ended-{before.load}",
        f"{shown(before.lot)} is still on {_where(work, payoff)}. Has it run out?",
        {"ended": "Run out, this one is welded on", "no": "No, it is still on"},
    )
    if answer == "ended":
        return before
    raise Refused(
        f"{shown(before.lot)} is still on {_where(work, payoff)}.",
        value=before.lot,
        expected="An empty payoff.",
        next_step="Take it off first: scan PART, then its weight.",
    )


def _one_at_a_time(run: Run, role: Role, work: Work) -> bool:
    feed = role.feed or work.plant.process(run.row.process).feed
    return feed == "together" or (feed in ("in_turn", "side_by_side") and role.most == 1)


def _move_to_run(work: Work, standing: list[Goods], run: str, own: int) -> None:
    parts = going_on(work.connection, standing, own)
    moves = [move for part in parts for move in part.moves(run)]
    more = own - sum(part.goods.amount - part.back for part in parts)
    if more > 0 and standing:
        number = standing[0].lot.number
        source = DIFFERENCE if standing[0].first else standing[0].spot  # no other item lacks it
        moves.append(Move(number, source, run, more, run=run, reason="more than recorded"))
    if moves:
        work.record(Moved(tuple(moves)))


def _end(end: str) -> str:
    """The end a lot is taken from. Raises Unreadable."""
    if end not in ENDS:
        raise Unreadable(
            "A coil is taken from an end that is not known.",
            value=end,
            expected="outer, inner or unknown",
            next_step="Choose which end goes in first.",
        )
    return end


def _weight(work: Work, run: Run, role: Role, row: Row[Any]) -> int:
    """Mass a metre of product that this load gives: its own mass a metre times its running length."""
    if role.weight != "mass_per_metre":
        return 0
    mass = work.plant.product(row.product).mass_per_metre_mg or 1000
    made = work.plant.products.get(run.row.product)
    running = made.running_permille.get(role.role, 1000) if made else 1000
    share = len(role.payoffs) or role.least or 1
    return max(mass * running // share, 1)


def _only_load(run: Run, payoff: str) -> Row[Any]:
    there = [one for one in run.loaded if payoff in ("", one.payoff)]
    if len(there) == 1:
        return there[0]
    raise Refused(
        "Nothing is loaded there." if not there else "Several inputs are loaded.",
        value=payoff,
        expected=f"One of: {', '.join(sorted(one.payoff for one in run.loaded)) or 'none'}.",
        next_step="Scan the payoff's label first.",
    )


def _run_holding(work: Work, command: UnloadInput) -> Run:
    if command.run or not command.lot:
        return run_meant(work, command.run)
    row = one_lot(work.connection, command.lot)
    for load in reversed(loads_of_lot(work.connection, row.number)):
        if load.ended_at is None and load.unloaded_at is None:
            return find_run(work.connection, load.run)
    raise Refused(
        f"{shown(row.number)} is on no machine.",
        word="already",
        value=row.number,
        expected="A lot that is loaded.",
        next_step="Scan the lot that is on the machine.",
    )


def _load_of(run: Run, command: UnloadInput) -> Row[Any]:
    if not command.lot:
        return _only_load(run, "")
    for one in run.loaded:
        if one.lot == command.lot:
            return one
    return _only_load(run, "")


def _where(work: Work, payoff: str) -> str:
    station = station_of(work)
    if len(station.payoffs) == 1:
        return station.name
    return f"{station.name}, {next(one.name for one in station.payoffs if one.code == payoff)}"
