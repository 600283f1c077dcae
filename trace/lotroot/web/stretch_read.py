"""Which stretch of which coil does somebody mean who typed two positions, and perhaps a lane?"""

from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.balance.stretches import Stretch
from lotroot.errors import Question, Unreadable
from lotroot.identity.showing import shown
from lotroot.processes.definition import Plant
from lotroot.quantities import read_amount
from lotroot.tracing.stretched import SERIAL, Lane, farthest
from lotroot.tracing.words import Words
from lotroot.web.filled import ambiguous

MICRO = 1_000_000


def unit_of(plant: Plant | None, lot: Row[Any]) -> str:
    """The plant's unit for the amounts of a lot."""
    return plant.units.get(lot.unit, lot.unit) if plant else str(lot.unit)


def check(lot: Row[Any]) -> None:
    """Raises Unreadable for goods without two ends."""
    if lot.voided or lot.axis == SERIAL:
        raise Unreadable(
            f"{shown(lot.number)} was taken back."
            if lot.voided
            else f"{shown(lot.number)} is told by items.",
            value=lot.number,
            expected="A coil, a strip or a roll of wire: goods with two ends.",
            next_step="Hold the items themselves, or the whole lot.",
        )


def read_stretch(connection: Connection, plant: Plant | None, lot: Row[Any], told: dict[str, Any]) -> Stretch:
    """The stretch asked for; without `to` as far as it ever gave. Raises Unreadable for none of it."""
    far = farthest(connection, lot)
    start = _position(plant, lot, told["from"] or "0")
    stop = _position(plant, lot, told["to"]) if told["to"] else far
    if not 0 <= start < stop or start > far:
        end = Words(connection).amount(far, lot.unit)
        raise Unreadable(
            "This is no stretch of it.",
            value=f"{told['from'] or '0'} to {told['to'] or 'its end'}",
            expected=f"Two positions, the second behind the first, from 0 to {end}.",
            next_step="Enter them as they were measured, counted from the end named.",
        )
    return Stretch(start, stop)


def _position(plant: Plant | None, lot: Row[Any], text: str) -> int:
    """A position in the lot's unit; metres of goods told by mass are turned by their mass a metre."""
    product = plant.products.get(lot.product) if plant else None
    by_length = text.lower().endswith("m") and lot.unit == "g"
    if by_length and (product is None or not product.mass_per_metre_mg):
        raise Unreadable(
            "Nothing says what a metre of it weighs.",
            value=text,
            expected=f"Positions in {unit_of(plant, lot)}.",
            next_step="Weigh what has gone, or have the mass a metre put into plant.toml.",
        )
    try:
        if by_length and product is not None and product.mass_per_metre_mg:
            return read_amount(text[:-1].strip(), "m") * product.mass_per_metre_mg // MICRO
        return read_amount(text, unit_of(plant, lot))
    except Question as question:
        raise ambiguous(text, question) from None


def read_lane(plant: Plant | None, lot: Row[Any], told: dict[str, Any]) -> Lane | None:
    """The lane asked for, None for the whole width. Raises Unreadable for one that is not on the coil."""
    start, stop = told["lane_from"], told["lane_to"]
    if not start and not stop:
        return None
    product = plant.products.get(lot.product) if plant else None
    width = Decimal(product.width_mm) if product and product.width_mm else None
    proper = (start or "0").isdecimal() and stop.isdecimal() and int(start or 0) < int(stop)
    if not proper or (width is not None and int(start or 0) >= width):
        across = f", from 0 to {width}" if width is not None else ""
        raise Unreadable(
            "This is no lane of it.",
            value=f"{start} to {stop}",
            expected=f"Whole millimetres from the operator side, the second behind the first{across}.",
            next_step="Correct them, or leave both empty for the whole width.",
        )
    return Lane(int(start or 0), int(stop))
