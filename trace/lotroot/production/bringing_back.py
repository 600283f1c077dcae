"""How do spoiled, returned or emptied items become loose goods again (RULES 9)?

Boxes that are tipped out again are a new lot of what they were filled from; its parents are the serials
of the old lot, so every hold on those still reaches it. Rolls and part coils keep their number instead.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import LinksWritten, LotLink
from lotroot.genealogy.item_masses import Some, grams_of
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.goods import Goods, part_amount, standing_goods
from lotroot.identity.showing import shown
from lotroot.processes.definition import Kind, Product
from lotroot.production.amounts import in_unit
from lotroot.production.filling import pour_in, topped_up
from lotroot.production.parting import Part, bear_part, put_where, reason_words, stream_of, stream_unit
from lotroot.production.runs import judged_by, run_or_none
from lotroot.production.serials import in_words, spans
from lotroot.quantities import split_cumulative
from lotroot.stock.carriers import shipment_at
from lotroot.stock.events import DIFFERENCE, TAKEN, Move, Moved
from lotroot.work import Answer, LabelRequest, Work

ROLE = "brought back"


@dataclass(frozen=True)
class BringBack:
    """Items are tipped out, or taken apart, and become a lot of what they were made of.

    `number` is an item, a row of items up to `to`, or a whole lot of items. `weight` is what came back in
    net grams, `count` in pieces; 0 for what the items are recorded with. They go to `place` or into
    `carrier` (numbers), else to the station's place. `product` is needed where it cannot be told.
    `reason` is a button's code or words.
    """

    number: str
    reason: str
    to: str = ""
    weight: int = 0
    count: int = 0
    place: str = ""
    carrier: str = ""
    product: str = ""


class _Back(NamedTuple):
    """Items of one lot that come back: where they stand, and how much each row of serials amounts to."""

    lot: Row[Any]
    parts: list[Goods]
    amounts: Mapping[tuple[int, int], int]

    @property
    def serials(self) -> set[int]:
        """All serials that come back."""
        return {serial for part in self.parts for serial in range(part.first, part.last + 1)}

    @property
    def whole(self) -> int:
        """What they are recorded with, in the lot's unit."""
        return sum(self.amounts.values())


def bring_back(work: Work, command: BringBack) -> Answer:
    """Make a new lot of items that are no longer items; a hold on them goes on, and stops nothing here."""
    if not command.reason.strip():
        raise Unreadable(
            "Bringing goods back needs a reason.",
            expected="Box torn, returned ...",
            next_step="Choose the reason.",
        )
    back = _named(work, command)
    product = _product(work, back, command.product)
    kind = work.plant.kind(product.kind)
    amounts = _amounts(work, back, product, command)
    _ask_amount(work, back, kind, amounts)
    child = bear_part(work, product, amounts)
    _take(work, back, kind, amounts, reason_words(work, command.reason))
    target = put_where(work, child, amounts.own, command.place, command.carrier)
    _link(work, back, child, amounts, target)
    work.label(LabelRequest(child))
    old = f"items {in_words(back.serials)} of {shown(back.lot.number)}"
    return Answer(f"{shown(child)}: {product.name}. Destroy the labels of {old}.", (child, back.lot.number))


def _named(work: Work, command: BringBack) -> _Back:
    parts = standing_goods(work.connection, command.number, command.to)
    lots = {part.lot.number for part in parts}
    if len(lots) > 1 or not parts[0].first:
        raise Refused(
            f"{shown(command.number)} is not items of one lot.",
            value=command.number,
            expected="A box, a roll, or a row of them. A coil or a pan of loose goods keeps its number.",
            next_step="Scan the label on the items.",
        )
    for part in parts:
        shipment = shipment_at(work.connection, part.spot)
        if shipment or part.spot.startswith("U"):
            where = f"on shipment {shown(shipment)}" if shipment else "on a machine"
            raise Refused(
                f"{shown(part.number)} is {where}.",
                value=part.number,
                expected="Items that stand here.",
                next_step="Record them as returned or unloaded first.",
            )
    return _Back(parts[0].lot, parts, _row_amounts(work, parts))


def _row_amounts(work: Work, parts: list[Goods]) -> dict[tuple[int, int], int]:
    rows = spans(serial for part in parts for serial in range(part.first, part.last + 1))
    return {
        (first, last): sum(
            part_amount(work.connection, part) for part in parts if first <= part.first <= last
        )
        for first, last in rows
    }


