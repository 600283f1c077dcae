"""How does an output become a lot or items, tied to what it was made of?

Making states what is: it is never refused for a hold or an odd amount, which is asked about once,
recorded, and put in question (DESIGN.md section 2.2).
"""

from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import LotBorn, LotGrew
from lotroot.genealogy.lots import find_lot, lots_of_run, next_rank
from lotroot.goods import one_lot
from lotroot.holds.handling import PlaceHold, place
from lotroot.holds.reach import held_by
from lotroot.identity import number_from
from lotroot.identity.showing import shown
from lotroot.pads import reserved_number
from lotroot.plant.adopted import number_of
from lotroot.processes.definition import Kind, Output, Process, Product
from lotroot.production.amounts import MOST_ITEMS, Amounts, amounts_of
from lotroot.production.cut_facts import Cut, CutListMade
from lotroot.production.dies_in_use import ask_dies
from lotroot.production.doubting import Doubt, Given, doubted, keep
from lotroot.production.draining import ask_drained
from lotroot.production.facts import InputEnded, OutputMade
from lotroot.production.filling import into_carrier
from lotroot.production.opening import run_meant, shift_of, station_of
from lotroot.production.painted import ask_paint
from lotroot.production.relinking import relink
from lotroot.production.runs import Run, next_output
from lotroot.production.serials import blocks_of_run, last_given
from lotroot.production.weighing import net_of, net_of_item
from lotroot.reserved import is_reserved
from lotroot.stock.carriers import find_carrier
from lotroot.stock.events import BORN, ItemsWeighed, Move, Moved, SerialWeight
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, LabelRequest, Work


@dataclass(frozen=True)
class MakeOutput:
    """Something was made in the open run.

    `output` is the process's output code, empty for its main one; `product` the run's where empty.
    `weight` is net grams, `count` pieces or items, `length` millimetres, `volume` millilitres or cubic
    centimetres: what the output asks for. `weights` are the net grams of items weighed one by one.
    `of` names the loaded lot it is of; `lane_from` and `lane_to` are mm from the operator side; `carrier`
    is the number of the pan or spool it went into; `counter` is the machine's counter. `gross` is what the
    scale shows with the carrier on it, instead of `weight`, or for one item with what it is packed in;
    `typed_by` is scale or hand, empty where it is not known. `cuts` are the lines of one bundle.
    """

    output: str = ""
    run: str = ""
    product: str = ""
    weight: int = 0
    count: int = 0
    length: int = 0
    volume: int = 0
    weights: tuple[int, ...] = ()
    of: str = ""
    lane_from: int = 0
    lane_to: int = 0
    carrier: str = ""
    counter: int | None = None
    number: str = ""
    gross: int = 0
    typed_by: str = ""
    cuts: tuple[Cut, ...] = ()


class Making(NamedTuple):
    """What is being made: by which process, as which of its outputs, of which product and kind."""

    process: Process
    output: Output
    product: Product
    kind: Kind


class Made(NamedTuple):
    """An output with its lot and serials, and the load it is of (0: none named); `born` if it is new."""

    output: Output
    lot: str
    first: int
    last: int
    of: int
    born: bool


def make_output(work: Work, command: MakeOutput) -> Answer:
    """Record an output, its links and its label."""
    run = run_meant(work, command.run, closed_too=work.posting.basis != "at once")
    what = making(work, run, command.output, command.product)
    if command.gross and what.output.as_ == "item":
        command = replace(command, weights=(net_of_item(work, what.output, what.product, command),))
    load = _load_named(work, run, what.output, command)
    amounts = _amounts(work, run, what, command, load)
    more = ask_amount(work, run, what.output, amounts.amount)
    ask_drained(work, run, what.output, amounts.amount)
    doubt = None if more else doubt_of(work, run, what, (amounts, command))
    lot, first, last, born = _lot(work, run, what, amounts, command.number)
    made = Made(what.output, lot, first, last, load.load if load is not None else 0, born)
    keep(work, run, doubt and doubt.of(first, last), lot)
    put_down(work, run, made, amounts, command)
    if load is not None:
        work.record(InputEnded(run.number, load.load))
    relink(work, run.number)
    ask_paint(work, run, (lot, first, last))
    born_held(work, made)
    dies = "" if run.outputs else ask_dies(work, run.number)
    first_label, last_label = (first, last) if what.output.as_ == "item" else (0, 0)
    if not command.number or last_label > first_label:  # else the goods have a label with their number on
        work.label(LabelRequest(lot, first_label, last_label, note=_note(work, lot)))
    much = work.show(amounts.own, what.kind.unit) + _tared(work, amounts)
    which = f", {item_words(first, last)}" if first else ""
    return Answer(f"{shown(lot)}{which}: {what.product.name}, {much}.{dies}", (lot, run.number))


