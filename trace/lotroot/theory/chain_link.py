"""How much wire is in chain link, and what must a roll weigh at least?

The mesh M is the clear distance between parallel sides, d the wire over its coats. Wires of one direction
lie M + d apart, so a square metre holds 1000 / (M + d) metres of each of the two directions, at any angle
of the diamonds. Bends, knuckles and edges are left out: theory is a lower bound. Published tables lie from
1.05 to 1.6 times above it, so there is no general allowance; a plant fits its own from weighed rolls.
"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.sizes import (
    MOST_LENGTH_MM,
    MOST_WIDTH_MM,
    Size,
    amount,
    exact,
    nearest,
    positive,
    refused,
)
from lotroot.theory.wire import diameter, mg_per_m, pvc_mg_per_m


@dataclass(frozen=True, slots=True)
class CoatedWire:
    """A wire with PVC around it: core and over the coat in mm, and the compound's own density."""

    core_mm: Decimal
    over_mm: Decimal
    pvc_kg_per_m3: Decimal


@dataclass(frozen=True, slots=True)
class Roll:
    """What a roll takes: mm of wire, steel and PVC compound in g. Steel and PVC are inputs of their own."""

    wire_mm: int
    steel_g: int
    pvc_g: int

    @property
    def mass_g(self) -> int:
        """What the roll weighs."""
        return self.steel_g + self.pvc_g


@exact
def wire_m_per_m2(mesh_mm: Size, over_mm: Size) -> Decimal:
    """Metres of wire in a square metre: 2 / (mesh + wire), both in m."""
    over = diameter(over_mm)
    mesh = positive(mesh_mm, "mesh", "mm", 500, 1)
    if over >= mesh:
        raise refused("wire diameter", over_mm, "mm", f"Expected less than the mesh, {mesh_mm} mm.")
    return 2000 / (mesh + over)


@exact
def mg_per_m2(mesh_mm: Size, wire_mm: Size) -> Decimal:
    """Mass of a square metre of galvanised fabric; the wire is measured over its zinc."""
    return wire_m_per_m2(mesh_mm, wire_mm) * mg_per_m(wire_mm)


@exact
def roll(
    mesh_mm: Size, wire: CoatedWire | Size, height_mm: Size, length_mm: int, allowance: Size = 1
) -> Roll:
    """A roll by height x length; a bare diameter in mm stands for galvanised wire.

    `allowance` is the plant's factor from weighed rolls, 1 where it has none: then no roll is lighter.
    """
    over = wire.over_mm if isinstance(wire, CoatedWire) else wire
    height = positive(height_mm, "height", "mm", MOST_WIDTH_MM)
    length = amount(length_mm, "roll length", "mm", MOST_LENGTH_MM)
    running_m = wire_m_per_m2(mesh_mm, over) * height * length / 1_000_000
    if min(height, Decimal(length)) < mesh_mm:
        least = min(height, Decimal(length))
        raise refused("mesh", mesh_mm, "mm", f"Expected at most the roll's least side, {least} mm.")
    running_m *= positive(allowance, "weave allowance", "", 2, Decimal("0.9"))
    core_mg, pvc_mg = mg_per_m(over), Decimal(0)
    if isinstance(wire, CoatedWire):
        core_mg = mg_per_m(wire.core_mm)
        pvc_mg = pvc_mg_per_m(wire.core_mm, wire.over_mm, wire.pvc_kg_per_m3)
    return Roll(
        nearest(running_m * 1000), nearest(running_m * core_mg / 1000), nearest(running_m * pvc_mg / 1000)
    )
