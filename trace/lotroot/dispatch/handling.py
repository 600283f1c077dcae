"""How is a shipment opened, loaded, sent off, corrected, and how do goods come back?

Loading decides: a wrong, held, open or already shipped carrier is refused in words a dispatcher can act
on. Leaving is confirmed by scanning the shipment's own number.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.dispatch.facts import (
    GoodsReturned,
    LoadLine,
    ShipmentCancelled,
    ShipmentCorrected,
    ShipmentLeft,
    ShipmentLoaded,
    ShipmentOpened,
    ShipmentUnloaded,
)
from lotroot.dispatch.shipments import Shipment, find_shipment, packages_of
from lotroot.errors import Refused
from lotroot.goods import Goods, away, means_carrier
from lotroot.holds.handling import PlaceHold, place, refuse_held
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of
from lotroot.moving.pallets import home, state_words
from lotroot.moving.places import amount_of, move_parts, parts_named, place_name
from lotroot.plant.adopted import find_party
from lotroot.stock.carriers import find_carrier, shipment_at
from lotroot.stock.events import CarrierChanged, CarrierMoved
from lotroot.stock.standing import at_spot
from lotroot.work import Answer, Handler, LabelRequest, Work


@dataclass(frozen=True)
class OpenShipment:
    """Begin a shipment to a customer (its code), under the customer's or our order number."""

    customer: str
    order_number: str = ""


@dataclass(frozen=True)
class LoadShipment:
    """Put a pallet, roll, bundle or pack on the shipment; `to` is the last item of a row."""

    shipment: str
    number: str
    to: str = ""


@dataclass(frozen=True)
class UnloadShipment:
    """Take a pallet with all on it, or goods, off the shipment before it leaves; they stand at `place`,
    `to` is the last item of a row."""

    shipment: str
    number: str
    place: str = ""
    to: str = ""


@dataclass(frozen=True)
class SendShipment:
    """The shipment leaves; `confirm` is its number, scanned from its sheet once more."""

    shipment: str
    confirm: str
    vehicle: str = ""
    seal: str = ""


@dataclass(frozen=True)
class CancelShipment:
    """Nothing goes out under this number; an empty shipment only."""

    shipment: str


@dataclass(frozen=True)
class CorrectShipment:
    """A shipment went to another customer, or under another order."""

    shipment: str
    customer: str
    order_number: str = ""


@dataclass(frozen=True)
class ReturnGoods:
    """Shipped goods came back: a pallet, lot or item, set down at `place`, for a reason."""

    number: str
    reason: str
    place: str = ""
    to: str = ""


def _open(work: Work, command: OpenShipment) -> Answer:
    find_party(work.connection, command.customer, "customer")
    number = work.number("D")
    work.record(ShipmentOpened(number, command.customer, command.order_number))
    name = _print_sheet(work, number, command.customer, command.order_number)
    return Answer(f"Shipment {shown(number)} to {name} is open. Scan the first pallet.", (number,))


def _print_sheet(work: Work, number: str, customer: str, order: str) -> str:
    """Queue the shipment's label, with whom it is for; returns that name."""
    name = name_of(work.connection, customer)
    work.label(LabelRequest(number, told={"customer": name, "order": order, "for": customer}))
    return name


def _load(work: Work, command: LoadShipment) -> Answer:
    found = _open_shipment(work, command.shipment)
    if means_carrier(command.number):
        lines, again = _load_carrier(work, found, command.number), ""
    else:
        lines, again = _load_goods(work, found, command)
    work.record(ShipmentLoaded(found.row.number, tuple(lines)))
    what = shown(command.number)
    say = f"{what} is on the shipment, {packages_of([*found.loads, *lines])} now.{again}"
    return Answer(say, (found.row.number, command.number))


def _open_shipment(work: Work, number: str) -> Shipment:
    """A shipment that is being loaded; one that has left only to state what really happened."""
    found = find_shipment(work.connection, number)
    if found.row.state == "open":
        return found
    word = "has left" if found.row.state == "left" else "was cancelled"
    refusal = Refused(
        f"Shipment {shown(number)} {word}.",
        value=number,
        expected="An open shipment.",
        next_step="Open a new one; what really happened is recorded with a supervisor's badge.",
    )
    if found.row.state == "cancelled":
        raise refusal
    work.refuse(refusal, number)
    return found


def _load_carrier(work: Work, found: Shipment, number: str) -> list[LoadLine]:
    carrier = find_carrier(work.connection, number)
    _refuse_carrier(work, found, carrier)
    rows = at_spot(work.connection, carrier.number)
    for row in rows:
        refuse_held(work, "A shipment", row.lot, row.first, row.last)
    work.record(CarrierMoved(carrier.number, found.row.number, carrier.spot))
    if found.row.state == "left":
        work.record(CarrierChanged(carrier.number, "shipped", carrier.state))
    return [LoadLine(row.lot, row.amount, row.first, row.last, carrier.number) for row in rows]