def _amounts(work: Work, run: Run, what: Making, command: MakeOutput, load: Row[Any] | None) -> Amounts:
    """What was made; the carrier or carton that stood on the scale too is taken off and kept as tare."""
    if not command.gross:
        return amounts_of(work, what, command, load)
    if what.output.as_ == "item":
        found = amounts_of(work, what, command, load)
        return found._replace(gross=command.gross, tare=command.gross - sum(command.weights))
    growing = None if command.number else growing_lot(work, run, what)
    net = net_of(work, what.output, command, growing.number if growing is not None else "")
    amounts = amounts_of(work, what, replace(command, weight=net.grams), load)
    return amounts._replace(gross=command.gross, tare=net.tare)


def _tared(work: Work, amounts: Amounts) -> str:
    """What was taken off the scale's figure, for the person to see."""
    if not amounts.gross:
        return ""
    return f" ({work.show(amounts.gross, 'g')} gross less {work.show(amounts.gross - amounts.own, 'g')})"


def making(work: Work, run: Run, output: str, product: str) -> Making:
    """What an output code and a product, empty for the usual ones, mean in a run."""
    process = work.plant.process(run.row.process)
    found = _output(process, output)
    chosen = work.plant.product(_product(work, run, found, product))
    return Making(process, found, chosen, work.plant.kind(chosen.kind))


def _output(process: Process, code: str) -> Output:
    main = next(one for one in process.outputs if not one.by_product)
    found = process.output(code) if code else main
    if found is None:
        raise Unreadable(
            f"{process.name} does not make this.",
            value=code,
            expected=f"One of: {', '.join(one.code for one in process.outputs)}.",
            next_step="Choose the output.",
        )
    return found


def _product(work: Work, run: Run, output: Output, named: str) -> str:
    """The product made: named, the run's own if it is of the output's kind, or the only one of that kind."""
    own = work.plant.products.get(run.row.product)
    fitting = output.products or tuple(
        one.code for one in work.plant.products.values() if one.kind == output.kind
    )
    for code in (named, run.row.product if own is not None and own.kind == output.kind else ""):
        if code:
            return str(code)
    if len(fitting) == 1:
        return fitting[0]
    choices = {code: work.plant.product(code).name for code in fitting}
    if not choices:
        raise Refused(
            f"No product of the kind {output.kind} is known.",
            value=output.kind,
            expected="A product in plant.toml.",
            next_step="Call the technical manager.",
        )
    return work.ask("product", "Which product is it?", choices)


def _load_named(work: Work, run: Run, output: Output, command: MakeOutput) -> Row[Any] | None:
    """The load an output says it is of, where its process asks for it."""
    if "of" not in output.asks:
        return None
    open_loads = [one for one in run.loaded if one.stream == output.stream]
    if command.of:
        number = one_lot(work.connection, command.of).number
        named = [one for one in open_loads if one.lot == number]
    else:
        named = open_loads if len(open_loads) == 1 else []
    if not named:
        raise Refused(
            "Which of the loaded lots is this?" if not command.of else f"{shown(command.of)} is not loaded.",
            value=command.of,
            expected=f"One of: {', '.join(shown(one.lot) for one in open_loads) or 'none left'}.",
            next_step="Scan the tag of the lot that comes out.",
        )
    return named[0]


def doubt_of(work: Work, run: Run, what: Making, came: tuple[Amounts, MakeOutput]) -> Doubt | None:
    """What is implausible about an output, after it was asked about."""
    amounts, command = came
    growing = None if command.number else growing_lot(work, run, what)
    given = Given(*what, amounts, command.weights, command.counter, command.cuts)
    return doubted(work, run, given, command.carrier, growing.number if growing is not None else "")


def ask_amount(work: Work, run: Run, output: Output, amount: int) -> bool:
    """Ask once where more comes out than is loaded; what stands on the floor is recorded anyway.

    Returns whether it was asked.
    """
    among = run.loaded if run.row.closed is None else run.inputs  # an output told late
    loads = [one for one in among if one.stream == output.stream]
    process = work.plant.process(run.row.process)
    left = sum(one.amount - one.taken for one in loads)
    limit = left + sum(one.amount for one in loads) * process.tolerance_permille // 1000
    if amount <= limit:
        return False
    text = "Nothing is loaded. Is this made here?"
    if loads:
        there = work.show(max(left, 0), process.streams[output.stream])
        much = work.show(amount, process.streams[output.stream])
        text = f"{much} comes out, {there} is loaded. Is the number right?"
    work.ask(f"amount-{amount}", text, {"yes": "Yes, record it"})
    work.put_in_question(run.number, "More came out than was loaded.")
    return True


