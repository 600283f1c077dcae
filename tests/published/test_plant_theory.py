"""Does what the invented plant's products should weigh follow from the published tables, row by row?

Each row names its own source; theory is plausibility, a mass balance weighs both sides. The plant makes a
few of the published sizes; what is computed in a row is checked for all of them.
"""

from decimal import Decimal

import plants
import pytest
from figures import PI, bounds, constant, products, rows, steel_mg_per_metre, whole
from lotroot.processes.parts import Product
from lotroot.reference import Row, table

PLANT = plants.demo_plant()


@pytest.mark.parametrize("row", rows("metric_wire_and_rod", "kind", "diameter_mm"))
def test_every_size_of_wire_and_rod_has_the_mass_of_its_section(row: Row) -> None:
    milligrams = steel_mg_per_metre(Decimal(row["diameter_mm"]))
    assert whole(milligrams) == Decimal(row["steel_kg_per_km"]) * 1000
    assert abs(1_000_000 / milligrams - Decimal(row["m_per_kg"])) < Decimal("0.001")


WIRE_AND_ROD = (
    "wire 2.0", "wire 2.5", "wire 3.8", "wire 5.0", "wire 6.0", "rod 5.5", "rod 6.5", "rod 8.0",
)  # fmt: skip


@pytest.mark.parametrize("row", rows("metric_wire_and_rod", "kind", "diameter_mm", only=WIRE_AND_ROD))
def test_mass_of_wire_and_rod(row: Row) -> None:
    diameter = Decimal(row["diameter_mm"])
    published = Decimal(row["steel_kg_per_km"]) * 1000
    assert whole(steel_mg_per_metre(diameter)) == published
    kinds = {"rod"} if row["kind"] == "rod" else {"stripper", "wire_coil"}
    of_size = [
        product
        for product in PLANT.products.values()
        if product.kind in kinds and product.wire_mm == row["diameter_mm"]
    ]
    assert of_size
    assert {(product.mass_per_metre_mg, product.confidence) for product in of_size} == {
        (published, row.confidence)
    }


def test_mass_of_coated_wire_and_its_parts() -> None:
    """PVC between the core of 2.50 mm and 3.30 mm over the coat."""
    coated = PLANT.product("coated_25")
    steel = steel_mg_per_metre(Decimal("2.5"))
    pvc = constant("PVC rigid density") * PI / 4 * (Decimal(coated.wire_mm) ** 2 - Decimal("2.5") ** 2)
    assert coated.mass_per_metre_mg == whole(steel + pvc)
    assert coated.parts_permille["pvc"] == whole(1000 * pvc / (steel + pvc))


@pytest.mark.parametrize("row", rows("nails", "type", "penny", "length_mm"))
def test_every_nail_is_counted_as_a_plain_cylinder(row: Row) -> None:
    """In inches where it has a penny size: its millimetres are rounded."""
    inches = bool(row["penny"])
    shank = Decimal(row["shank_in"]) * constant("inch") if inches else Decimal(row["shank_mm"])
    length = Decimal(row["length_in"]) * constant("inch") if inches else Decimal(row["length_mm"])
    per_kg = 1_000_000 / (steel_mg_per_metre(shank) * length / 1000)
    assert abs(per_kg - int(row["cylinder_count_per_kg"])) < Decimal("0.6")
    assert abs(per_kg * constant("pound") - Decimal(row["cylinder_count_per_lb"])) < Decimal("0.06")


NAILS = ("metric round 60.00 2.500", "metric round 100.00 3.800")


@pytest.mark.parametrize("row", rows("nails", "type", "length_mm", "shank_mm", only=NAILS))
def test_mass_of_a_nail(row: Row) -> None:
    size = (Decimal(row["shank_mm"]), Decimal(row["length_mm"]))
    milligrams = steel_mg_per_metre(size[0]) * size[1] / 1000
    assert whole(1_000_000 / milligrams) == int(row["cylinder_count_per_kg"])
    nails = [nail for nail in products("nail_lot") if nail_size(nail) == size]
    assert [(nail.mass_per_piece_mg, nail.confidence) for nail in nails] == [(whole(milligrams), "memory")]


