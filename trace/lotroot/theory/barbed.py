"""How heavy is barbed wire, and how much of it is line wire and how much barb wire?

g/m = 2 x take-up x line wire + 1000 / spacing x wire in a barb x barb wire. Take-up and wire in a barb
depend on the machine: 1.02 and 0.120 m for 4 points are fitted to the six sizes of IS 278:1978, and a
plant fits its own from weighed rolls. Roll masses printed for other wire sizes miss by a tenth and more.
"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.sizes import (
    MOST_LENGTH_MM,
    MOST_MASS_G,
    Size,
    amount,
    exact,
    nearest,
    positive,
    refused,
    whole_within,
)
from lotroot.theory.wire import diameter, mg_per_m

LINE_WIRES = 2


@dataclass(frozen=True, slots=True)
class Barbed:
    """A barbed wire: line wires and barb wire in mm, 2 or 4 points a barb, barbs `spacing_mm` apart.

    How much wire a barb of so many points takes is measured and given as a `Twist`.
    """

    line_mm: Decimal
    barb_mm: Decimal
    points: int
    spacing_mm: Decimal

    def __post_init__(self) -> None:
        """Raises Unreadable where it could be no barbed wire."""
        diameter(self.line_mm, "line wire")
        barb = diameter(self.barb_mm, "barb wire")
        if self.points not in (2, 4):
            raise refused("number of points of a barb", self.points, "", "Expected 2 or 4.")
        positive(self.spacing_mm, "spacing of barbs", "mm", 1_000, 2 * barb)


@dataclass(frozen=True, slots=True)
class Twist:
    """The machine's part: line wire drawn in for a metre (1.02 is 2 %), and wire in one barb, in mm."""

    take_up: Decimal
    barb_wire_mm: Decimal

    def __post_init__(self) -> None:
        """Raises Unreadable where no twist is like that."""
        positive(self.take_up, "twist take-up", "", Decimal("1.5"), 1)
        positive(self.barb_wire_mm, "wire in a barb", "mm", 500, 1)


@dataclass(frozen=True, slots=True)
class Metre:
    """What is in a metre: both line wires together and the barb wire, in mg, and in mm of wire."""

    line_mg: Decimal
    barb_mg: Decimal
    line_wire_mm: Decimal
    barb_wire_mm: Decimal

    @property
    def mg(self) -> Decimal:
        """Mass of a metre, in mg."""
        return self.line_mg + self.barb_mg


@exact
def metre(wire: Barbed, twist: Twist) -> Metre:
    """What a metre of this barbed wire is made of."""
    line_mm = 1000 * LINE_WIRES * twist.take_up
    barb_mm = 1000 / wire.spacing_mm * twist.barb_wire_mm
    line_mg, barb_mg = mg_per_m(wire.line_mm) * line_mm / 1000, mg_per_m(wire.barb_mm) * barb_mm / 1000
    return Metre(line_mg, barb_mg, line_mm, barb_mm)


@exact
def roll_g(wire: Barbed, twist: Twist, length_mm: int) -> int:
    """Mass of a roll of that length, to the nearest gram."""
    length = amount(length_mm, "roll length", "mm", MOST_LENGTH_MM)
    return nearest(metre(wire, twist).mg * length / 1_000_000)


@exact
def roll_length_mm(wire: Barbed, twist: Twist, mass_g: int) -> int:
    """Length of a roll from its mass without tare, to the nearest mm."""
    return nearest(amount(mass_g, "roll mass", "g", MOST_MASS_G) * 1_000_000 / metre(wire, twist).mg)


@exact
def take_up(wire: Barbed, barb_wire_mm: Size, length_mm: int, mass_g: int) -> Decimal:
    """The take-up that a weighed roll of known length shows, if its barbs took that much wire.

    A plant takes the mean of several. Raises Unreadable where the roll is lighter than straight wires.
    """
    length = amount(length_mm, "roll length", "mm", MOST_LENGTH_MM)
    mass = amount(mass_g, "roll mass", "g", MOST_MASS_G)
    straight = metre(wire, Twist(Decimal(1), positive(barb_wire_mm, "wire in a barb", "mm", 500, 1)))
    found = (Decimal(mass) * 1_000_000 / length - straight.barb_mg) / straight.line_mg
    if not 1 <= found <= Decimal("1.5"):
        low, high = (nearest(length * (straight.line_mg * part + straight.barb_mg) / 1_000_000)
                     for part in (1, Decimal("1.5")))  # fmt: skip
        raise refused("roll mass", mass_g, "g", f"Expected from {low} to {high} g for its length.")
    return found


@exact
def barbs_in(length_mm: int, spacing_mm: Size) -> int:
    """Barbs in a length at their nominal spacing."""
    spacing = positive(spacing_mm, "spacing of barbs", "mm", 1_000)
    return whole_within(amount(length_mm, "length", "mm", MOST_LENGTH_MM) / spacing)


@exact
def least_barbs(length_mm: int, spacing_mm: Size, part_percent: Size) -> int:
    """The fewest barbs where a standard asks for a part of the nominal count.

    ASTM A121 as described on a public trade page: 69 of 75 and 55 of 60 in 25 ft, which is 92 % and a part
    of a barb that is not asked for.
    """
    part = positive(part_percent, "part of the barbs", "%", 100)
    return whole_within(barbs_in(length_mm, spacing_mm) * part / 100)
