"""How much was made, in every unit that is needed, and how is that known?"""

from typing import Any, NamedTuple, Protocol

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.item_masses import Part, grams_of
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.processes.definition import Kind, Output, Process, Product
from lotroot.production.cut_facts import Cut
from lotroot.production.cut_lists import checked, length_of, pieces_of
from lotroot.quantities import MOST_OF_A_LOT
from lotroot.work import Work

MOST_ITEMS = 9_999
MOST = MOST_OF_A_LOT


class Given(Protocol):
    """What the scale, the counter or the person gave; 0 or nothing where it was not asked."""

    @property
    def weight(self) -> int:
        """Net grams."""

    @property
    def count(self) -> int:
        """Pieces or items."""

    @property
    def length(self) -> int:
        """Millimetres."""

    @property
    def volume(self) -> int:
        """Millilitres, or cubic centimetres of wood."""

    @property
    def weights(self) -> tuple[int, ...]:
        """Net grams of items weighed one by one."""

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """The lines of one bundle."""


class Amounts(NamedTuple):
    """What was made: in the lot's unit, in the stream's unit, as mass, as items, and how it is known.

    `gross` and `tare` are grams, where it was weighed with its carrier.
    """

    own: int
    amount: int
    mass: int | None
    items: int
    basis: str
    gross: int = 0
    tare: int = 0


def amounts_of(
    work: Work,
    what: tuple[Process, Output, Product, Kind],
    given: Given,
    load: Row[Any] | None = None,
) -> Amounts:
    """What was made, in every unit that is needed. Raises Unreadable where a number is missing."""
    process, output, product, kind = what
    if load is not None:
        row = find_lot(work.connection, load.lot)
        return Amounts(load.own, load.amount, row.mass, 0, row.how)
    if given.cuts or "cut" in output.asks:
        return _bundle(work, what, given)
    _check_given(work, output, given)
    items = _items(output, given)
    pieces = items * (product.pieces_per_item or product.item_amount or 1) if items else given.count
    mass, how = _mass((product, output, kind), given, items, pieces)
    own = {
        "g": mass,
        "pcs": pieces,
        "mm": given.length,
        "ml": given.volume,
        "cm3": given.volume,
    }[kind.unit]
    if own > MOST[kind.unit]:
        raise too_much(work, output.name, own, kind.unit)
    if own <= 0 or any(weight <= 0 for weight in given.weights):
        raise Unreadable(
            f"{output.name}: a number is missing.",
            value=str(own),
            expected=f"{', '.join(output.asks)}, more than zero.",
            next_step="Weigh or count it and enter the number.",
        )
    unit = process.streams[output.stream]
    amount = own if unit == kind.unit else (mass if unit == "g" else own)
    if not amount:
        raise Refused(
            f"{product.name} has no mass a piece, so {process.name} cannot close.",
            value=product.code,
            expected="A weight, or the product's mass a piece in plant.toml.",
            next_step="Weigh it and enter the weight.",
        )
    return Amounts(own, amount, mass if kind.mass else None, items, how)


def _bundle(work: Work, what: tuple[Process, Output, Product, Kind], given: Given) -> Amounts:
    """One bundle by its cut list; its mass is what the scale said, else its length by the mass a metre."""
    process, output, product, kind = what
    asked = "cut" in output.asks
    if not asked or not given.cuts or given.count or given.length or given.weights:
        raise Unreadable(
            f"{output.name}: a cut list is missing." if asked else f"{output.name} is not cut to a list.",
            value=f"{len(given.cuts)} lines",
            expected="The lines of one bundle alone, 24x3.6 12x2.4." if asked else ", ".join(output.asks),
            next_step="Give what is expected." if asked else "Enter what is asked for.",
        )
    cuts = checked(given.cuts, work.plant.units.get("mm", "mm"))
    mass = given.weight or length_of(cuts) * (product.mass_per_metre_mg or 0) // 1_000_000
    if mass > MOST["g"]:
        raise too_much(work, output.name, mass, "g")
    amount = mass if process.streams[output.stream] == "g" else pieces_of(cuts)
    if amount <= 0:
        raise Refused(
            f"{product.name} has no mass a metre, so {process.name} cannot close.",
            value=product.code,
            expected="The bundle's weight, or the product's mass a metre in plant.toml.",
            next_step="Have the mass a metre put into plant.toml.",
        )
    how = "weighed" if given.weight else "calculated"
    return Amounts(pieces_of(cuts), amount, mass if kind.mass and mass else None, 1, how)


def too_much(work: Work, name: str, amount: int, unit: str) -> Unreadable:
    """What is said of an amount that nothing on a floor comes to."""
    return Unreadable(
        f"{name}: that is more than can be.",
        value=work.show(amount, unit),
        expected=f"At most {work.show(MOST[unit], unit)}.",
        next_step="Read the number again and type it.",
    )


def _check_given(work: Work, output: Output, given: Given) -> None:
    """Whatever was given may be an amount, whether it is asked for or not."""
    told = {"weight": "g", "count": "pcs", "length": "mm", "volume": "ml"}
    for name, unit in told.items():
        amount = getattr(given, name)
        if amount < 0:
            raise Unreadable(
                f"{output.name}: the {name} cannot be {amount}.",
                value=str(amount),
                expected=f"{', '.join(output.asks)}, more than zero.",
                next_step="Read the number again and type it.",
            )
        if amount > MOST[unit]:
            raise too_much(work, output.name, amount, unit)


def _items(output: Output, given: Given) -> int:
    if output.as_ != "item":
        return 0
    items = len(given.weights) or given.count or 1
    if not 1 <= items <= MOST_ITEMS:
        raise Unreadable(
            "That is not a number of items.",
            value=str(items),
            expected=f"1 to {MOST_ITEMS:,}.",
            next_step="Count them and enter the number.",
        )
    return items


def _mass(what: tuple[Product, Output, Kind], given: Given, items: int, pieces: int) -> tuple[int, str]:
    """Grams, and how they are known: weighed before counted, counted before reckoned from theory."""
    product, output, kind = what
    if given.weights or given.weight:
        return sum(given.weights) or given.weight, "weighed"
    if items and product.item_amount and kind.unit == "g" and "weight" not in output.asks:
        return items * product.item_amount, "counted"
    if pieces and product.mass_per_piece_mg:
        return pieces * product.mass_per_piece_mg // 1000, "calculated"
    if given.length and product.mass_per_metre_mg:
        return given.length * product.mass_per_metre_mg // 1_000_000, "calculated"
    return 0, "counted"


def in_unit(work: Work, row: Row[Any], unit: str, *parts: Part) -> int:
    """Parts of a lot in another unit: what they weigh, else the product's mass or volume a piece.

    Raises Refused where nothing says what it is in that unit.
    """
    own = sum(part.amount for part in parts)
    if row.unit == unit:
        return own
    grams = grams_of(work.connection, row, *parts) if unit == "g" else None
    if grams is not None:
        return grams
    product = work.plant.product(row.product)
    if unit == "g" and product.mass_per_piece_mg:
        return own * product.mass_per_piece_mg // 1000
    if unit == "cm3" and product.volume_per_piece_mm3:
        return own * product.volume_per_piece_mm3 // 1000
    raise Refused(
        f"{shown(row.number)} is told in {row.unit}, and nothing says what that is in {unit}.",
        value=row.product,
        expected=f"A mass or volume for {product.name}.",
        next_step="Have the product's mass a piece put into plant.toml.",
    )
