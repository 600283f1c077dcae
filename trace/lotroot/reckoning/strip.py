"""What do the slitter's knives and a coil's diameters ask for, and what do they come to?"""

from dataclasses import replace
from decimal import Decimal

from lotroot.reckoning import sizes_of
from lotroot.reckoning.fields import Field, Values
from lotroot.reckoning.form import METRE, Figure, Form
from lotroot.reckoning.usual_fields import (
    COIL_MASS,
    STEEL,
    thickness_field,
    width_field,
)
from lotroot.theory import (
    coil,
    sheet,
    slitting,
)
from lotroot.theory.sizes import shown

D = Decimal

# ---------------------------------------------------------------- slitting


def _of_slitting(values: Values) -> list[Figure]:
    cut = slitting.pattern(values["coil"], values["strips"], values["trim"])
    together = sum((lane.width_mm for lane in cut.lanes), D(0))
    trim = cut.operator_trim_mm + cut.drive_trim_mm
    figures = [
        Figure("Strips together", together, "mm", 1),
        Figure("Trim at both edges", trim, "mm", 1),
        Figure("Trim of the coil", 100 * trim / cut.coil_mm, "%", 2),
    ]
    masses = slitting.masses_g(cut, values["mass"]) if values.given("mass") else None
    for number, lane in enumerate(cut.lanes, start=1):
        place = f"Strip {number}, {shown(lane.from_mm)} to {shown(lane.to_mm)} mm from the operator side"
        if masses:
            figures.append(Figure(place, D(masses.strips_g[number - 1]) / 1000, "kg", 1))
        else:
            figures.append(Figure(place, lane.width_mm, "mm", 1))
    if masses:
        lost = masses.operator_trim_g + masses.drive_trim_g
        figures.append(Figure("Trim", D(lost) / 1000, "kg", 1))
        if values.given("thick"):
            long = D(coil.length_by_mass_mm(values["mass"], values["coil"], values["thick"])) / 1000
            figures.append(Figure("Each strip, as long as the coil", long, "m", 1))
    return figures


SLITTING = Form(
    "slitting",
    "Slitting: the knife pattern",
    (
        width_field("coil", "Width of the coil", "coil width"),
        Field("strips", "Strips, from the operator side", "sizes", "mm", "Such as 3 x 412, or 412 412 330",
              expected=D(400), called=("width of strip", "number of strips", "sum of the strips")),
        Field("trim", "Trim on the operator side", "size", "mm", "Even at both edges where it is left empty",
              optional=True, expected=D(10), called=("trim on the operator side",), zero=True),
        COIL_MASS,
        replace(thickness_field(), optional=True, hint="With the mass it tells how long the strips are"),
    ),
    _of_slitting,
    "Strips and trim are the coil’s width; the mass goes by width, and strips and trim add up to the coil to "
    "the gram. Each strip is as long as the coil: mass / (density × width × thickness). A coil with a crown "
    "gives lighter edge strips (from memory, unconfirmed).",
    (STEEL,),
    sizes_of.is_strip,
    lambda product: {"coil": product.width_mm, "thick": product.thickness_mm},
)  # fmt: skip

# ---------------------------------------------------------------- coil


def _of_coil(values: Values) -> list[Figure]:
    outer, inner, wide, thick = (values[name] for name in ("outer", "inner", "width", "thick"))
    by_size = coil.length_by_diameters_mm(outer, inner, thick)
    grams = D(coil.mass_by_diameters_g(outer, inner, wide))
    figures = [
        Figure("Length by its diameters", D(by_size) / 1000, "m", 1),
        Figure("Mass as if wound without gaps", grams / 1000, "kg"),
        Figure("A metre", sheet.steel_g_per_m2(thick) * wide / 1_000_000, "kg", 3, METRE),
    ]
    if values.given("mass"):
        by_mass = coil.length_by_mass_mm(values["mass"], wide, thick)
        found = coil.agreement(by_size, by_mass)
        figures[1:1] = [
            Figure("Length by its mass, the better one", D(by_mass) / 1000, "m", 1),
            Figure("By diameters it is longer by", found.difference_percent, "%", 1),
        ]
    return figures


COIL = Form(
    "coil",
    "Coil: length and mass by its diameters",
    (
        Field("outer", "Outer diameter", "size", expected=D(1200), called=("outer diameter",)),
        Field("inner", "Inner diameter", "size", usual="508", expected=D(508), called=("inner diameter",)),
        width_field("width", "Width", "width"),
        thickness_field("Sheet thickness with its coats"),
        COIL_MASS,
    ),
    _of_coil,
    "Length is the coil’s face, π/4 (OD² − ID²), over thickness. 2 % in thickness is 2 % in length, and a "
    "loosely wound coil has gaps; where the coil was weighed, length by mass is the better one.",
    (STEEL,),
    sizes_of.is_strip,
    lambda product: {"width": product.width_mm, "thick": product.thickness_mm},
)

FORMS = (SLITTING, COIL)