def _product(work: Work, back: _Back, named: str) -> Product:
    """What the items were made of: the product of their parents; asked for where there are several."""
    parents = []
    for link in links_of(work.connection, back.lot.id):
        first, last = link.child_from or 0, link.child_to or back.lot.items
        if any(first <= serial <= last for serial in back.serials):
            parents.append(find_lot(work.connection, link.parent_number).product)
    choices = list(dict.fromkeys(parents))
    if named:
        return _fitting(work, back, named, [*choices, back.lot.product])
    if not choices:
        raise Refused(
            f"What {shown(back.lot.number)} was made of is not recorded.",
            value=back.lot.number,
            expected="The product it becomes.",
            next_step="Choose the product.",
        )
    if len(choices) == 1:
        return work.plant.product(choices[0])
    names = {code: work.plant.product(code).name for code in choices}
    return work.plant.product(work.ask("product", "Which product is it now?", names))


def _fitting(work: Work, back: _Back, named: str, choices: list[str]) -> Product:
    product = work.plant.product(named)
    kinds = {work.plant.product(code).kind for code in choices}
    if product.kind not in kinds:
        raise Refused(
            f"{shown(back.lot.number)} cannot become {product.name}.",
            value=named,
            expected=f"A product of the kind it was made of: {', '.join(sorted(kinds))}.",
            next_step="Choose the product.",
        )
    return product


def _amounts(work: Work, back: _Back, product: Product, command: BringBack) -> Part:
    """What came back: weighed or counted, else what the items were recorded with."""
    kind = work.plant.kind(product.kind)
    same = back.lot.unit == kind.unit
    given = command.weight if kind.unit == "g" else command.count
    own = given or (back.whole if same else 0)
    items = [Some(amount, *serials) for serials, amount in back.amounts.items()]
    mass_before = (grams_of(work.connection, back.lot, *items) or 0) if back.lot.mass is not None else 0
    if kind.unit == "g" and not own:
        own = mass_before
    if own <= 0 or kind.unit not in ("g", "pcs"):
        raise Unreadable(
            f"{product.name}: a number is missing.",
            value=str(own),
            expected=f"What came back, in {kind.unit}.",
            next_step="Weigh or count it and enter the number.",
        )
    how = ("weighed" if kind.unit == "g" else "counted") if given else "calculated"
    mass = own if kind.unit == "g" else command.weight or mass_before
    return Part(own, mass if kind.mass else None, how)


def _ask_amount(work: Work, back: _Back, kind: Kind, amounts: Part) -> None:
    """Ask once where clearly more comes back than went into the items."""
    row = run_or_none(work.connection, back.lot.run)
    permille = judged_by(work.connection, row)[1].tolerance_permille if row is not None else 0
    if back.lot.unit != kind.unit or amounts.own * 1000 <= back.whole * (1000 + permille):
        return
    work.ask(
        f"more-back-{amounts.own}",
        f"Only {work.show(back.whole, kind.unit)} went into them. Is the number right?",
        {"yes": "Yes, record it"},
    )
    work.put_in_question(back.lot.number, "More came back than went into its items.")


def _take(work: Work, back: _Back, kind: Kind, amounts: Part, reason: str) -> None:
    """The items are gone: what came back is taken, what did not is their difference."""
    number = back.lot.number
    words = f"{ROLE}: {reason}"
    moves = [
        Move(
            number,
            part.spot,
            TAKEN,
            part_amount(work.connection, part),
            part.first,
            part.last,
            reason=words,
        )
        for part in back.parts
    ]
    lost = back.whole - amounts.own if back.lot.unit == kind.unit else 0
    if lost:
        accounts = (TAKEN, DIFFERENCE) if lost > 0 else (DIFFERENCE, TAKEN)
        moves.append(Move(number, *accounts, abs(lost), reason=words))
    work.record(Moved(tuple(moves)))


def _link(work: Work, back: _Back, child: str, amounts: Part, target: str) -> None:
    """The serials are the parents; what a pan still held, and was topped up with them, is another."""
    row = find_lot(work.connection, child)
    stream = stream_of(work, back.lot)
    given_in_all = in_unit(work, row, stream_unit(work, back.lot, stream), Some(amounts.own))
    tooks = list(back.amounts.values())
    same = back.lot.unit == row.unit
    taken = split_cumulative(amounts.own, tooks) if same else tooks
    given = split_cumulative(given_in_all, tooks)
    links = [
        LotLink(
            parent=back.lot.number,
            role=ROLE,
            stream=stream,
            taken=took,
            given=gave,
            parent_from=first,
            parent_to=last,
            feed="in_turn",
            least=gave,
            most=gave,
            basis=amounts.basis,
        )
        for (first, last), took, gave in zip(back.amounts, taken, given, strict=True)
    ]
    for rest in topped_up(work, child, target) if target.startswith("P") else ():
        pour_in(work, child, rest)
        links.append(LotLink(rest.lot, "content", stream, rest.amount, rest.amount, feed="mixed"))
    work.record(LinksWritten(child, "", tuple(links)))
