"""What do packs of lumber and round posts ask for, and how much wood is in them?"""

from decimal import Decimal

from lotroot.errors import Unreadable
from lotroot.processes.definition import Product
from lotroot.reckoning import sizes_of
from lotroot.reckoning.fields import Field, Values
from lotroot.reckoning.form import VOLUME, Figure, Form, Rested
from lotroot.theory import lumber
from lotroot.theory.sizes import positive

D = Decimal
INCH: Rested = ("constants", {"name": "inch"})
NEVER = "Board feet by nominal sizes, never for retention"
_PIECES = Field("pieces", "Pieces", "amount", "pcs", expected=D(100), called=("number of pieces",))
_LENGTH = Field(
    "length", "Length", "amount", "m", "In m, or such as 12 ft", expected=D(4), called=("length",)
)


def _side(name: str, label: str, *called: str, optional: bool = False, hint: str = "") -> Field:
    return Field(name, label, "size", "mm", hint, optional=optional, expected=D(90), called=called)


def _nominal(name: str, label: str, unit: str, expected: int) -> Field:
    hint = "Nominal; for trade alone, may be left empty"
    return Field(name, label, "number", unit, hint, optional=True, expected=D(expected))  # fmt: skip


def _in_pack(pieces: int, each: Decimal) -> list[Figure]:
    pack = D(lumber.pack_cm3(pieces, each)) / 1_000_000
    return [
        Figure("Wood in the pack", pack, "m3", 3),
        Figure("One piece", each / 1000, "cm3", 0, VOLUME),
    ]


def _of_pack(values: Values) -> list[Figure]:
    piece = lumber.piece_mm3(values["thick"], values["wide"], values["length"])
    figures = _in_pack(values["pieces"], piece)
    nominal = [values[name] for name in ("thick_in", "wide_in", "length_ft")]
    if None not in nominal:
        for value, name, unit, most in zip(nominal, _NAMES, ("in", "in", "ft"), (40, 40, 100), strict=True):
            positive(value, name, unit, most)
        figures.append(Figure(NEVER, lumber.board_feet(values["pieces"], *nominal), "bd ft", 1))
    return figures


_NAMES = ("thickness in inches", "width in inches", "length in feet")
"""Theory calls all three alike; the message has to say which field."""


def _fill_pack(product: Product) -> dict[str, str]:
    nominal = sizes_of.sides(product)
    return {
        "pieces": str(product.pieces_per_item or ""),
        "thick": product.thickness_mm,
        "wide": product.width_mm,
        "length": sizes_of.metres(product),
        **(
            dict(zip(("thick_in", "wide_in", "length_ft"), nominal, strict=True)) if len(nominal) == 3 else {}
        ),
    }


PACK = Form(
    "lumber",
    "Lumber: wood in a pack",
    (
        _PIECES,
        _side("thick", "Thickness, actual", "thickness", hint="Full size where it is rough-sawn"),
        _side("wide", "Width, actual", "width"),
        _LENGTH,
        _nominal("thick_in", "Thickness in inches", "in", 2),
        _nominal("wide_in", "Width in inches", "in", 4),
        _nominal("length_ft", "Length in feet", "ft", 12),
    ),
    _of_pack,
    "Pieces × actual sizes. Retention goes by the wood that is there; board feet go by nominal sizes and "
    "stand beside, never for retention.",
    (INCH,),
    sizes_of.is_lumber,
    _fill_pack,
)


def _of_posts(values: Values) -> list[Figure]:
    if values.given("middle"):
        return _in_pack(values["pieces"], lumber.pole_mm3(values["middle"], values["length"]))
    if not (values.given("butt") and values.given("top")):
        raise Unreadable(
            "The middle diameter cannot be left empty, nor can both ends.",
            expected="The diameter in the middle, or those of butt and top.",
            next_step="Measure one or the other.",
        )
    each = lumber.tapered_pole_mm3(values["butt"], values["top"], values["length"])
    return _in_pack(values["pieces"], each)


POSTS = Form(
    "posts",
    "Round posts and poles: wood in a pack",
    (
        _PIECES,
        _LENGTH,
        _side("middle", "Diameter in the middle", "middle diameter", optional=True, hint="The better one"),
        _side("butt", "Diameter of the butt", "butt diameter", optional=True, hint="Else both ends"),
        _side("top", "Diameter of the top", "top diameter", optional=True),
    ),
    _of_posts,
    "By the middle: π/4 dm² × length (Huber’s formula). By both ends: (A1 + A2) / 2 × length (Smalian’s), "
    "too much where a pole flares at its butt; where its middle can be reached, measure there.",
    (),
    lambda _: False,
    lambda _: {},
)

FORMS = (PACK, POSTS)
