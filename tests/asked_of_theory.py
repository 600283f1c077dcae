"""What does a published example ask, in its own units, and which function of the program answers it?

    Given("mass 25 kg; diameter 2.50 mm").mm("diameter")

pint reads the units of the inputs and of what is printed; the program's functions take and give their own.
"""

from collections.abc import Callable
from decimal import Decimal
from functools import cached_property

import fluids
import pint
from lotroot import reference
from lotroot.theory import (
    barbed,
    coil,
    die_schedule,
    drawing,
    drawing_stress,
    fabric,
    gauges,
    nails,
    profile,
    sheet,
    slitting,
    wire,
)
from lotroot.theory.constants import constant

UNITS = pint.UnitRegistry(non_int_type=Decimal)
Answer = tuple[Decimal | int, str]


class Given:
    """The inputs of an example by name; each is a figure with its unit, or a text."""

    def __init__(self, inputs: str) -> None:
        parts = (part.strip().partition(" ") for part in inputs.split(";") if part.strip())
        self.texts = {name: text for name, _, text in parts}

    def __call__(self, name: str, unit: str) -> Decimal:
        figure, _, own = self.texts[name].partition(" ")
        return in_unit((Decimal(figure), own), unit)

    def mm(self, name: str) -> Decimal:
        return self(name, "mm")

    def whole(self, name: str, unit: str) -> int:
        """To the nearest whole unit, as the program keeps amounts."""
        return round(self(name, unit))

    @cached_property
    def cuts(self) -> list[Decimal]:
        return [Decimal(cut) for cut in self.texts["cuts"].split(",")]


def in_unit(answer: Answer, unit: str) -> Decimal:
    """The figure in another unit, as pint turns it."""
    figure, own = answer
    return Decimal(UNITS.Quantity(Decimal(figure), own).to(unit).magnitude)


def _largest_gap(given: Given) -> Answer:
    """Sizes 7/0 to 20 of ours against the library's, which lists the larger sizes under fractions."""
    system = given.texts["system"]
    numbers = [f"{zeros}/0" for zeros in range(7, 1, -1)] + [str(number) for number in range(21)]
    keys = list(fluids.piping.wire_schedules["SWG"][0])[: len(numbers)]
    assert len(numbers) == 27 and keys[6:] == list(range(21))
    library = [Decimal(str(fluids.t_from_gauge(key, SI=False, schedule="SWG"))) for key in keys]
    ours = [gauges.size_mm(f"{number} {system}", "wire") / constant("inch") for number in numbers]
    return max(abs(a - b) for a, b in zip(ours, library, strict=True)), "in"


def _gauge(given: Given) -> Answer:
    number = int(given.texts["gauge"].split()[0])
    ours = gauges.size_mm(given.texts["gauge"], "wire")
    library = Decimal(str(fluids.t_from_gauge(number, SI=False, schedule="BSWG"))) * constant("inch")
    assert abs(ours - library) < Decimal("0.001")
    return ours, "mm"


def _two_gauges(given: Given) -> Answer:
    """The half number itself has to be the printed one as well."""
    sizes = [gauges.size_mm(f"{number} US", "wire") for number in ("9", "10")]
    assert abs(gauges.size_mm("9 1/2 US", "wire") - Decimal("0.142") * constant("inch")) < Decimal("0.001")
    return sum(sizes) / Decimal(2), "mm"


def _step(given: Given) -> Decimal:
    return die_schedule.equal_step(given.mm("from"), given.mm("to"), int(given.texts["steps"]))


def _density(given: Given) -> Answer:
    density = given("density", "kg/m**3")
    return wire.mg_per_m(given.mm("diameter"), density), "mg/m"


def _barbed(given: Given) -> Answer:
    product = barbed.Barbed(given.mm("line"), given.mm("barb"), 4, given.mm("spacing"))
    twist = barbed.Twist(Decimal(given.texts["taken_up"]), given.mm("wire_in_a_barb"))
    return barbed.metre(product, twist).mg, "mg/m"


def _whole_wires(given: Given) -> Answer:
    wires = [
        fabric.Wires(given.mm("wire"), given.mm("pitch"), given.mm(edge))
        for edge in ("long_edge", "cross_edge")
    ]
    found = fabric.counted(fabric.Sheet(given.whole("length", "mm"), given.whole("width", "mm"), *wires))
    assert (found.long_wires, found.cross_wires) == (16, 40)
    return found.mass_mg, "mg"


def _square_metres(given: Given) -> Answer:
    row = reference.row("fabric_meshes", standard="DIN 488", designation=given.texts["designation"])
    length, width = (int(Decimal(side) * 1000) for side in row["sheet_m"].split(" x "))
    return fabric.sheet_g(Decimal(row["published_kg_per_m2"]) * 1000, length, width), "g"


def _us_roll(given: Given) -> Answer:
    """Long wires from edge to edge of the width; cross wires at half a pitch, sticking out on both sides."""
    diameter = wire.diameter_of_area_mm(given("area", "mm**2"))
    pitch, length, width = given.mm("pitch"), given.whole("length", "mm"), given.whole("width", "mm")
    longs = fabric.whole_wires(width, fabric.Wires(diameter, pitch, Decimal(0)))
    crosses = fabric.whole_wires(length, fabric.Wires(diameter, pitch, pitch / 2))
    assert length * width == round(in_unit((Decimal(100), "ft**2"), "mm**2"))
    across = round(given.mm("width") + 2 * given.mm("overhang"))
    return fabric.wires_mg(longs, length, diameter) + fabric.wires_mg(crosses, across, diameter), "mg"