def nail_size(nail: Product) -> tuple[Decimal, Decimal]:
    shank, length = nail.size.split(" x ")
    return Decimal(shank), Decimal(length)


@pytest.mark.parametrize("nail", products("nail_lot"), ids=lambda nail: nail.code)
def test_a_nail_keeps_its_theory_through_tumbling_and_packing(nail: Product) -> None:
    """A plain cylinder: the head adds what the point takes (within 3 % of a published count)."""
    shank, length = nail_size(nail)
    milligrams = whole(steel_mg_per_metre(shank) * length / 1000)
    later = [
        product
        for product in products("tumbled_nails") + products("boxed_nails")
        if product.size == nail.size
    ]
    assert {product.mass_per_piece_mg for product in [nail, *later]} == {milligrams}
    assert len(later) == 2


@pytest.mark.parametrize("row", rows("barbed_wire", "standard", "size"))
def test_every_barbed_wire_weighs_its_two_lines_and_its_barbs(row: Row) -> None:
    barb = Decimal(row["barb_length_m"]) * 1000 / Decimal(row["barb_spacing_mm"])
    model = 2 * Decimal(row["line_take_up"]) * steel_mg_per_metre(Decimal(row["line_wire_mm"]))
    model += barb * steel_mg_per_metre(Decimal(row["barb_wire_mm"]))
    assert abs(model / 1000 - Decimal(row["model_g_per_m"])) < Decimal("0.4")
    if row["mass_min_g_per_m"]:
        assert Decimal(row["mass_min_g_per_m"]) < model / 1000 < Decimal(row["mass_max_g_per_m"])


@pytest.mark.parametrize("row", rows("barbed_wire", "standard", "size", only=("IS 278:1978 3",)))
def test_barbed_wire(row: Row) -> None:
    barbed = PLANT.product("barbed_25_20")
    line = 2 * Decimal(row["line_take_up"])
    barb = Decimal(row["barb_length_m"]) * 1000 / Decimal(row["barb_spacing_mm"])
    assert barbed.running_permille == {"line": whole(1000 * line), "barb": whole(1000 * barb)}
    wires = (Decimal(row["line_wire_mm"]), Decimal(row["barb_wire_mm"]))
    model = line * steel_mg_per_metre(wires[0]) + barb * steel_mg_per_metre(wires[1])
    assert abs(model / 1000 - Decimal(row["model_g_per_m"])) < Decimal("0.06")
    assert barbed.mass_per_metre_mg == Decimal(row["model_g_per_m"]) * 1000
    assert bounds(barbed.code, "barbed_mass") == (
        row["mass_min_g_per_m"],
        row["mass_max_g_per_m"],
        row.confidence,
    )
    spacing, either = int(row["barb_spacing_mm"]), int(row["spacing_tol_mm"])
    assert bounds(barbed.code, "barb_spacing") == (
        str(spacing - either),
        str(spacing + either),
        row.confidence,
    )


@pytest.mark.parametrize("row", rows("chain_link", "mesh_mm", "wire_mm"))
def test_every_chain_link_has_the_wire_of_its_mesh(row: Row) -> None:
    length = 2000 / (Decimal(row["mesh_mm"]) + Decimal(row["wire_mm"]))
    assert abs(length - Decimal(row["theory_wire_m_per_m2"])) < Decimal("0.006")
    square = length * steel_mg_per_metre(Decimal(row["wire_mm"])) / 1_000_000
    assert abs(square - Decimal(row["theory_kg_per_m2"])) < Decimal("0.0006")


@pytest.mark.parametrize("row", rows("chain_link", "mesh_mm", "wire_mm", only=("50 2.5",)))
def test_chain_link_by_mesh_and_wire(row: Row) -> None:
    per_square_metre = 2000 / (Decimal(row["mesh_mm"]) + Decimal(row["wire_mm"]))
    assert per_square_metre.quantize(Decimal("0.01")) == Decimal(row["theory_wire_m_per_m2"])
    square = per_square_metre * steel_mg_per_metre(Decimal(row["wire_mm"]))
    assert (square / 1_000_000).quantize(Decimal("0.001")) == Decimal(row["theory_kg_per_m2"])
    roll = PLANT.product("chain_50x25")
    assert roll.running_permille["wire"] == whole(per_square_metre * Decimal("1.8") * 1000)
    assert roll.mass_per_metre_mg == whole(square * Decimal("1.8"))


