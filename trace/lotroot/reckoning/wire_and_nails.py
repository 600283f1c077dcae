"""What do wire and nails ask for, and what do they come to?"""

from decimal import Decimal

from lotroot.reckoning import sizes_of
from lotroot.reckoning.fields import Field, Values
from lotroot.reckoning.form import METRE, PIECE, Figure, Form
from lotroot.reckoning.usual_fields import (
    STEEL,
    wire_field,
)
from lotroot.theory import (
    drawing,
    nails,
    wire,
)
from lotroot.theory.sizes import refused, shown

D = Decimal

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
        wire_field("wire", "Wire diameter"),
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
        wire_field("shank", "Shank diameter"),
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

FORMS = (WIRE, NAILS)
