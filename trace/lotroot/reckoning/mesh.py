"""What does welded fabric ask for, and what does it come to?"""

from decimal import Decimal

from lotroot.processes.definition import Product
from lotroot.reckoning import sizes_of
from lotroot.reckoning.fields import Field, Values
from lotroot.reckoning.form import PIECE, Figure, Form
from lotroot.reckoning.usual_fields import (
    STEEL,
    length_field,
    wire_field,
)
from lotroot.theory import (
    fabric,
)
from lotroot.theory.sizes import MOST_PIECES, amount

D = Decimal


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
        "long": product.wire_for("long"),
        "cross": product.wire_for("cross"),
        "long_pitch": sizes_of.pitch_mm(product, "long", width),
        "cross_pitch": sizes_of.pitch_mm(product, "cross", length),
        "sheets": str(product.item_amount or 1),
    }


def _role(role: str) -> tuple[Field, ...]:
    name = role.capitalize()
    pitch, edge = f"pitch of {role} wires", f"edge beside {role} wires"
    return (
        wire_field(role, f"{name} wire"),
        Field(f"{role}_pitch", f"Mesh: pitch of {role} wires", "size", expected=D(200), called=(pitch,)),
        Field(f"{role}_edge", f"From the edge to the first {role} wire", "size", optional=True,
              hint="Half a pitch where it is left empty", expected=D(100), called=(edge,), zero=True),
    )  # fmt: skip


MESH = Form(
    "mesh",
    "Fabric mesh: sheet or roll",
    (
        length_field(label="Length of a sheet or roll"),
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

FORMS = (MESH,)
