"""How do goods and carriers get from place to place?

Scan a place, then lots until the next place. Moving states what is: it is never refused for a hold.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused
from lotroot.goods import Goods, goods, means_carrier, typed
from lotroot.identity.showing import shown
from lotroot.plant.adopted import thing_or_none
from lotroot.stock.carriers import find_carrier
from lotroot.stock.events import CarrierMoved, Move, Moved
from lotroot.stock.standing import amount_at
from lotroot.work import Answer, Work

STANDING_THINGS = ("place", "vessel", "station")


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
        return Answer(f"{carrier.code or shown(carrier.number)} stands at {where}.", (carrier.number,))
    parts = parts_named(work, command.number, command.to)
    if all(part.spot == command.place for part in parts):
        raise Refused(
            f"{shown(command.number)} stands at {where} already.",
            word="already",
            value=command.number,
            expected="Another place.",
            next_step="Go on; nothing was recorded again.",
        )
    move_parts(work, parts, command.place)
    return Answer(f"{shown(command.number)} stands at {where}.", (parts[0].lot.number,))


def place_name(work: Work, number: str) -> str:
    """The name of a place, vessel or station. Raises Refused for anything else."""
    row = thing_or_none(work.connection, number)
    if row is None or row.kind not in STANDING_THINGS:
        raise Refused(
            f"{shown(number)} is no place.",
            value=number,
            expected="The label of a place.",
            next_step="Scan the place first, then what stands there.",
        )
    groups: dict[str, Any] = {
        "place": work.plant.places,
        "vessel": work.plant.vessels,
        "station": work.plant.stations,
    }
    found = groups[row.kind].get(row.code)
    return str(found.name) if found else str(row.code)


def move_carrier(work: Work, carrier: Row[Any], spot: str) -> None:
    """Record that a carrier, with all on it, stands elsewhere."""
    if carrier.spot == spot:
        raise Refused(
            f"{carrier.code or shown(carrier.number)} stands there already.",
            word="already",
            value=carrier.number,
            expected="Another place.",
            next_step="Go on; nothing was recorded again.",
        )
    work.record(CarrierMoved(carrier.number, spot, carrier.spot))


def parts_named(work: Work, number: str, to: str = "") -> list[Goods]:
    """The standing goods a number means, or the items from one number to another of the same lot."""
    first = goods(work.connection, number)
    if to:
        first = _row_of_items(work, number, to)
    if not first:
        raise Refused(
            f"{shown(number)} stands nowhere: it was used up or shipped.",
            value=number,
            expected="Goods that are here.",
            next_step="Scan the label on the goods; if this is it, call the supervisor.",
        )
    return [_narrowed(part, number) for part in first] if not to else first


def _narrowed(part: Goods, number: str) -> Goods:
    """An item of a range: only that item."""
    value = typed(number)
    serial = getattr(value, "serial", 0)
    return part._replace(first=serial, last=serial) if serial else part


def _row_of_items(work: Work, number: str, to: str) -> list[Goods]:
    start, end = typed(number), typed(to)
    first, last = getattr(start, "serial", 0), getattr(end, "serial", 0)
    if not first or last < first or getattr(start, "lot", None) != getattr(end, "lot", None):
        raise Refused(
            "These two labels are no row of items.",
            value=f"{shown(number)} to {shown(to)}",
            expected="The first and the last item of one lot.",
            next_step="Scan the first, then the last.",
        )
    whole = goods(work.connection, number[:11])
    cut = [
        part._replace(first=max(part.first, first), last=min(part.last, last))
        for part in whole
        if part.first <= last and part.last >= first
    ]
    missing = (last - first + 1) - sum(part.last - part.first + 1 for part in cut)
    if missing:
        raise Refused(
            f"{missing} of these items are not recorded as standing anywhere.",
            value=f"{shown(number)} to {shown(to)}",
            expected="Items that are here.",
            next_step="Scan them one by one.",
        )
    return cut


def move_parts(work: Work, parts: list[Goods], target: str) -> None:
    """Record moves of goods to one spot; parts of ranges carry their own amount."""
    moves = tuple(
        Move(part.lot.number, part.spot, target, amount_of(work, part), part.first, part.last)
        for part in parts
        if part.spot != target
    )
    if moves:
        work.record(Moved(moves))


def amount_of(work: Work, part: Goods) -> int:
    """The amount of a part of a standing range, or of a lot at a spot."""
    return amount_at(work.connection, part.lot.number, part.spot, part.first, part.last)
