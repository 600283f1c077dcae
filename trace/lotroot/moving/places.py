"""How do goods and carriers get from place to place?

Scan a place, then lots until the next place. Moving states what is: it is never refused for a hold.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused
from lotroot.goods import Goods, means_carrier, part_amount, standing_goods
from lotroot.identity.showing import shown
from lotroot.plant import places
from lotroot.stock.carriers import carrier_or_none, find_carrier, shipment_at
from lotroot.stock.events import CarrierChanged, CarrierMoved, Move, Moved
from lotroot.stock.standing import at_spot
from lotroot.work import Answer, Work


@dataclass(frozen=True)
class MoveGoods:
    """A lot, an item or a whole carrier stands elsewhere from now on; `to` is the last item of a row."""

    number: str
    place: str
    to: str = ""


def move_goods(work: Work, command: MoveGoods) -> Answer:
    """Record where goods stand now."""
    where = place_name(work, command.place)
    if means_carrier(command.number):
        carrier = find_carrier(work.connection, command.number)
        move_carrier(work, carrier, command.place)
        return Answer(f"{work.called(carrier)} stands at {where}.", (carrier.number,))
    parts = parts_named(work, command.number, command.to)
    if all(part.spot == command.place for part in parts):
        raise Refused(
            f"{shown(command.number)} stands at {where} already.",
            word="already",
            value=command.number,
            expected="Another place.",
            next_step="Go on; nothing was recorded again.",
        )
    refuse_away(work, parts)
    again = move_parts(work, parts, command.place)
    return Answer(f"{shown(command.number)} stands at {where}.{again}", (parts[0].lot.number,))


def place_name(work: Work, number: str) -> str:
    """The name of a place, vessel or station. Raises Refused for anything else."""
    return places.place_name(work.connection, work.plant, number)


def move_carrier(work: Work, carrier: Row[Any], spot: str) -> None:
    """Record that a carrier, with all on it, stands elsewhere."""
    if carrier.spot == spot:
        raise Refused(
            f"{work.called(carrier)} stands there already.",
            word="already",
            value=carrier.number,
            expected="Another place.",
            next_step="Go on; nothing was recorded again.",
        )
    refuse_on_shipment(work, carrier)
    work.record(CarrierMoved(carrier.number, spot, carrier.spot))


def refuse_on_shipment(work: Work, carrier: Row[Any]) -> None:
    """Refuse a carrier that a shipment has: its load would no longer be what its papers say."""
    if carrier.spot.startswith("D"):
        raise _on_shipment(work.called(carrier), carrier.spot)


def refuse_away(work: Work, parts: list[Goods]) -> None:
    """Refuse goods that a run or a shipment has: moved from under it, neither would close."""
    for part in parts:
        shipment = shipment_at(work.connection, part.spot)
        if shipment:
            raise _on_shipment(shown(part.number), shipment)
        if part.spot.startswith("U"):
            raise Refused(
                f"{shown(part.number)} is on a machine.",
                value=part.number,
                expected="Goods that stand free.",
                next_step="Take it off the machine first: scan PART, then its weight.",
            )


def _on_shipment(what: str, shipment: str) -> Refused:
    return Refused(
        f"{what} is on shipment {shown(shipment)}.",
        value=shipment,
        expected="Goods that stand here.",
        next_step="Take it off the shipment first; if that has left, record it as returned.",
    )


def parts_named(work: Work, number: str, to: str = "") -> list[Goods]:
    """The standing goods a number means, or the items from one number to another of the same lot."""
    return standing_goods(work.connection, number, to)


def move_parts(work: Work, parts: list[Goods], target: str) -> str:
    """Record moves of goods to one spot; parts of ranges carry their own amount.

    A closed pallet that loses something is open again, because its label tells what is no longer so.
    Returns what to say of that, or nothing.
    """
    moves = tuple(
        Move(part.lot.number, part.spot, target, amount_of(work, part), part.first, part.last)
        for part in parts
        if part.spot != target
    )
    if moves:
        work.record(Moved(moves))
    return "".join(_open_again(work, spot) for spot in dict.fromkeys(move.source for move in moves))


def reopen(work: Work) -> str:
    """Open the closed pallets that this posting took something off, whatever it was taken for.

    Returns what to say of that, or nothing; a consequence of posting (`posting/features.py`).
    """
    moves = [move for fact in work.events if isinstance(fact, Moved) for move in fact.moves]
    return "".join(_open_again(work, spot) for spot in dict.fromkeys(move.source for move in moves))


def _open_again(work: Work, spot: str) -> str:
    pallet = carrier_or_none(work.connection, spot) if spot.startswith("P") else None
    if pallet is None or pallet.reusable or pallet.state != "closed":
        return ""
    name = shown(pallet.number)
    if not at_spot(work.connection, pallet.number):
        work.record(CarrierChanged(pallet.number, "emptied", pallet.state))
        return f" Nothing is left on pallet {name}: destroy its label."
    work.record(CarrierChanged(pallet.number, "open", pallet.state))
    return f" Pallet {name} is open again: destroy its label. At the packing bench, DONE prints a new one."


def amount_of(work: Work, part: Goods) -> int:
    """The amount of a part of a standing range, or of a lot at a spot."""
    return part_amount(work.connection, part)
