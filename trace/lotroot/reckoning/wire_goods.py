"""What do wire, nails, barbed wire, chain link and mesh ask for, and what do they come to?"""

from decimal import Decimal

from lotroot.processes.definition import Product
from lotroot.reckoning import sizes_of
from lotroot.reckoning.fields import Field, Values
from lotroot.reckoning.form import ITEM, METRE, PIECE, Figure, Form, Rested
from lotroot.theory import barbed, chain_link, drawing, fabric, nails, wire
from lotroot.theory.sizes import MOST_PIECES, amount, refused, shown

D = Decimal
STEEL: Rested = ("constants", {"name": "steel density"})
GAUGE = "In mm such as 2.5, in inches such as 0.099 in, or a gauge with its system such as 12 BWG"
LENGTH = "In m, such as 200, or 656 ft"


def _wire(name: str, label: str, *called: str, usual: str = "") -> Field:
    return Field(name, label, "wire", hint=GAUGE, called=called or (label.lower(),), usual=usual)


def _length(usual: str = "", *, label: str = "Length of a roll") -> Field:
    expected = D(usual or 100)
    called = ("roll length", "length", "sheet length", "sheet across its cross wires")
    return Field("length", label, "amount", "m", LENGTH, usual, expected=expected, called=called)


# ---------------------------------------------------------------- wire


def _of_wire(values: Values) -> list[Figure]:
    size = values["wire"]
    figures = [
        Figure("A kilometre", wire.mg_per_m(size) / 1000, "kg", 2),
        Figure("A metre", wire.mg_per_m(size) / 1000, "g", 2, METRE),
        Figure("In a kilogram", wire.m_per_kg(size), "m", 2),
    ]
    if values.given("rod"):
        if size >= values["rod"]:
            expected = f"Expected less than its rod, {shown(values['rod'])} mm."
            raise refused("wire diameter", size, "mm", expected)
        whole = drawing.reduction_percent(values["rod"], size)
        figures += [
            Figure("Drawn from its rod, the section is less by", whole, "%", 1),
            Figure("Of a metre of rod", drawing.growth(values["rod"], size), "m", 2),
        ]
    if values.given("mass"):
        metres = D(wire.length_mm(size, values["mass"])) / 1000
        figures.insert(0, Figure("Length by its mass", metres, "m"))
        if values.given("counter"):
            off = wire.counter_off_percent(values["counter"], values["mass"], size)
            figures.insert(1, Figure("The counter is off by", off, "%", 1))
    return figures


WIRE = Form(
    "wire",
    "Wire: kilograms a kilometre, metres on a stripper",
    (
        _wire("wire", "Wire diameter"),
        Field("rod", "Rod it is drawn from", "wire", hint="May be left empty", optional=True,
              expected=D("5.5"), called=("diameter before",)),
        Field(
            "mass", "Mass of the stripper", "amount", "kg", "Net; may be left empty",
            optional=True, expected=D(500), called=("mass of wire",),
        ),
        Field(
            "counter", "Metres by the counter", "amount", "m", "May be left empty",
            optional=True, expected=D(10_000), called=("length by counter",),
        ),
    ),
    _of_wire,
    "Mass of a metre is steel’s density × π d² / 4. A diameter that is 1 % off is 2 % in mass.",
    (STEEL,),
    sizes_of.is_wire,
    lambda product: {"wire": product.wire_mm},
)  # fmt: skip


# ---------------------------------------------------------------- nails


def _of_nails(values: Values) -> list[Figure]:
    ends = None
    if values.given("head"):
        thick = values["head_thick"] if values.given("head_thick") else D(0)
        point = values["point"] if values.given("point") else D(0)
        ends = nails.HeadAndPoint(values["head"], thick, point)
    nail = nails.Nail(values["shank"], values["length"], ends)
    return [
        Figure("In a kilogram", nails.count_per_kg(nail), "pcs"),
        Figure("One nail", nails.mg_per_piece(nail) / 1000, "g", 3, PIECE),
        Figure("Wire it needs", values["shank"], "mm", 2),
        Figure("In a box", nails.pieces_in(values["box"], nail), "pcs"),
        Figure("Wire for a thousand", D(nails.wire_needed_g(1000, nail, values["scrap"])) / 1000, "kg", 3),
    ]


NAILS = Form(
    "nails",
    "Nails: count and wire",
    (
        _wire("shank", "Shank diameter"),
        Field("length", "Length of the nail", "size", expected=D(60), called=("nail length",)),
        Field("box", "Net mass of a box", "amount", "kg", usual="25", expected=D(25),
              called=("mass of nails",)),
        Field("scrap", "Whiskers and rejects", "number", "%", usual="0", expected=D(1), called=("scrap",)),
        Field("head", "Head diameter", "size", hint="May be left empty: then the head adds what the point "
              "takes", optional=True, called=("head diameter",)),
        Field("head_thick", "Head thickness", "size", optional=True, expected=D(1),
              called=("head thickness",), zero=True),
        Field("point", "Length of the point", "size", optional=True, called=("point length",), zero=True),
    ),
    _of_nails,
    "A nail counts as a plain cylinder of its shank, density × π d² / 4 × length; head and point are added "
    "where they are known. Published counts agree within 3 %, thin short nails within 7 %.",
    (STEEL,),
    sizes_of.is_nail,
    lambda product: dict(zip(("shank", "length"), sizes_of.sides(product), strict=False)),
)  # fmt: skip


# ---------------------------------------------------------------- barbed wire


