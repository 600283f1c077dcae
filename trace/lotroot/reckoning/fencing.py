"""What do barbed wire and chain link ask for, and what do they come to?"""

from decimal import Decimal

from lotroot.processes.definition import Product
from lotroot.reckoning import sizes_of
from lotroot.reckoning.fields import Field, Values
from lotroot.reckoning.form import ITEM, METRE, Figure, Form
from lotroot.reckoning.usual_fields import (
    STEEL,
    length_field,
    wire_field,
)
from lotroot.theory import (
    barbed,
    chain_link,
    wire,
)

D = Decimal

# ---------------------------------------------------------------- barbed wire


def _of_barbed(values: Values) -> list[Figure]:
    points = int(values["points"]) if values["points"] in (2, 4) else values["points"]
    product = barbed.Barbed(values["line"], values["barb"], points, values["spacing"])
    twist = barbed.Twist(values["take_up"], values["barb_wire"])
    metre = barbed.metre(product, twist)
    grams = D(barbed.roll_g(product, twist, values["length"]))
    figures = [
        Figure("A roll", grams / 1000, "kg", 2, ITEM),
        Figure("A metre", metre.mg / 1000, "g", 1, METRE),
        Figure("Line wire in a metre", metre.line_wire_mm / 1000, "m", 3),
        Figure("Barb wire in a metre", metre.barb_wire_mm / 1000, "m", 3),
        Figure("Barbs in a roll", barbed.barbs_in(values["length"], values["spacing"]), "pcs"),
    ]
    if values.given("weighed"):
        found = barbed.take_up(product, values["barb_wire"], values["length"], values["weighed"])
        figures.append(Figure("Take-up that the weighed roll shows", found, "", 3))
    return figures


def _fill_barbed(product: Product) -> dict[str, str]:
    line, barb = sizes_of.line_and_barb(product)
    return {
        "line": line,
        "barb": barb,
        "spacing": sizes_of.spacing_mm(product),
        "length": sizes_of.metres(product),
        "take_up": sizes_of.take_up(product),
        "barb_wire": sizes_of.barb_mm(product),
    }


BARBED = Form(
    "barbed",
    "Barbed wire: a metre and a roll",
    (
        wire_field("line", "Line wire"),
        wire_field("barb", "Barb wire"),
        Field("points", "Points of a barb", "number", "", "2 or 4", "4", expected=D(4),
              called=("number of points of a barb",)),
        Field("spacing", "From barb to barb", "size", expected=D(100), called=("spacing of barbs",)),
        length_field("200"),
        Field("take_up", "Twist take-up", "number", "", "Line wire drawn in for a metre; weighed rolls tell",
              "1.02", expected=D("1.02"), called=("twist take-up",)),
        Field("barb_wire", "Wire in one barb", "size", usual="120", expected=D(120),
              called=("wire in a barb",)),
        Field("weighed", "Mass of a weighed roll", "amount", "kg", "Net; tells the take-up. May be empty",
              optional=True, expected=D(25), called=("roll mass",)),
    ),
    _of_barbed,
    "A metre is 2 × take-up of line wire and 1000 / spacing barbs of barb wire, each by density × π d² / 4. "
    "Take-up and wire in a barb are the machine’s: fit them from weighed rolls.",
    (STEEL, ("barbed_wire", {"standard": "IS 278:1978", "size": "3"})),
    sizes_of.is_barbed,
    _fill_barbed,
)  # fmt: skip

# ---------------------------------------------------------------- chain link


_MESH = Field("mesh", "Mesh, clear between wires", "size", expected=D(50), called=("mesh",))
_HEIGHT = Field("height", "Height", "size", expected=D(1800), called=("height",))
_ALLOWANCE = Field(
    "allowance", "Allowance of the plant", "number", "", "1 where no rolls were weighed yet",
    "1", expected=D(1), called=("weave allowance",),
)  # fmt: skip
_BOUND = (
    "Wire of a square metre is 2 / (mesh + wire), at any angle. Knuckles and edges are left out, so without "
    "an allowance no roll is lighter; the allowance is the plant’s own, fitted from weighed rolls."
)


def _figures_of_roll(roll: chain_link.Roll, length_mm: int) -> list[Figure]:
    return [
        Figure("A roll", D(roll.mass_g) / 1000, "kg", 2, ITEM),
        Figure("A metre", D(roll.mass_g) / length_mm, "kg", 3, METRE),
        Figure("Wire in a roll", D(roll.wire_mm) / 1000, "m"),
    ]


def _of_galvanised(values: Values) -> list[Figure]:
    size = values["wire"]
    roll = chain_link.roll(values["mesh"], size, values["height"], values["length"], values["allowance"])
    square = chain_link.mg_per_m2(values["mesh"], size) / 1_000_000
    return [
        *_figures_of_roll(roll, values["length"]),
        Figure("A square metre, no allowance", square, "kg", 3),
    ]


def _fill_chain(product: Product) -> dict[str, str]:
    core, over = sizes_of.pair(product)
    return {
        "mesh": sizes_of.mesh_mm(product),
        "wire": product.wire_for("wire"),
        "core": core,
        "over": over,
        "height": product.width_mm,
        "length": sizes_of.metres(product),
    }


CHAIN_LINK = Form(
    "chain-link",
    "Chain link, galvanised",
    (
        wire_field("wire", "Wire over its zinc", "wire diameter"),
        _MESH,
        _HEIGHT,
        length_field("20"),
        _ALLOWANCE,
    ),
    _of_galvanised,
    _BOUND,
    (STEEL,),
    lambda product: sizes_of.is_chain_link(product) and not sizes_of.is_coated_fabric(product),
    _fill_chain,
)


def _of_coated(values: Values) -> list[Figure]:
    wire.diameter(values["core"], "core diameter")
    wire.diameter(values["over"], "diameter over the coat")
    coated = chain_link.CoatedWire(values["core"], values["over"], values["density"])
    roll = chain_link.roll(values["mesh"], coated, values["height"], values["length"], values["allowance"])
    return [
        *_figures_of_roll(roll, values["length"]),
        Figure("Steel in a roll", D(roll.steel_g) / 1000, "kg", 2),
        Figure("PVC compound in a roll", D(roll.pvc_g) / 1000, "kg", 2),
    ]


CHAIN_LINK_PVC = Form(
    "chain-link-pvc",
    "Chain link, PVC coated",
    (
        wire_field("core", "Core wire", "core diameter"),
        wire_field("over", "Over the coat", "diameter over the coat", "wire diameter"),
        Field("density", "Density of the compound", "number", "kg/m3", "The compound’s own, from its paper",
              "1400", expected=D(1400), called=("density",)),
        _MESH, _HEIGHT, length_field("20"), _ALLOWANCE,
    ),
    _of_coated,
    f"{_BOUND} PVC is density × π/4 (D² − d²).",
    (STEEL, ("constants", {"name": "PVC rigid density"}),
     ("constants", {"name": "PVC plasticised density range"})),
    sizes_of.is_coated_fabric,
    _fill_chain,
)  # fmt: skip

FORMS = (BARBED, CHAIN_LINK, CHAIN_LINK_PVC)
