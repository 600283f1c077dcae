"""What do slitting, coils, profiled sheets, tiles and ridge caps ask for, and what do they come to?"""

from decimal import Decimal

from lotroot.processes.definition import Product
from lotroot.reckoning import sizes_of
from lotroot.reckoning.fields import Field, Values
from lotroot.reckoning.form import METRE, PIECE, Figure, Form, Rested
from lotroot.theory import capping, coil, profile, sheet, slitting, tiles
from lotroot.theory.sizes import MOST_PIECES, amount, shown

D = Decimal
STEEL: Rested = ("constants", {"name": "steel density"})
_GAUGE = "In mm such as 0.40, or a gauge with its system such as 26 MSG or 26 GSG"


def _thickness(label: str = "Sheet thickness", *, optional: bool = False, hint: str = _GAUGE) -> Field:
    called = ("sheet thickness",)
    return Field("thick", label, "sheet", "mm", hint, optional=optional, expected=D("0.5"), called=called)


def _width(name: str, label: str, *called: str, optional: bool = False, hint: str = "") -> Field:
    return Field(name, label, "size", "mm", hint, optional=optional, expected=D(1000), called=called)


_COIL_MASS = Field(
    "mass", "Mass of the coil", "amount", "kg", "Net; may be left empty", optional=True,
    expected=D(5_000), called=("coil mass", "length by mass"),
)  # fmt: skip

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
    return figures


SLITTING = Form(
    "slitting",
    "Slitting: the knife pattern",
    (
        _width("coil", "Width of the coil", "coil width"),
        Field("strips", "Strips, from the operator side", "sizes", "mm", "Such as 3 x 412, or 412 412 330",
              expected=D(400), called=("width of strip", "number of strips", "sum of the strips")),
        Field("trim", "Trim on the operator side", "size", "mm", "Even at both edges where it is left empty",
              optional=True, expected=D(10), called=("trim on the operator side",), zero=True),
        _COIL_MASS,
    ),
    _of_slitting,
    "Strips and trim are the coil’s width; the mass goes by width, and strips and trim add up to the coil to "
    "the gram. A coil with a crown gives lighter edge strips (from memory, unconfirmed).",
    (),
    sizes_of.is_strip,
    lambda product: {"coil": product.width_mm},
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
        _width("width", "Width", "width"),
        _thickness("Sheet thickness with its coats"),
        _COIL_MASS,
    ),
    _of_coil,
    "Length is the coil’s face, π/4 (OD² − ID²), over thickness. 2 % in thickness is 2 % in length, and a "
    "loosely wound coil has gaps; where the coil was weighed, length by mass is the better one.",
    (STEEL,),
    sizes_of.is_strip,
    lambda product: {"width": product.width_mm, "thick": product.thickness_mm},
)

# ---------------------------------------------------------------- roll forming


def _coat(values: Values, name: str) -> Decimal:
    found: Decimal = values[name] if values.given(name) else D(0)
    return found


def _of_profile(values: Values) -> list[Figure]:
    strip = profile.Strip(values["width"], values["thick"], _coat(values, "zinc"), _coat(values, "paint"))
    metre = profile.mg_per_m(strip)
    lines = [profile.Line(length, count) for count, length in values["cuts"]]
    found = profile.bundle(lines, metre, values["cover"])
    one = D(lines[0].length_mm) * metre / 1_000_000_000
    figures = [
        Figure("The bundle", D(found.mass_g) / 1000, "kg", 1),
        Figure("Sheets", found.pieces, "pcs"),
        Figure("Together", D(found.running_mm) / 1000, "m", 2),
        Figure("A sheet of the first line", one, "kg", 3, PIECE),
        Figure("A metre", metre / 1_000_000, "kg", 3),
        Figure("Roof covered", D(found.cover_cm2) / 10_000, "m2", 1),
        Figure("A square metre of roof", profile.roof_g_per_m2(metre, values["cover"]) / 1000, "kg", 2),
    ]
    if values.given("ends"):
        scrap = D(profile.end_scrap_g([values["ends"]], metre)) / 1000
        figures.append(Figure("Head and tail", scrap, "kg", 1))
    return figures


def _fill_profile(product: Product) -> dict[str, str]:
    return {
        "width": shown(sizes_of.strip_mm(product), 1),
        "thick": product.thickness_mm,
        "cover": product.width_mm,
        "cuts": f"{product.item_amount or 1} x {sizes_of.metres(product)}",
    }


def _coats(name: str, label: str) -> Field:
    hint = "Of both sides; may be left empty where thickness is over it"
    return Field(name, label, "number", "g/m2", hint, optional=True, expected=D(275),
                 called=("zinc coating" if name == "zinc" else "paint",))  # fmt: skip