@pytest.mark.parametrize("code", ["chain_50x25", "chain_50x33_pvc", "barbed_25_20"])
def test_a_roll_is_its_length_times_its_mass_per_metre(code: str) -> None:
    roll = PLANT.product(code)
    assert roll.mass_per_metre_mg and roll.length_mm
    assert roll.item_amount == whole(Decimal(roll.mass_per_metre_mg) * roll.length_mm / 1_000_000)


def test_pvc_chain_link_is_its_wire() -> None:
    roll, wire = PLANT.product("chain_50x33_pvc"), PLANT.product("coated_25")
    running = 2000 / (50 + Decimal(roll.wire_mm)) * Decimal("1.8")
    assert roll.running_permille["wire"] == whole(running * 1000)
    assert roll.mass_per_metre_mg and wire.mass_per_metre_mg
    assert abs(roll.mass_per_metre_mg - running * wire.mass_per_metre_mg) < 50


BY_PITCH = tuple(row["designation"] for row in table("fabric_meshes") if row["standard"] == "BS 4483")


@pytest.mark.parametrize("row", rows("fabric_meshes", "designation", only=BY_PITCH))
def test_every_fabric_of_bs_4483_weighs_its_wires_by_pitch(row: Row) -> None:
    square = sum(
        steel_mg_per_metre(Decimal(row[f"{way}_wire_mm"])) * 1000 / Decimal(row[f"{way}_pitch_mm"])
        for way in ("long", "cross")
    )
    assert abs(square / 1_000_000 / Decimal(row["published_kg_per_m2"]) - 1) < Decimal("0.005")


@pytest.mark.parametrize("row", rows("fabric_meshes", "designation", only=("A142", "A98")))
def test_mesh_is_the_sum_of_its_wires(row: Row) -> None:
    """Wires counted, 12 long and 24 cross, agree with the printed mass per square metre within 0.5 %."""
    sheet = PLANT.product("mesh_" + row["designation"].lower())
    long_m, wide_m = (Decimal(side) for side in row["sheet_m"].split(" x "))
    long_wires = wide_m * 1000 / int(row["long_pitch_mm"])
    cross_wires = long_m * 1000 / int(row["cross_pitch_mm"])
    mass = long_wires * long_m * steel_mg_per_metre(Decimal(row["long_wire_mm"]))
    mass += cross_wires * wide_m * steel_mg_per_metre(Decimal(row["cross_wire_mm"]))
    printed = Decimal(row["published_kg_per_m2"])
    assert abs(mass / 1_000_000 / (long_m * wide_m) / printed - 1) < Decimal("0.005")
    assert abs(Decimal(sheet.mass_per_piece_mg or 0) - mass) < 100
    assert sheet.running_permille == {
        "long": long_wires * 1000,
        "cross": cross_wires * wide_m / long_m * 1000,
    }
    low, high, confidence = bounds(sheet.code, "mesh_mass")
    assert Decimal(low) <= printed <= Decimal(high)
    assert (sheet.confidence, confidence) == (row.confidence, row["mass_confidence"])


FLAT = [
    product
    for product in PLANT.products.values()
    if product.kind in {"sheet_coil", "strip", "tile_blank", "tile_web", "ridge_cap"}
]


@pytest.mark.parametrize("product", FLAT, ids=lambda product: product.code)
def test_flat_steel_is_thickness_times_width(product: Product) -> None:
    per_metre = constant("steel density") * Decimal(product.thickness_mm) * Decimal(product.width_mm)
    if product.mass_per_metre_mg is not None:
        assert product.mass_per_metre_mg == whole(per_metre)
    else:
        assert product.mass_per_piece_mg == whole(per_metre * (product.length_mm or 0) / 1000)