def _of_barbed(values: Values) -> list[Figure]:
    points = int(values["points"]) if values["points"] in (2, 4) else values["points"]
    product = barbed.Barbed(values["line"], values["barb"], points, values["spacing"])
    twist = barbed.Twist(values["take_up"], values["barb_wire"])
    metre = barbed.metre(product, twist)
    grams = D(barbed.roll_g(product, twist, values["length"]))
    return [
        Figure("A roll", grams / 1000, "kg", 2, ITEM),
        Figure("A metre", metre.mg / 1000, "g", 1, METRE),
        Figure("Line wire in a metre", metre.line_wire_mm / 1000, "m", 3),
        Figure("Barb wire in a metre", metre.barb_wire_mm / 1000, "m", 3),
        Figure("Barbs in a roll", barbed.barbs_in(values["length"], values["spacing"]), "pcs"),
    ]


def _fill_barbed(product: Product) -> dict[str, str]:
    line, barb = sizes_of.pair(product)
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
        _wire("line", "Line wire"),
        _wire("barb", "Barb wire"),
        Field("points", "Points of a barb", "number", "", "2 or 4", "4", expected=D(4),
              called=("number of points of a barb",)),
        Field("spacing", "From barb to barb", "size", expected=D(100), called=("spacing of barbs",)),
        _length("200"),
        Field("take_up", "Twist take-up", "number", "", "Line wire drawn in for a metre; weighed rolls tell",
              "1.02", expected=D("1.02"), called=("twist take-up",)),
        Field("barb_wire", "Wire in one barb", "size", usual="120", expected=D(120),
              called=("wire in a barb",)),
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
        "wire": product.wire_mm,
        "core": core,
        "over": over,
        "height": product.width_mm,
        "length": sizes_of.metres(product),
    }


CHAIN_LINK = Form(
    "chain-link",
    "Chain link, galvanised",
    (_wire("wire", "Wire over its zinc", "wire diameter"), _MESH, _HEIGHT, _length("20"), _ALLOWANCE),
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
        _wire("core", "Core wire", "core diameter"),
        _wire("over", "Over the coat", "diameter over the coat", "wire diameter"),
        Field("density", "Density of the compound", "number", "kg/m3", "The compound’s own, from its paper",
              "1400", expected=D(1400), called=("density",)),
        _MESH, _HEIGHT, _length("20"), _ALLOWANCE,
    ),
    _of_coated,
    f"{_BOUND} PVC is density × π/4 (D² − d²).",
    (STEEL, ("constants", {"name": "PVC rigid density"}),
     ("constants", {"name": "PVC plasticised density range"})),
    sizes_of.is_coated_fabric,
    _fill_chain,
)  # fmt: skip


# ---------------------------------------------------------------- fabric mesh


def _wires(values: Values, role: str) -> fabric.Wires:
    pitch = values[f"{role}_pitch"]
    edge = values[f"{role}_edge"] if values.given(f"{role}_edge") else pitch / 2
    return fabric.Wires(values[role], pitch, edge)


def _of_mesh(values: Values) -> list[Figure]:
    long, cross = _wires(values, "long"), _wires(values, "cross")
    found = fabric.counted(fabric.Sheet(values["length"], values["width"], long, cross))
    sheets = amount(values["sheets"], "number of sheets", "pcs", MOST_PIECES)
    sheet = D(found.mass_mg) / 1_000_000
    area = D(values["length"]) * values["width"] / 1_000_000
    return [
        Figure("A sheet", sheet, "kg", 3, PIECE),
        Figure("Sheets together", sheet * sheets, "kg", 1),
        Figure("Long wires", found.long_wires, "pcs"),
        Figure("Cross wires", found.cross_wires, "pcs"),
        Figure("Steel in long wires", D(found.long_mg) / 1_000_000, "kg", 3),
        Figure("Steel in cross wires", D(found.cross_mg) / 1_000_000, "kg", 3),
        Figure("A square metre of this sheet", sheet / area, "kg", 3),
        Figure(
            "A square metre by pitch, as quoted", fabric.quoted_mg_per_m2(long, cross) / 1_000_000, "kg", 3
        ),
    ]


def _fill_mesh(product: Product) -> dict[str, str]:
    width, length = D(product.width_mm), D(product.length_mm or 0)
    return {
        "length": sizes_of.metres(product),
        "width": product.width_mm,
        "long": product.wire_mm,
        "cross": product.wire_mm,
        "long_pitch": sizes_of.pitch_mm(product, "long", width),
        "cross_pitch": sizes_of.pitch_mm(product, "cross", length),
        "sheets": str(product.item_amount or 1),
    }


def _role(role: str) -> tuple[Field, ...]:
    name = role.capitalize()
    pitch, edge = f"pitch of {role} wires", f"edge beside {role} wires"
    return (
        _wire(role, f"{name} wire"),
        Field(f"{role}_pitch", f"Mesh: pitch of {role} wires", "size", expected=D(200), called=(pitch,)),
        Field(f"{role}_edge", f"From the edge to the first {role} wire", "size", optional=True,
              hint="Half a pitch where it is left empty", expected=D(100), called=(edge,), zero=True),
    )  # fmt: skip


MESH = Form(
    "mesh",
    "Fabric mesh: sheet or roll",
    (
        _length(label="Length of a sheet or roll"),
        Field("width", "Width", "amount", "mm", expected=D(2400),
              called=("sheet width", "sheet across its long wires")),
        *_role("long"),
        *_role("cross"),
        Field("sheets", "Sheets", "amount", "pcs", usual="1", expected=D(40), called=("number of sheets",)),
    ),
    _of_mesh,
    "Whole wires are counted, not pitch: (side − edges) / pitch, rounded down, and one more. A formula by "
    "pitch assumes an endless sheet and is light on a narrow roll.",
    (STEEL,),
    sizes_of.is_mesh,
    _fill_mesh,
)  # fmt: skip

FORMS = (WIRE, NAILS, BARBED, CHAIN_LINK, CHAIN_LINK_PVC, MESH)
