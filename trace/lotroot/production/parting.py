"""How does part of a lot become a lot of its own, outside any run?"""

from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import LinksWritten, LotBorn, LotLink
from lotroot.genealogy.item_masses import Some, grams_of
from lotroot.genealogy.lots import next_rank
from lotroot.goods import Goods, one_lot, standing_goods
from lotroot.identity.showing import shown
from lotroot.plant.adopted import number_of, thing_or_none
from lotroot.processes.definition import Product
from lotroot.production.amounts import in_unit
from lotroot.production.filling import topped_up
from lotroot.production.opening import station_of
from lotroot.production.runs import judged_by, outputs_of_lot, run_or_none
from lotroot.stock.carriers import find_carrier, shipment_at
from lotroot.stock.events import BORN, DIFFERENCE, TAKEN, Move, Moved
from lotroot.work import Answer, LabelRequest, Work

ROLE = "part"


@dataclass(frozen=True)
class SplitLot:
    """Part of a bulk lot gets a number of its own: to be sold for less, kept apart or used elsewhere.

    `number` is the lot's, or that of the pan it is in; `amount` is in its unit. The part goes to `place` or
    into `carrier` (numbers), else to the station's place; `product` is what it is from now on, empty for
    the same. A lot that is only divided over two pans keeps its number.
    """

    number: str
    amount: int
    place: str = ""
    carrier: str = ""
    product: str = ""
    reason: str = ""
    how: str = "weighed"


class Part(NamedTuple):
    """How much becomes a lot of its own: in the lot's unit, as mass in g, and how that is known."""

    own: int
    mass: int | None
    basis: str


def split_lot(work: Work, command: SplitLot) -> Answer:
    """Give part of a lot its own number; holds on the lot reach the part."""
    part = _named(work, command)
    product = _product(work, part.lot, command.product)
    _check_amount(work, part, command)
    own_mass = None
    if part.lot.mass is not None:
        own_mass = grams_of(work.connection, part.lot, Some(command.amount))
    child = bear_part(work, product, Part(command.amount, own_mass, command.how))
    words = reason_words(work, command.reason) or ROLE
    work.record(Moved((Move(part.lot.number, part.spot, TAKEN, command.amount, reason=words),)))
    target = put_where(work, child, command.amount, command.place, command.carrier)
    _refuse_occupied(work, child, target)
    stream = stream_of(work, part.lot)
    given = in_unit(work, part.lot, stream_unit(work, part.lot, stream), Some(command.amount))
    link = LotLink(
        parent=part.lot.number,
        role=ROLE,
        stream=stream,
        taken=command.amount,
        given=given,
        feed="mixed",
        least=given,
        most=given,
        basis=command.how,
    )
    work.record(LinksWritten(child, "", (link,)))
    work.label(LabelRequest(child))
    return Answer(
        f"{shown(child)} is {work.show(command.amount, part.lot.unit)} of {shown(part.lot.number)}.",
        (child, part.lot.number),
    )


def bear_part(work: Work, product: Product, part: Part) -> str:
    """Record a new bulk lot that no run made; returns its number."""
    kind = work.plant.kind(product.kind)
    number = work.number(kind.letter)
    work.record(
        LotBorn(
            number=number,
            kind=kind.code,
            product=product.code,
            unit=kind.unit,
            amount=part.own,
            how=part.basis,
            rank=next_rank(work.connection),
            mass=part.mass,
            mass_how=part.basis if part.mass is not None else "",
        )
    )
    return number


def reason_words(work: Work, reason: str) -> str:
    """The words of a button, or the words that were given."""
    known = work.plant.reasons.get(reason)
    return known.words if known is not None else " ".join(reason.split())