PROFILES = ("trapezoidal sheet NS35-1000", "corrugated sheet 76.2 x 17.5 mm, 10 pitches")


@pytest.mark.parametrize("row", rows("profiles", "family", "profile", only=PROFILES))
def test_a_roofing_sheet_covers_what_its_profile_does(row: Row) -> None:
    code, coil = {
        "trapezoidal sheet": ("sheet_t35", "coil_40x1250"),
        "corrugated sheet": ("sheet_c76", "coil_40x914"),
    }[row["family"]]
    sheet, blank = PLANT.product(code), PLANT.product(coil)
    assert Decimal(sheet.width_mm) == Decimal(row["cover_width_m"]) * 1000
    assert row["blank_width_m"] in ("", str(Decimal(blank.width_mm) / 1000))
    assert sheet.mass_per_piece_mg == (blank.mass_per_metre_mg or 0) * (sheet.length_mm or 0) // 1000
    assert sheet.confidence == (row["blank_confidence"] or row.confidence)


@pytest.mark.parametrize("row", rows("lumber_sizes", "nominal"))
def test_every_lumber_size_has_its_volume_and_its_board_feet(row: Row) -> None:
    thick, wide = (Decimal(row[side]) * constant("inch") for side in ("thick_dry_in", "wide_dry_in"))
    assert abs(thick * wide / 1_000_000 - Decimal(row["actual_m3_per_m"])) < Decimal("0.0000006")
    for side, inches in (("thick_dry_mm", "thick_dry_in"), ("wide_dry_mm", "wide_dry_in")):
        assert abs(Decimal(row[side]) - Decimal(row[inches]) * constant("inch")) <= Decimal("0.75")
    nominal = [nominal_inches(side) for side in row["nominal"].split("x")]
    assert abs(nominal[0] * nominal[1] / 12 - Decimal(row["board_feet_per_ft"])) < Decimal("0.0001")


def nominal_inches(text: str) -> Decimal:
    over, _, under = text.partition("/")
    return Decimal(over) / Decimal(under or 1)


@pytest.mark.parametrize("row", rows("lumber_sizes", "nominal", only=("2x4", "2x6", "4x4")))
def test_lumber_has_its_dressed_volume(row: Row) -> None:
    """Board feet use nominal sizes; wood volume, and so retention, the actual ones."""
    thick, wide = (Decimal(row[side]) * constant("inch") for side in ("thick_dry_in", "wide_dry_in"))
    assert abs(thick * wide / 1_000_000 - Decimal(row["actual_m3_per_m"])) < Decimal("0.0000005")
    packs = [
        pack
        for pack in products("lumber") + products("treated_lumber")
        if pack.size.startswith(row["nominal"] + "x")
    ]
    assert len(packs) == 2
    for pack in packs:
        length = int(pack.size.split(" ")[0].rsplit("x", 1)[1]) * constant("foot")
        assert pack.length_mm == whole(length)
        assert pack.volume_per_piece_mm3 == whole(thick * wide * length)
        assert (pack.thickness_mm, pack.width_mm) == (row["thick_dry_mm"], row["wide_dry_mm"])


PACKS = (
    "nails carton 25", "welded fabric sheet 4.8 x 2.4 m 11.52", "lumber 2x4 pack 294",
    "lumber 2x6 pack 126", "lumber 4x4 pack 48",
)  # fmt: skip


@pytest.mark.parametrize("row", rows("pack_sizes", "product", "pack", "quantity", only=PACKS))
def test_packs_are_of_the_published_size(row: Row) -> None:
    quantity = Decimal(row["quantity"])
    if row["product"] == "nails":
        assert {box.item_amount for box in products("boxed_nails")} == {quantity * 1000}
    elif row["product"] == "welded fabric":
        areas = {(sheet.length_mm or 0) * Decimal(sheet.width_mm) / 1_000_000 for sheet in products("mesh")}
        assert areas == {quantity}
    else:
        nominal = row["product"].removeprefix("lumber ")
        assert [
            pack.pieces_per_item for pack in products("lumber") if pack.size.startswith(nominal + "x")
        ] == [quantity]
