"""What do profiled sheets, tiles and ridge caps ask for, and what do they come to?"""

from decimal import Decimal

from lotroot.processes.definition import Product
from lotroot.reckoning import sizes_of
from lotroot.reckoning.fields import Field, Values
from lotroot.reckoning.form import PIECE, Figure, Form
from lotroot.reckoning.usual_fields import (
    STEEL,
    thickness_field,
    width_field,
)
from lotroot.theory import (
    capping,
    coil,
    profile,
    sheet,
    tiles,
)
from lotroot.theory.sizes import MOST_PIECES, amount, shown

D = Decimal

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
        width_field("width", "Width of the flat strip", "strip width"),
        thickness_field("Base steel"),
        _coats("zinc", "Zinc coating"),
        _coats("paint", "Paint"),
        width_field("cover", "Cover width", "cover width"),
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
        width_field("width", "Width of a blank", "blank width"),
        Field("web", "Web behind a blank", "size", optional=True, hint="May be left empty", expected=D(20),
              called=("web behind a blank",), zero=True),
        thickness_field(),
        width_field("strip", "Width of the strip", "strip width"),
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
        width_field("width", "Width of a cap", "blank width"),
        thickness_field(),
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

FORMS = (PROFILE, TILES, CAPPING)