def _refuse_carrier(work: Work, found: Shipment, carrier: Row[Any]) -> None:
    name = carrier.code or f"Pallet {shown(carrier.number)}"
    if carrier.spot == found.row.number:
        raise Refused(
            f"{name} is on this shipment already.",
            word="already",
            value=carrier.number,
            expected="The next pallet.",
            next_step="Go on; nothing was recorded again.",
        )
    if carrier.spot.startswith("D"):
        raise Refused(
            f"{name} is on shipment {shown(carrier.spot)}.",
            value=carrier.number,
            expected="A pallet that stands here.",
            next_step="If it is here, record it as returned or taken off there first.",
        )
    if carrier.state != "closed":
        step = "Finish it at the packing bench: scan it, then DONE." if carrier.state == "open" else ""
        work.refuse(
            Refused(
                f"{name} {state_words(carrier)}.",
                value=carrier.number,
                expected="A closed pallet.",
                next_step=step or "Scan the label that is on the pallet now.",
            ),
            carrier.number,
        )


def _load_goods(work: Work, found: Shipment, command: LoadShipment) -> tuple[list[LoadLine], str]:
    parts = parts_named(work, command.number, command.to)
    _refuse_goods(work, found, parts)
    for part in parts:
        refuse_held(work, "A shipment", part.lot.number, part.first, part.last)
    lines = [LoadLine(part.lot.number, amount_of(work, part), part.first, part.last) for part in parts]
    return lines, move_parts(work, parts, found.row.number)


def _refuse_goods(work: Work, found: Shipment, parts: list[Goods]) -> None:
    here = [part for part in parts if part.spot == found.row.number]
    if here:
        raise Refused(
            f"{shown(here[0].number)} is on this shipment already.",
            word="already",
            value=here[0].number,
            expected="The next one.",
            next_step="Go on; nothing was recorded again.",
        )
    wrong = [part for part in parts if part.lot.voided or part.spot[:1] in ("D", "U", "P")]
    if wrong:
        pallet = all(
            part.spot.startswith("P") and not shipment_at(work.connection, part.spot) for part in wrong
        )
        work.refuse(
            Refused(
                away(work.connection, wrong),
                value=wrong[0].number,
                expected="Goods that stand here by themselves.",
                next_step="Scan the pallet." if pallet else "Put it aside and call the supervisor.",
            ),
            wrong[0].lot.number,
        )


def _unload(work: Work, command: UnloadShipment) -> Answer:
    found = _open_shipment(work, command.shipment)
    target = command.place or home(work)
    where = place_name(work, target)
    if means_carrier(command.number):
        carrier = find_carrier(work.connection, command.number)
        if carrier.spot != found.row.number:
            raise _not_on(found, command.number, "")
        work.record(CarrierMoved(carrier.number, target, carrier.spot))
        if carrier.state == "shipped":
            work.record(CarrierChanged(carrier.number, "closed", carrier.state))
        work.record(ShipmentUnloaded(found.row.number, carrier.number))
    else:
        named = parts_named(work, command.number, command.to)
        parts = [part for part in named if part.spot == found.row.number]
        if not parts:
            raise _not_on(found, command.number, named[0].spot)
        move_parts(work, parts, target)
        for part in parts:
            span = (part.first, part.last)
            work.record(ShipmentUnloaded(found.row.number, "", part.lot.number, *span))
    what = f"{shown(command.number)} to {shown(command.to)}" if command.to else shown(command.number)
    return Answer(f"{what} is off the shipment, at {where}.", (found.row.number,))


def _not_on(found: Shipment, number: str, spot: str) -> Refused:
    if any(row.carrier == spot for row in found.loads if spot):
        return Refused(
            f"{shown(number)} is on pallet {shown(spot)}.",
            value=number,
            expected="The pallet that is on the shipment.",
            next_step="Scan the pallet: it comes off with all that is on it.",
        )
    return Refused(
        f"{shown(number)} is not on shipment {shown(found.row.number)}.",
        value=number,
        expected="Something that is on it.",
        next_step="Look at the list of the shipment; to load this, scan DONE first.",
    )


