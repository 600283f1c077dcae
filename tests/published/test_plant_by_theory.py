"""Does the program's own theory give what the invented plant says its products weigh?

The figures in plant.toml were worked out apart from the program, and test_plant_theory.py works them out once
more from the published tables; here they are what theory is held against.
"""

from decimal import Decimal

import plants
import pytest
from figures import constant, products, rows
from lotroot import reference
from lotroot.processes.parts import Product
from lotroot.reference import Row
from lotroot.theory import barbed, chain_link, coil, fabric, lumber, nails, profile, sheet, tiles, wire
from lotroot.theory.sizes import nearest

D = Decimal
PLANT = plants.demo_plant()
ROUND = [one for kind in ("rod", "stripper", "wire_coil") for one in products(kind)]
NAILS = [one for kind in ("nail_lot", "tumbled_nails", "boxed_nails") for one in products(kind)]
FLAT = [one for kind in ("sheet_coil", "strip") for one in products(kind)]
PIECES = [one for kind in ("tile_blank", "tile_web", "ridge_cap") for one in products(kind)]
PACKS = [one for kind in ("lumber", "treated_lumber") for one in products(kind)]


@pytest.mark.parametrize("product", ROUND, ids=lambda product: product.code)
def test_a_metre_of_rod_and_wire(product: Product) -> None:
    assert product.mass_per_metre_mg == nearest(wire.mg_per_m(D(product.wire_mm)))


def test_a_metre_of_coated_wire_and_its_parts() -> None:
    coated = PLANT.product("coated_25")
    steel = wire.mg_per_m(D("2.5"))
    pvc = wire.pvc_mg_per_m(D("2.5"), D(coated.wire_mm), constant("PVC rigid density"))
    assert coated.mass_per_metre_mg == nearest(steel + pvc)
    assert coated.parts_permille == {"steel": 883, "pvc": 117}
    assert nearest(1000 * pvc / (steel + pvc)) == 117


@pytest.mark.parametrize("product", NAILS, ids=lambda product: product.code)
def test_a_nail(product: Product) -> None:
    shank, length = (D(side) for side in product.size.split(" x "))
    nail = nails.Nail(shank, length)
    assert product.mass_per_piece_mg == nearest(nails.mg_per_piece(nail))
    assert nails.fits_wire(nail, D(product.wire_mm), D("0.001"))


def test_barbed_wire_and_its_roll() -> None:
    """The plant took the metre as the table rounds it, 118.1 g."""
    product = PLANT.product("barbed_25_20")
    row = reference.row("barbed_wire", standard="IS 278:1978", size="3")
    twist = barbed.Twist(D(row["line_take_up"]), D(row["barb_length_m"]) * 1000)
    wires = barbed.Barbed(D(row["line_wire_mm"]), D(row["barb_wire_mm"]), 4, D(row["barb_spacing_mm"]))
    metre = barbed.metre(wires, twist)
    assert product.running_permille == {"line": metre.line_wire_mm, "barb": metre.barb_wire_mm}
    assert product.mass_per_metre_mg is not None and product.length_mm and product.item_amount
    assert abs(product.mass_per_metre_mg - metre.mg) < 50
    assert abs(product.item_amount - barbed.roll_g(wires, twist, product.length_mm)) < 10


@pytest.mark.parametrize(
    ("code", "wires"),
    [
        ("chain_50x25", D("2.5")),
        ("chain_50x33_pvc", chain_link.CoatedWire(D("2.5"), D("3.3"), D(1400))),
    ],
)
def test_a_roll_of_chain_link(code: str, wires: chain_link.CoatedWire | Decimal) -> None:
    product = PLANT.product(code)
    assert product.length_mm and product.mass_per_metre_mg
    roll = chain_link.roll(D(50), wires, D(product.width_mm), product.length_mm)
    assert product.item_amount == roll.mass_g
    assert abs(product.mass_per_metre_mg * D(product.length_mm) / 1_000_000 - roll.mass_g) < 1
    assert abs(product.running_permille["wire"] * D(product.length_mm) / 1000 - roll.wire_mm) < 10


@pytest.mark.parametrize("row", rows("fabric_meshes", "designation", only=("A142", "A98")))
def test_a_sheet_of_mesh(row: Row) -> None:
    """12 long wires and 24 cross wires; the plant took the metre of wire to the mg, 0.1 g in 25 kg."""
    product = PLANT.product("mesh_" + row["designation"].lower())
    wires = fabric.Wires(D(row["long_wire_mm"]), D(row["long_pitch_mm"]), D(row["long_pitch_mm"]) / 2)
    assert product.length_mm and product.mass_per_piece_mg
    found = fabric.counted(fabric.Sheet(product.length_mm, int(product.width_mm), wires, wires))
    assert (found.long_wires, found.cross_wires) == (12, 24)
    assert abs(product.mass_per_piece_mg - found.mass_mg) < 100
    lengths = {"long": found.long_wire_mm, "cross": found.cross_wire_mm}
    assert product.running_permille == {
        role: length * 1000 // product.length_mm for role, length in lengths.items()
    }


@pytest.mark.parametrize("product", FLAT, ids=lambda product: product.code)
def test_a_metre_of_strip(product: Product) -> None:
    """As steel alone of the thickness with its coats: a convention of the plant."""
    strip = profile.Strip(D(product.width_mm), D(product.thickness_mm))
    assert product.mass_per_metre_mg == profile.mg_per_m(strip)
    metre_mm = coil.length_by_mass_mm(1_000_000, strip.width_mm, strip.base_mm)
    assert abs(product.mass_per_metre_mg * D(metre_mm) / 1_000_000 - 1_000_000) < 2


@pytest.mark.parametrize("product", PIECES, ids=lambda product: product.code)
def test_a_blank_a_web_and_a_cap(product: Product) -> None:
    blank = tiles.Blank(D(product.length_mm or 0), D(product.width_mm))
    mass = tiles.blank_mg(blank, sheet.steel_g_per_m2(D(product.thickness_mm)))
    assert product.mass_per_piece_mg == nearest(mass)


@pytest.mark.parametrize(("code", "blank"), [("sheet_t35", "coil_40x1250"), ("sheet_c76", "coil_40x914")])
def test_a_roofing_sheet_is_a_bundle_of_one(code: str, blank: str) -> None:
    product, strip = PLANT.product(code), PLANT.product(blank)
    assert strip.mass_per_metre_mg and product.length_mm and product.mass_per_piece_mg
    one = profile.bundle([profile.Line(product.length_mm, 1)], strip.mass_per_metre_mg, D(product.width_mm))
    assert one.mass_g == nearest(D(product.mass_per_piece_mg) / 1000)


@pytest.mark.parametrize("product", PACKS, ids=lambda product: product.code)
def test_a_pack_of_lumber(product: Product) -> None:
    """Sizes of the name in inches and feet; dressed half an inch off, so 2x4 is 1.5 x 3.5 in."""
    thick, wide, feet = (D(part) for part in product.size.split(" ")[0].split("x"))
    dressed = [lumber.full_mm(side - D("0.5")) for side in (thick, wide)]
    piece = lumber.piece_mm3(*dressed, feet * constant("foot"))
    assert product.volume_per_piece_mm3 == nearest(piece)
    assert product.length_mm == nearest(feet * constant("foot"))
