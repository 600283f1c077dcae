"""How is a pallet built, finished, re-stacked or emptied?

A pallet may be opened before or after its content is there, and finished next day. Packing decides: held
goods are refused. Re-stacking gives a new number, and the old one answers what it became.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused
from lotroot.goods import Goods, away, means_carrier
from lotroot.holds.handling import refuse_held
from lotroot.identity.showing import shown
from lotroot.moving.painted import ask_paint, ask_restacked
from lotroot.moving.places import move_parts, parts_named, place_name, refuse_away, refuse_on_shipment
from lotroot.moving.units import give_sscc
from lotroot.plant.adopted import number_of, thing_or_none
from lotroot.stock.carriers import find_carrier, shipment_at
from lotroot.stock.events import CarrierChanged, CarrierOpened, Move, Moved
from lotroot.stock.standing import at_spot
from lotroot.work import Answer, LabelRequest, Work

KIND = "pallet"


@dataclass(frozen=True)
class OpenPallet:
    """Begin a pallet at a place (a place's number, else where the station puts its outputs)."""

    place: str = ""


@dataclass(frozen=True)
class PutOn:
    """Put goods on a pallet or into a pan: a lot, an item, or the items from `number` to `to`."""

    carrier: str
    number: str
    to: str = ""


@dataclass(frozen=True)
class TakeOff:
    """Take goods off what carries them and set them down at a place."""

    number: str
    place: str = ""
    to: str = ""


@dataclass(frozen=True)
class ClosePallet:
    """The pallet is complete: its label with the content is printed, and it may be shipped."""

    carrier: str


@dataclass(frozen=True)
class Restack:
    """All on some pallets goes onto a new one; the old numbers answer what they became."""

    carriers: tuple[str, ...]


@dataclass(frozen=True)
class EmptyCarrier:
    """Nothing is on the carrier any more: what it still shows becomes a difference, in question."""

    carrier: str


def open_pallet(work: Work, command: OpenPallet) -> Answer:
    """Give a pallet its number and print its label."""
    number = start_pallet(work, command.place or home(work))
    work.label(LabelRequest(number))
    return Answer(f"Pallet {shown(number)} is open. Scan what goes on it.", (number,))


def start_pallet(work: Work, spot: str) -> str:
    """Record an open pallet at a spot; returns its number."""
    number = work.number("P")
    work.record(CarrierOpened(number, KIND, spot))
    return number


def home(work: Work) -> str:
    """The place where this station puts its outputs, or the first place of the plant."""
    station = thing_or_none(work.connection, work.posting.station)
    found = work.plant.stations.get(station.code) if station else None
    code = found.place if found else next(iter(work.plant.places))
    return number_of(work.connection, "place", code)


def put_on(work: Work, command: PutOn) -> Answer:
    """Put goods on a carrier; held, void or shipped goods and closed carriers are refused."""
    carrier = open_carrier(work, command.carrier)
    if means_carrier(command.number):
        raise Refused(
            f"{shown(command.number)} is a carrier itself.",
            value=command.number,
            expected="Goods.",
            next_step="To put all of a pallet on another one, use re-stack.",
        )
    parts = parts_named(work, command.number, command.to)
    _refuse_unfit(work, carrier, parts, command)
    ask_paint(work, carrier, parts)
    again = move_parts(work, parts, carrier.number)
    there = at_spot(work.connection, carrier.number)
    count = sum(row.last - row.first + 1 if row.first else 1 for row in there)
    known = work.plant.carriers.get(carrier.code)
    name = known.name if known else shown(carrier.number)
    return Answer(f"{_what(parts)} on {name}, {count} now.{again}", (carrier.number, parts[0].lot.number))


def _what(parts: list[Goods]) -> str:
    items = sum(part.items for part in parts)
    name = shown(parts[0].number)
    return f"{items} items of {shown(parts[0].lot.number)}" if items > 1 else name


def _refuse_unfit(work: Work, carrier: Row[Any], parts: list[Goods], command: PutOn) -> None:
    if all(part.spot == carrier.number for part in parts):
        raise Refused(
            f"{shown(command.number)} is on it already.",
            word="already",
            value=command.number,
            expected="Goods that are not on it yet.",
            next_step="Go on; nothing was recorded again.",
        )
    elsewhere = [part for part in parts if _is_away(work, part)]
    on_others = [part for part in parts if _on_other_pallet(work, part, carrier)]
    if elsewhere:
        _refuse_away(work, elsewhere, "Put it aside and call the supervisor.")
    # One box in hand may come from another pallet; a row that reaches into one was scanned too far.
    elif on_others and sum(part.items for part in parts) > 1:
        _refuse_away(work, on_others, "Scan the row without those; if they are here, scan PART and each.")
    for part in parts:
        refuse_held(work, "A pallet", part.lot.number, part.first, part.last)


def _is_away(work: Work, part: Goods) -> bool:
    return part.lot.voided or part.spot.startswith("U") or bool(shipment_at(work.connection, part.spot))


def _on_other_pallet(work: Work, part: Goods, carrier: Row[Any]) -> bool:
    return bool(part.items) and part.spot.startswith("P") and part.spot != carrier.number


def _refuse_away(work: Work, parts: list[Goods], next_step: str) -> None:
    refusal = Refused(
        away(work.connection, parts),
        value=parts[0].number,
        expected="Goods that stand here.",
        next_step=next_step,
    )
    work.refuse(refusal, parts[0].lot.number)


def open_carrier(work: Work, number: str) -> Row[Any]:
    """A carrier goods can be put on. Raises Refused for a closed, shipped or re-stacked one."""
    carrier = find_carrier(work.connection, number)
    if carrier.state == "open" or (carrier.reusable and carrier.state == "emptied"):
        return carrier
    raise Refused(
        f"{work.called(carrier)} {state_words(carrier)}.",
        value=number,
        expected="An open carrier.",
        next_step="Open a new pallet, or take this one apart by re-stacking.",
    )


def state_words(carrier: Row[Any]) -> str:
    """A carrier's state in words: is closed, became P26-..., has left."""
    words = {
        "open": "is still open",
        "closed": "is closed",
        "emptied": "is empty",
        "shipped": "has left",
        "void": "was taken back",
    }
    return words.get(carrier.state, f"became {shown(carrier.became)}")


def take_off(work: Work, command: TakeOff) -> Answer:
    """Set goods down at a place; a closed pallet they were on is open again, for its label is wrong now."""
    target = command.place or home(work)
    where = place_name(work, target)
    parts = parts_named(work, command.number, command.to)
    refuse_away(work, parts)
    again = move_parts(work, parts, target)
    return Answer(f"{_what(parts)} set down at {where}.{again}", (parts[0].lot.number,))


def close_pallet(work: Work, command: ClosePallet) -> Answer:
    """Finish a pallet and print its label with what is on it."""
    carrier = find_carrier(work.connection, command.carrier)
    if carrier.state == "closed":
        raise Refused(
            f"Pallet {shown(carrier.number)} is closed already.",
            word="already",
            value=carrier.number,
            expected="An open pallet.",
            next_step="Go on; nothing was recorded again.",
        )
    open_carrier(work, command.carrier)
    if not at_spot(work.connection, carrier.number):
        raise Refused(
            f"Nothing is on {shown(carrier.number)}.",
            value=carrier.number,
            expected="A pallet with goods on it.",
            next_step="Scan the goods onto it first.",
        )
    work.record(CarrierChanged(carrier.number, "closed", carrier.state))
    without = give_sscc(work, carrier.number)
    work.label(LabelRequest(carrier.number))
    say = f"Pallet {shown(carrier.number)} is closed. Put its new label over the one it has.{without}"
    return Answer(say, (carrier.number,))


def restack(work: Work, command: Restack) -> Answer:
    """Put all of some pallets onto a new one with a new number."""
    old = [find_carrier(work.connection, number) for number in dict.fromkeys(command.carriers)]
    if not old:
        raise Refused("Nothing to re-stack.", expected="One or more pallets.", next_step="Scan a pallet.")
    for carrier in old:
        if carrier.reusable or carrier.state not in ("open", "closed"):
            raise Refused(
                f"{work.called(carrier)} {state_words(carrier)}.",
                value=carrier.number,
                expected="A pallet that stands here.",
                next_step="Scan the pallets that were taken apart.",
            )
        refuse_on_shipment(work, carrier)
    number = start_pallet(work, old[0].spot)
    ask_restacked(work, number, old)
    for carrier in old:
        rows = at_spot(work.connection, carrier.number)
        moves = tuple(
            Move(row.lot, carrier.number, number, row.amount, row.first, row.last, reason="re-stacked")
            for row in rows
        )
        if moves:
            work.record(Moved(moves))
        work.record(CarrierChanged(carrier.number, "became", carrier.state, number))
    work.label(LabelRequest(number))
    names = ", ".join(shown(carrier.number) for carrier in old)
    return Answer(
        f"{names} became {shown(number)}. Destroy the old labels.", (number, *(one.number for one in old))
    )


def empty_carrier(work: Work, command: EmptyCarrier) -> Answer:
    """State that a pan, tram or pallet is empty."""
    carrier = find_carrier(work.connection, command.carrier)
    refuse_on_shipment(work, carrier)
    rows = at_spot(work.connection, carrier.number)
    name = work.called(carrier)
    if not rows and carrier.state == "emptied":
        raise Refused(
            f"{name} is empty already.",
            word="already",
            value=carrier.number,
            expected="A carrier with goods on it.",
            next_step="Go on; nothing was recorded again.",
        )
    if rows:
        moves = tuple(
            Move(row.lot, carrier.number, "difference", row.amount, row.first, row.last, reason="found empty")
            for row in rows
        )
        work.record(Moved(moves))
        for lot in sorted({row.lot for row in rows}):
            work.put_in_question(lot, f"{name} was found empty.")
    work.record(CarrierChanged(carrier.number, "emptied", carrier.state))
    return Answer(f"{name} is empty.", (carrier.number,))