def _send(work: Work, command: SendShipment) -> Answer:
    found = find_shipment(work.connection, command.shipment)
    if found.row.state == "left":
        raise Refused(
            f"Shipment {shown(command.shipment)} has left already, {work.local_time(found.row.left)}.",
            word="already",
            value=command.shipment,
            expected="An open shipment.",
            next_step="Go on; nothing was recorded again.",
        )
    _open_shipment(work, command.shipment)
    if command.confirm != command.shipment:
        raise Refused(
            "A shipment leaves when its own number is scanned once more.",
            value=command.confirm,
            expected=shown(command.shipment),
            next_step="Scan the shipment sheet.",
        )
    if not found.loads:
        raise Refused(
            f"Nothing is on shipment {shown(command.shipment)}.",
            value=command.shipment,
            expected="At least one pallet.",
            next_step="Scan the pallets first, or cancel the shipment.",
        )
    for row in found.loads:
        refuse_held(work, "A shipment", row.lot, row.first, row.last)
    work.record(ShipmentLeft(command.shipment, command.vehicle, command.seal))
    for number in sorted({row.carrier for row in found.loads if row.carrier}):
        carrier = find_carrier(work.connection, number)
        work.record(CarrierChanged(number, "shipped", carrier.state))
    name = name_of(work.connection, found.row.customer)
    return Answer(f"Shipment {shown(command.shipment)} to {name} has left.", (command.shipment,))


def _cancel(work: Work, command: CancelShipment) -> Answer:
    found = _open_shipment(work, command.shipment)
    if found.loads:
        raise Refused(
            f"Goods are still on shipment {shown(command.shipment)}.",
            value=str(len(found.loads)),
            expected="An empty shipment.",
            next_step="Take them off first.",
        )
    work.record(ShipmentCancelled(command.shipment))
    return Answer(f"Shipment {shown(command.shipment)} is cancelled.", (command.shipment,))


def _correct(work: Work, command: CorrectShipment) -> Answer:
    found = find_shipment(work.connection, command.shipment)
    find_party(work.connection, command.customer, "customer")
    order = command.order_number or found.row.order_number
    work.record(ShipmentCorrected(command.shipment, command.customer, order, found.row.customer))
    name = _print_sheet(work, command.shipment, command.customer, order)
    say = f"Shipment {shown(command.shipment)} went to {name}. Destroy its old sheet; a new one prints."
    return Answer(say, (command.shipment,))


def _return(work: Work, command: ReturnGoods) -> Answer:
    target = command.place or home(work)
    where = place_name(work, target)
    if means_carrier(command.number):
        shipment, lines = _return_carrier(work, command.number, target)
    else:
        shipment, lines = _return_goods(work, command, target)
    work.record(GoodsReturned(shipment, tuple(lines), command.reason))
    known = work.plant.reasons.get(command.reason)
    why = known.words if known else command.reason
    for line in lines:
        place(work, PlaceHold(f"returned: {why}", line.lot, line.first, line.last, kind="checks"))
    return Answer(
        f"{shown(command.number)} is back, at {where}, awaiting checks.", (command.number, shipment)
    )


def _return_carrier(work: Work, number: str, target: str) -> tuple[str, list[LoadLine]]:
    carrier = find_carrier(work.connection, number)
    if carrier.state != "shipped":
        raise _not_shipped(number)
    rows = at_spot(work.connection, number)
    work.record(CarrierMoved(number, target, carrier.spot))
    work.record(CarrierChanged(number, "closed", carrier.state))
    return carrier.spot, [LoadLine(row.lot, row.amount, row.first, row.last, number) for row in rows]


def _return_goods(work: Work, command: ReturnGoods, target: str) -> tuple[str, list[LoadLine]]:
    parts = [
        (part, shipment)
        for part in parts_named(work, command.number, command.to)
        if (shipment := _shipment_of(work, part))
    ]
    if not parts:
        raise _not_shipped(command.number)
    only = [part for part, _ in parts]
    lines = [LoadLine(part.lot.number, amount_of(work, part), part.first, part.last) for part in only]
    move_parts(work, only, target)
    return parts[0][1], lines


def _shipment_of(work: Work, part: Goods) -> str:
    """The shipment goods left with, by themselves or on a carrier; empty if they did not."""
    spot = part.spot
    if spot.startswith("P"):
        spot = str(find_carrier(work.connection, spot).spot)
    if not spot.startswith("D"):
        return ""
    return spot if find_shipment(work.connection, spot).row.state == "left" else ""


def _not_shipped(number: str) -> Refused:
    return Refused(
        f"{shown(number)} is not recorded as shipped.",
        value=number,
        expected="Goods that have left.",
        next_step="Move it to its place instead, or call the supervisor.",
    )


HANDLERS: dict[type, Handler] = {
    OpenShipment: Handler(_open),
    LoadShipment: Handler(_load),
    UnloadShipment: Handler(_unload),
    SendShipment: Handler(_send),
    CancelShipment: Handler(_cancel),
    CorrectShipment: Handler(_correct),
    ReturnGoods: Handler(_return),
}
