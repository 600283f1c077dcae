"""Which sizes does a product of the plant tell, beyond those that stand in fields of their own?

Theory in plant.toml is turned round: a mesh follows from the wire in a metre, a strip from a sheet's mass.
Names of roles are those of the processes that come with the program.
"""

import re
from decimal import Decimal

from lotroot.processes.definition import Product
from lotroot.theory.constants import steel_kg_per_m3
from lotroot.theory.sizes import shown

_SIDES = re.compile(r"(\d+(?:\.\d+)?) ?x ?(\d+(?:\.\d+)?)(?: ?x ?(\d+(?:\.\d+)?))?")
_PAIR = re.compile(r"(\d+(?:\.\d+)?)/(\d+(?:\.\d+)?)")
_FLAT_OFF = Decimal("0.02")
"""How far a flat piece's mass may be from its sizes (our choice); a profile is a fifth heavier."""


def sides(product: Product) -> tuple[str, ...]:
    """The sides in its size: 2.5 x 50, or 2x4x12; empty where it tells none."""
    found = _SIDES.match(product.size)
    return tuple(part for part in found.groups() if part) if found else ()


def line_and_barb(product: Product) -> tuple[str, str]:
    """Line and barb wire, as the product says or else its size."""
    line, barb = pair(product)
    return product.wires_mm.get("line", line), product.wires_mm.get("barb", barb)


def pair(product: Product) -> tuple[str, str]:
    """The two sizes in a size such as 2.5/2.0 mm: line and barb wire, or core and over the coat."""
    found = _PAIR.search(product.size)
    return (found[1], found[2]) if found else (product.wire_mm, "")


def metres(product: Product) -> str:
    """Its length in m."""
    return shown(Decimal(product.length_mm or 0) / 1000) if product.length_mm else ""


def is_wire(product: Product) -> bool:
    """Round wire or rod of one size."""
    return bool(product.wire_mm and product.mass_per_metre_mg) and not (
        product.width_mm or product.running_permille or product.parts_permille
    )


def is_nail(product: Product) -> bool:
    """A nail: wire, a mass a piece and two sides."""
    return bool(product.wire_mm and product.mass_per_piece_mg) and not product.width_mm


def is_barbed(product: Product) -> bool:
    """Line and barb wire run together."""
    return {"line", "barb"} <= set(product.running_permille)


def is_chain_link(product: Product) -> bool:
    """One wire, woven to a height."""
    return set(product.running_permille) == {"wire"} and bool(product.width_mm and product.wire_mm)


def is_coated_fabric(product: Product) -> bool:
    """Chain link whose size tells core and coat."""
    return is_chain_link(product) and "/" in product.size


def is_mesh(product: Product) -> bool:
    """Long and cross wires welded."""
    return {"long", "cross"} <= set(product.running_permille)


def is_strip(product: Product) -> bool:
    """A coil or strip of one width and thickness; a profile of a wider strip is none."""
    if not (product.width_mm and product.thickness_mm and product.mass_per_metre_mg):
        return False
    square_mm = Decimal(product.width_mm) * Decimal(product.thickness_mm)
    return abs(product.mass_per_metre_mg / (square_mm * steel_kg_per_m3()) - 1) <= _FLAT_OFF


def is_flat_piece(product: Product) -> bool:
    """A piece of sheet as heavy as its own sizes."""
    return _is_piece(product) and abs(strip_mm(product) / Decimal(product.width_mm) - 1) <= _FLAT_OFF


def is_profile(product: Product) -> bool:
    """A piece of sheet made of a wider strip than it covers."""
    return _is_piece(product) and not is_flat_piece(product)


def is_lumber(product: Product) -> bool:
    """Wood with sides, a length and a volume."""
    return bool(product.volume_per_piece_mm3 and product.width_mm and product.thickness_mm)


def _is_piece(product: Product) -> bool:
    sizes = product.width_mm and product.thickness_mm and product.length_mm
    return bool(sizes and product.mass_per_piece_mg)


def strip_mm(product: Product) -> Decimal:
    """How wide a flat strip must be to give a piece its mass."""
    area = Decimal(product.thickness_mm) * Decimal(product.length_mm or 1) * steel_kg_per_m3() / 1000
    return Decimal(product.mass_per_piece_mg or 0) / area


def mesh_mm(product: Product) -> str:
    """The mesh of chain link, of the wire in its metre: 2 x height / wire - wire; a tenth of a mm."""
    running = Decimal(product.running_permille["wire"]) / 1000
    return shown(2 * Decimal(product.width_mm) / running - Decimal(product.wire_mm), 1)


def take_up(product: Product) -> str:
    """Line wire drawn in for a metre of barbed wire."""
    return shown(Decimal(product.running_permille["line"]) / 2000)


def spacing_mm(product: Product) -> str:
    """The middle between the limits of its barb spacing; empty without both."""
    for code, limits in product.limits.items():
        if "spacing" in code and limits.low and limits.high:
            return shown((Decimal(limits.low) + Decimal(limits.high)) / 2)
    return ""


def barb_mm(product: Product) -> str:
    """Wire in one barb, of the barb wire in a metre and the spacing."""
    spacing = spacing_mm(product)
    return shown(Decimal(product.running_permille["barb"]) * Decimal(spacing) / 1000) if spacing else ""


def pitch_mm(product: Product, role: str, along_mm: Decimal) -> str:
    """Pitch of the wires of a role, where half a pitch is left at either edge: side over whole wires."""
    other = Decimal(product.length_mm or 1) if role == "long" else Decimal(product.width_mm or 1)
    metre = Decimal(product.length_mm or 1) / 1000
    wires = Decimal(product.running_permille[role]) * metre / other
    return shown(along_mm / wires, 1) if wires else ""