def _by_pitch(given: Given) -> Answer:
    wires = [
        fabric.Wires(given.mm(role), given.mm(f"{role}_pitch"), Decimal(0)) for role in ("long", "cross")
    ]
    return fabric.quoted_mg_per_m2(*wires), "mg/m**2"


def _stress(given: Given) -> Answer:
    drawn = given("flow", "MPa"), given.mm("from"), given.mm("to")
    friction, angle = Decimal(given.texts["friction"]), given("angle", "degrees")
    return drawing_stress.stress_mpa(*drawn, friction, angle), "MPa"


def _slit(given: Given) -> slitting.Masses:
    strips = [Decimal(strip) for strip in given.texts["strips"].split(",")]
    return slitting.masses_g(slitting.pattern(given.mm("width"), strips), given.whole("coil", "g"))


def _two_sheets(given: Given) -> Answer:
    mass = given.whole("long", "g") - given.whole("short", "g")
    length = given.whole("long_length", "mm") - given.whole("short_length", "mm")
    return profile.weighed_mg_per_m(mass, length), "mg/m"


ASKED: dict[str, Callable[[Given], Answer]] = {
    "largest gap between our gauges and the fluids library": _largest_gap,
    "diameter of a gauge": _gauge,
    "diameter of an American gauge": lambda g: (gauges.awg_mm(int(g.texts["order"])), "mm"),
    "mean of two gauges": _two_gauges,
    "diameter kept in each equal step": lambda g: (_step(g), ""),
    "diameter lost in each equal step": lambda g: (1 - _step(g), ""),
    "area lost in a step": lambda g: (drawing.reduction_percent(g.mm("from"), g.mm("to")), "percent"),
    "length from a metre": lambda g: (drawing.growth(g.mm("from"), g.mm("to")), "m"),
    "diameter after cuts of the diameter": lambda g: (
        drawing.after_cuts_mm(g.mm("from"), g.cuts, "diameter"),
        "mm",
    ),
    "drawing stress without friction": lambda g: (
        drawing_stress.frictionless_mpa(g("flow", "MPa"), g.mm("from"), g.mm("to")),
        "MPa",
    ),
    "drawing stress": _stress,
    # wire and its coats
    "length of wire from its mass": lambda g: (
        wire.length_mm(g.mm("diameter"), g.whole("mass", "g")),
        "mm",
    ),
    "mass of a metre of wire": lambda g: (wire.mg_per_m(g.mm("diameter")), "mg/m"),
    "mass of a metre of wire of a density": _density,
    "load that breaks a wire": lambda g: (
        wire.break_load_n(g.mm("diameter"), g("strength", "MPa")),
        "N",
    ),
    "diameter over a coat": lambda g: (wire.over_coat_mm(g.mm("core"), g.mm("coat")), "mm"),
    "factor of the strip test": lambda g: (wire.strip_test_factor(), "g/m**2/mm"),
    "a length in rods": lambda g: (int(g.texts["rods"]) * constant("rod of length"), "m"),
    # flat sheet and its zinc
    "weight of sheet by the gauge table": lambda g: (
        sheet.gauge_table_g_per_m2(g.mm("thickness")),
        "g/m**2",
    ),
    "mass of sheet by its thickness": lambda g: (sheet.steel_g_per_m2(g.mm("thickness")), "g/m**2"),
    "mass on an area": lambda g: (sheet.g_per_m2_of_oz_per_ft2(g("mass", "oz/ft**2")), "g/m**2"),
    "thickness gauge tables add for zinc": lambda g: (
        sheet.gauge_table_zinc_mm(g("coating", "g/m**2")),
        "mm",
    ),
    "thickness of zinc": lambda g: (sheet.zinc_um(g("coating", "g/m**2")), "um"),
    "zinc on one side": lambda g: (sheet.zinc_um_per_side(g("coating", "g/m**2")), "um"),
    "zinc on one side by a density": lambda g: (
        sheet.zinc_um_per_side(g("coating", "g/m**2"), g("density", "g/cm**3")),
        "um",
    ),
    "least zinc on one side": lambda g: (
        sheet.least_one_side_g_per_m2(g("single", "g/m**2"), g("part", "percent")),
        "g/m**2",
    ),
    # goods of wire
    "mass of a metre of barbed wire": _barbed,
    "fewest barbs in a length": lambda g: (
        barbed.least_barbs(g.whole("length", "mm"), g.mm("spacing"), g("part", "percent")),
        "",
    ),
    "mass of a sheet by its whole wires": _whole_wires,
    "mass of a sheet by its square metres": _square_metres,
    "mass of 100 square feet by whole wires": _us_roll,
    "mass of fabric by its pitch": _by_pitch,
    "steel across a metre of fabric": lambda g: (
        fabric.steel_mm2_per_m(fabric.Wires(g.mm("wire"), g.mm("pitch"), Decimal(0))),
        "mm**2/m",
    ),
    "nails to a mass": lambda g: (
        nails.count_per_kg(nails.Nail(g.mm("shank"), g.mm("length"))),
        "1/kg",
    ),
    # coils, strips and profiles
    "length of strip in a coil": lambda g: (
        coil.length_by_diameters_mm(g.mm("outer"), g.mm("inner"), g.mm("thickness")),
        "mm",
    ),
    "mass of a coil by its diameters": lambda g: (
        coil.mass_by_diameters_g(g.mm("outer"), g.mm("inner"), g.mm("width")),
        "g",
    ),
    "mass of the first strip": lambda g: (_slit(g).strips_g[0], "g"),
    "mass of strips and trim together": lambda g: (_slit(g).total_g, "g"),
    "mass of a square metre of roof": lambda g: (
        profile.roof_g_per_m2(g("metre", "mg/m"), g.mm("cover")),
        "g/m**2",
    ),
    "mass of a metre from two sheets": _two_sheets,
}