def _lot(work: Work, run: Run, what: Making, amounts: Amounts, number: str) -> tuple[str, int, int, bool]:
    """The lot the output goes onto, new or growing, and the serials of its items."""
    growing = None if number else growing_lot(work, run, what)
    given = last_given(work.connection, growing) if growing is not None and amounts.items else 0
    if growing is not None and given + amounts.items <= MOST_ITEMS:
        first = given + 1 if amounts.items else 0
        last = given + amounts.items
        work.record(LotGrew(growing.number, amounts.own, amounts.mass, first, last))
        return str(growing.number), first, last, False
    born = bear(work, run, what, amounts, number)
    return born, 1 if amounts.items else 0, amounts.items, True


def bear(work: Work, run: Run, what: Making, amounts: Amounts, number: str = "") -> str:
    """Record a new lot of a run, under a number that was reserved if one is given; returns its number."""
    given = reserved_number(work, number, what.kind.letter) or work.number(what.kind.letter)
    work.record(
        LotBorn(
            number=given,
            kind=what.kind.code,
            product=what.product.code,
            unit=what.kind.unit,
            amount=amounts.own,
            how=amounts.basis,
            rank=next_rank(work.connection),
            mass=amounts.mass,
            mass_how=amounts.basis if amounts.mass is not None else "",
            axis="serial" if what.output.as_ == "item" else "amount",
            items=amounts.items,
            run=run.number,
        )
    )
    return given


def growing_lot(work: Work, run: Run, what: Making) -> Row[Any] | None:
    """The run's open lot of this output: not used yet, and of the same product (RULES 9).

    Not one under the number of an emergency label: that is on one box or roll, and means all of its lot.
    """
    if what.output.lot_per != "run":
        return None
    mine = {one.lot for one in run.outputs if one.output == what.output.code}
    mine |= {one.lot for one in blocks_of_run(work.connection, run.number) if one.output == what.output.code}
    rows = [row for row in lots_of_run(work.connection, run.number) if row.number in mine]
    open_rows = [row for row in rows if not row.sealed and row.product == what.product.code]
    found = open_rows[-1] if open_rows else None
    labelled = found is not None and is_reserved(work.connection, number_from(found.number))
    return None if labelled else found


def put_down(work: Work, run: Run, made: Made, amounts: Amounts, command: MakeOutput) -> None:
    """Record an output and put it where it stands now: its carrier, the vessel, or the station's place."""
    before = [one for one in run.outputs if one.output == made.output.code and one.ended <= work.happened]
    began = max([one.ended for one in before] + [run.row.opened])
    seq = next_output(work.connection, run.number)
    work.record(
        OutputMade(
            run=run.number,
            seq=seq,
            output=made.output.code,
            lot=made.lot,
            stream=made.output.stream,
            amount=amounts.amount,
            own=amounts.own,
            began=min(began, work.happened),
            basis=amounts.basis,
            shift=shift_of(work.plant, work.happened),
            first=made.first,
            last=made.last,
            of=made.of,
            counter_from=before[-1].counter_to if before else None,
            counter_to=command.counter,
            lane_from=command.lane_from,
            lane_to=command.lane_to,
            typed_by=typed_by(command.typed_by),
            gross=amounts.gross,
            tare=amounts.tare,
        )
    )
    if command.cuts:
        work.record(CutListMade(run.number, seq, made.lot, made.first, command.cuts))
    if command.weights:
        pairs = tuple(SerialWeight(made.first + index, one) for index, one in enumerate(command.weights))
        work.record(ItemsWeighed(made.lot, pairs))
    spot = _spot(work, command, made.lot)
    move = Move(made.lot, BORN, spot, amounts.own, made.first, made.last, run=run.number)
    work.record(Moved((move,)))
    if command.carrier:
        into_carrier(work, run, made.lot, command.carrier)


def _spot(work: Work, command: MakeOutput, lot: str) -> str:
    station = station_of(work)
    if command.carrier:
        return str(find_carrier(work.connection, command.carrier).number)
    row = find_lot(work.connection, lot)
    vessel = station.vessel and work.plant.vessel(station.vessel)
    if vessel and vessel.unit == row.unit and row.unit == "ml":
        return number_of(work.connection, "vessel", vessel.code)
    return number_of(work.connection, "place", station.place)


def born_held(work: Work, made: Made) -> None:
    """An output that waits for its proof is born held (DESIGN.md section 2.2); a lot that grows, once."""
    if made.output.awaits and made.born:
        words = {"drip": "until drip free", "checks": "until its checks are in"}
        place(work, PlaceHold(words[made.output.awaits], made.lot, kind=made.output.awaits))


def _note(work: Work, lot: str) -> str:
    reached = held_by(work.connection, lot)
    return reached[0].kind if reached else ""


def item_words(first: int, last: int) -> str:
    """Serials as people say them."""
    return f"item {first}" if first == last else f"items {first} to {last}"