PROFILE = Form(
    "profile",
    "Roll forming: a bundle by its cut list",
    (
        _width("width", "Width of the flat strip", "strip width"),
        _thickness("Base steel"),
        _coats("zinc", "Zinc coating"),
        _coats("paint", "Paint"),
        _width("cover", "Cover width", "cover width"),
        Field("cuts", "Cut list: sheets x metres", "cuts", "m", "Such as 10 x 3.6, 4 x 5.2", expected=D(4),
              called=("cut list", "sheet length", "number of sheets", "length", "mass of the sheet")),
        Field("ends", "Head and tail pieces, together", "amount", "m", "May be left empty", optional=True,
              expected=D(2), called=("scrap length",)),
    ),
    _of_profile,
    "A metre is the flat strip’s width × (base steel × density + zinc + paint); the profile takes nothing "
    "away. Cover width gives square metres of roof and nothing else. Take the coating of the coil that runs.",
    (STEEL,),
    sizes_of.is_profile,
    _fill_profile,
)  # fmt: skip

# ---------------------------------------------------------------- tiles


def _of_tiles(values: Values) -> list[Figure]:
    web = values["web"] if values.given("web") else D(0)
    blank = tiles.Blank(values["length"], values["width"], web)
    areal = sheet.steel_g_per_m2(values["thick"])
    coil.width(values["strip"], "strip width")
    strip_g = int(areal * values["strip"] * values["strip_length"] / 1_000_000)
    found = tiles.blanking(strip_g, values["strip_length"], values["strip"], blank)
    rejects = values["rejects"] if values.given("rejects") else 0
    return [
        Figure("Blanks of the strip", found.blanks, "pcs"),
        Figure("Pressed, less rejects", tiles.pressed(found.blanks, rejects), "pcs"),
        Figure("A blank", tiles.blank_mg(blank, areal) / 1000, "g", 1, PIECE),
        Figure("Blanks in a metre of strip", tiles.blanks_per_m(blank), "pcs", 3),
        Figure("Blanks together", D(found.blanks_g) / 1000, "kg", 1),
        Figure("Skeleton and the strip’s end", D(found.skeleton_g) / 1000, "kg", 1),
    ]


TILES = Form(
    "tiles",
    "Tiles: blanks of a strip",
    (
        Field("length", "Length of a blank", "size", expected=D(1340), called=("blank length",)),
        _width("width", "Width of a blank", "blank width"),
        Field("web", "Web behind a blank", "size", optional=True, hint="May be left empty", expected=D(20),
              called=("web behind a blank",), zero=True),
        _thickness(),
        _width("strip", "Width of the strip", "strip width"),
        Field("strip_length", "Length of the strip", "amount", "m", expected=D(500),
              called=("strip length", "strip mass")),
        Field("rejects", "Rejects", "amount", "pcs", "May be left empty", optional=True, expected=D(10),
              called=("number of rejects",)),
    ),
    _of_tiles,
    "A blank takes its length and the web behind it; the skeleton is whatever is not blank: scrap, or a "
    "by-product for ridge caps. Pressed tiles are blanks less rejects.",
    (STEEL,),
    sizes_of.is_flat_piece,
    lambda product: {
        "length": str(product.length_mm or ""),
        "width": product.width_mm,
        "thick": product.thickness_mm,
        "strip": product.width_mm,
    },
)  # fmt: skip

# ---------------------------------------------------------------- ridge capping


def _of_capping(values: Values) -> list[Figure]:
    areal = sheet.steel_g_per_m2(values["thick"])
    amount(values["pieces"], "number of caps", "pcs", MOST_PIECES)
    cap = tiles.blank_mg(tiles.Blank(values["length"], values["width"]), areal)
    stacks = capping.stacked(values["pieces"], values["per_stack"])
    longest = capping.longest_s(values["pieces"], values["least"])
    figures = [
        Figure("A cap", cap / 1000, "g", 1, PIECE),
        Figure("All of them", cap * values["pieces"] / 1_000_000, "kg", 1),
        Figure("Full stacks", stacks.full, "pcs"),
        Figure("Caps that make none", stacks.loose, "pcs"),
        Figure("They take at most", longest / 60, "min", 1),
    ]
    if values.given("minutes"):
        seconds = int(values["minutes"] * 60)
        figures.append(Figure("Pace", capping.pieces_per_minute(values["pieces"], seconds), "a minute", 1))
    return figures


CAPPING = Form(
    "capping",
    "Ridge caps: stacks and pace",
    (
        Field("pieces", "Caps", "amount", "pcs", expected=D(400), called=("number of caps",)),
        Field("length", "Length of a cap", "size", expected=D(300), called=("blank length",)),
        _width("width", "Width of a cap", "blank width"),
        _thickness(),
        Field("per_stack", "Caps in a stack", "amount", "pcs", usual="10", expected=D(10),
              called=("caps in a stack",)),
        Field("least", "Least pace", "number", "a minute", usual="8", expected=D(8), called=("least pace",)),
        Field("minutes", "Minutes it took", "number", "min", "May be left empty", optional=True,
              expected=D(60), called=("time",)),
    ),
    _of_capping,
    "A cap is its area × density × thickness; stacks are whole.",
    (STEEL,),
    lambda product: sizes_of.is_flat_piece(product) and bool(product.item_amount),
    lambda product: {
        "length": str(product.length_mm or ""),
        "width": product.width_mm,
        "thick": product.thickness_mm,
        "per_stack": str(product.item_amount or 10),
    },
    practice="Stacks of ten and at least eight caps a minute: common practice, no source.",
)  # fmt: skip

FORMS = (SLITTING, COIL, PROFILE, TILES, CAPPING)