def put_where(work: Work, lot: str, own: int, place: str, carrier: str) -> str:
    """Stand a new lot in a carrier, at a place, or at the station's own; returns the spot's number."""
    if carrier:
        spot = str(find_carrier(work.connection, carrier).number)
    else:
        spot = place or number_of(work.connection, "place", station_of(work).place)
        thing = thing_or_none(work.connection, spot)
        if thing is None or thing.kind not in ("place", "vessel"):
            raise Refused(
                f"{shown(spot)} is no place.",
                value=spot,
                expected="The label of a place.",
                next_step="Scan the place, or the pan it goes into.",
            )
    work.record(Moved((Move(lot, BORN, spot, own),)))
    return spot


def stream_of(work: Work, lot: Row[Any]) -> str:
    """The stream a lot belongs to: that of the output it was made as, else of what takes its kind."""
    made = outputs_of_lot(work.connection, lot.number)
    if made:
        return str(made[-1].stream)
    for process in work.plant.processes.values():
        roles = [(role.stream, role.kinds) for role in process.inputs]
        named = [*roles, *((output.stream, (output.kind,)) for output in process.outputs)]
        for stream, kinds in named:
            if lot.kind in kinds:
                return stream
    raise Refused(
        f"No process takes or makes {lot.kind}.",
        value=lot.number,
        expected="A kind of lot that a process of plant.toml names.",
        next_step="Have the technical manager look at plant.toml.",
    )


def stream_unit(work: Work, lot: Row[Any], stream: str) -> str:
    """The unit a lot's stream closes in, by the run that made it, else by the plant of now."""
    row = run_or_none(work.connection, lot.run)
    streams = judged_by(work.connection, row)[1].streams if row is not None else {}
    others = (
        process.streams[stream] for process in work.plant.processes.values() if stream in process.streams
    )
    return streams.get(stream) or next(others, lot.unit)


def _named(work: Work, command: SplitLot) -> Goods:
    row = one_lot(work.connection, command.number)
    if row.axis != "amount":
        raise Refused(
            f"{shown(row.number)} is told by items.",
            value=row.number,
            expected="A coil, a pan, a pack: goods without items.",
            next_step="Scan the items themselves; each has its number already.",
        )
    parts = [
        one
        for one in standing_goods(work.connection, command.number)
        if not one.spot.startswith("U") and not shipment_at(work.connection, one.spot)
    ]
    if len(parts) != 1:
        where = "does not stand here" if not parts else "stands in several places"
        raise Refused(
            f"{shown(row.number)} {where}.",
            value=command.number,
            expected="One pan or place that holds it.",
            next_step="Scan the pan, or take it off the machine first.",
        )
    return parts[0]


def _product(work: Work, lot: Row[Any], named: str) -> Product:
    product = work.plant.product(named or lot.product)
    if work.plant.kind(product.kind).unit != lot.unit:
        raise Refused(
            f"{shown(lot.number)} cannot become {product.name}.",
            value=product.code,
            expected=f"A product told in {lot.unit}.",
            next_step="Choose another product.",
        )
    return product


def _check_amount(work: Work, part: Goods, command: SplitLot) -> None:
    """More than is recorded is asked about once; what the lot lacks is its difference at once (RULES 3)."""
    if command.amount <= 0:
        raise Unreadable(
            "The part has no amount.",
            value=str(command.amount),
            expected="More than zero.",
            next_step="Weigh or count it and enter the number.",
        )
    short = command.amount - part.amount
    if short <= 0:
        return
    work.ask(
        f"more-than-there-{command.amount}",
        f"Only {work.show(part.amount, part.lot.unit)} are recorded there. Is the number right?",
        {"yes": "Yes, record it"},
    )
    work.record(Moved((Move(part.lot.number, DIFFERENCE, part.spot, short, reason="more than recorded"),)))
    work.put_in_question(part.lot.number, "More was parted from it than was recorded.")


def _refuse_occupied(work: Work, child: str, target: str) -> None:
    """A part that is to be told apart does not go onto other goods: what the pan shows must be gone."""
    if target.startswith("P") and topped_up(work, child, target):
        raise Refused(
            f"{shown(child)} would be mixed with what is in the pan.",
            value=target,
            expected="An empty pan.",
            next_step="Scan another pan.",
        )
