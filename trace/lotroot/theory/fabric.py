"""How many wires are in a sheet or roll of welded fabric, and what do they weigh?

A balance counts whole wires: a pitch formula assumes an endless sheet and is 5 % light on a narrow roll.
Long wires run along the sheet, cross wires across it.
"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.theory.sizes import (
    MOST_LENGTH_MM,
    MOST_PIECES,
    MOST_WIDTH_MM,
    Size,
    amount,
    exact,
    nearest,
    not_negative,
    positive,
    refused,
    whole_within,
)
from lotroot.theory.wire import area_mm2, diameter, mg_per_m


@dataclass(frozen=True, slots=True)
class Wires:
    """The wires of one direction: size, distance from centre to centre, and from the edge to the first."""

    wire_mm: Decimal
    pitch_mm: Decimal
    edge_mm: Decimal


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet or roll: `length_mm` along its long wires, `width_mm` along its cross wires."""

    length_mm: int
    width_mm: int
    long: Wires
    cross: Wires


@dataclass(frozen=True, slots=True)
class Counted:
    """Whole wires and their mass, by role; `long_wire_mm` and `cross_wire_mm` are lengths all together."""

    long_wires: int
    cross_wires: int
    long_wire_mm: int
    cross_wire_mm: int
    long_mg: int
    cross_mg: int

    @property
    def mass_mg(self) -> int:
        """What the sheet weighs."""
        return self.long_mg + self.cross_mg


@exact
def whole_wires(across_mm: int, wires: Wires, role: str = "long") -> int:
    """How many wires lie side by side: the first and last `edge_mm` from the edges, or further in.

    Raises Unreadable where the pitch is larger than the sheet, or the wire as thick as the pitch.
    """
    across = Decimal(amount(across_mm, f"sheet across its {role} wires", "mm", MOST_LENGTH_MM))
    wire = diameter(wires.wire_mm, f"{role} wire")
    pitch = positive(wires.pitch_mm, f"pitch of {role} wires", "mm", MOST_WIDTH_MM)
    edge = not_negative(wires.edge_mm, f"edge beside {role} wires", "mm", MOST_WIDTH_MM)
    if pitch <= wire:
        raise refused(f"pitch of {role} wires", pitch, "mm", f"Expected more than the wire, {wire} mm.")
    if pitch > across:
        raise refused(f"pitch of {role} wires", pitch, "mm", f"Expected at most the sheet, {across} mm.")
    if 2 * edge > across:
        expected = f"Expected at most half the sheet, {across / 2} mm."
        raise refused(f"edge beside {role} wires", edge, "mm", expected)
    return whole_within((across - 2 * edge) / pitch) + 1


@exact
def counted(sheet: Sheet) -> Counted:
    """The sheet as its whole wires."""
    length = amount(sheet.length_mm, "sheet length", "mm", MOST_LENGTH_MM)
    width = amount(sheet.width_mm, "sheet width", "mm", int(MOST_WIDTH_MM))
    longs = whole_wires(width, sheet.long, "long")
    crosses = whole_wires(length, sheet.cross, "cross")
    return Counted(
        longs,
        crosses,
        longs * length,
        crosses * width,
        wires_mg(longs, length, sheet.long.wire_mm),
        wires_mg(crosses, width, sheet.cross.wire_mm),
    )


@exact
def wires_mg(count: int, length_mm: int, wire_mm: Size) -> int:
    """Mass of so many wires of one length, to the nearest mg."""
    wires = amount(count, "number of wires", "pcs", MOST_PIECES)
    length = amount(length_mm, "wire length", "mm", MOST_LENGTH_MM)
    return nearest(wires * length * mg_per_m(wire_mm) / 1000)


@exact
def quoted_mg_per_m2(long: Wires, cross: Wires) -> Decimal:
    """Mass of a square metre by pitch, for quotations alone: density x pi/4 (d1^2/s1 + d2^2/s2)."""
    return sum((mg_per_m(one.wire_mm) * 1000 / _pitch(one) for one in (long, cross)), Decimal(0))


@exact
def steel_mm2_per_m(wires: Wires) -> Decimal:
    """Steel across a metre of fabric, the number in a BS 4483 name: wire area over pitch."""
    return area_mm2(wires.wire_mm) * 1000 / _pitch(wires)


@exact
def sheet_g(g_per_m2: Size, length_mm: int, width_mm: int) -> int:
    """Mass of a sheet from a printed mass of its square metre, to the nearest gram."""
    areal = positive(g_per_m2, "mass of a square metre", "g/m2", 100_000)
    length = amount(length_mm, "sheet length", "mm", MOST_LENGTH_MM)
    return nearest(areal * length * amount(width_mm, "sheet width", "mm", int(MOST_WIDTH_MM)) / 1_000_000)


def _pitch(wires: Wires) -> Decimal:
    return positive(wires.pitch_mm, "pitch of wires", "mm", MOST_WIDTH_MM)
