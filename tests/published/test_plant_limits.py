"""Are the invented plant's limits the published ones, row by row, and marked where they are from memory?

Each row names its own source. That every table in shared/ is used by a test is asked in test_tables.py.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

import plants
import pytest
from figures import PI, bounds, constant, products, rows
from lotroot.reference import Row

PLANT = plants.demo_plant()

LIMITS = {
    # product, characteristic of shared/limits.csv: what it limits here, with the nominal size in mm
    ("drawn wire", "diameter", "0.076 to under 0.500 in"): [
        ("wire_diameter", "wire_25", "2.5"),
        ("wire_diameter", "wire_38", "3.8"),
        ("wire_diameter", "wire_50", "5"),
        ("wire_diameter", "wire_60", "6"),
    ],
    ("fencing wire", "diameter", "2.5 and 2.0 mm"): [
        ("wire_diameter", "galv_25", "2.5"),
        ("wire_diameter", "galv_20", "2"),
    ],
    ("fencing wire", "tensile strength", "soft wire"): [("tensile", "galv_25", "")],
    ("nails", "wire tensile strength", ""): [("tensile", "wire_25", ""), ("tensile", "wire_38", "")],
    ("nails", "shank bend", ""): [("nail_bend", "nail_25x50", "")],
    ("nails", "head eccentricity", "2.00 mm and over"): [("nail_head", "nail_25x50", "")],
    ("nails", "shank diameter", "over 0.076 in"): [
        ("nail_shank", "nail_25x50", "2.5"),
        ("nail_shank", "nail_25x60", "2.5"),
        ("nail_shank", "nail_38x100", "3.8"),
    ],
    ("nails", "length", "2 1/2 in and under"): [
        ("nail_length", "nail_25x50", "50"),
        ("nail_length", "nail_25x60", "60"),
    ],
    ("nails", "length", "over 2 1/2 in"): [("nail_length", "nail_38x100", "100")],
    ("barbed wire", "barb length from strand centre", ""): [("barb_length", "barbed_25_20", "")],
    ("barbed wire", "breaking strength of the strand", ""): [("strand_break", "barbed_25_20", "")],
    ("PVC coated wire", "coating thickness", "fused"): [
        ("pvc_thickness", "coated_25", ""),
        ("pvc_thickness", "chain_50x33_pvc", ""),
    ],
    ("chain link", "mesh opening", "2 in mesh"): [
        ("mesh_opening", "chain_50x25", "50"),
        ("mesh_opening", "chain_50x33_pvc", "50"),
    ],
    ("chain link", "fabric height", ""): [
        ("fabric_height", "chain_50x25", "1800"),
        ("fabric_height", "chain_50x33_pvc", "1800"),
    ],
    ("chain link", "wire tensile strength", ""): [("wire_break", "chain_50x25", "")],
    ("roofing sheet", "length", ""): [
        ("sheet_length", "sheet_t35", "3600"),
        ("sheet_length", "sheet_c76", "3000"),
    ],
    ("roofing sheet", "cover width", ""): [("cover_width", "sheet_c76", "762")],
    ("metal tile", "cover along the slope", ""): [("tile_cover", "tile_wave", "")],
}


@pytest.mark.parametrize("row", rows("limits", "product", "characteristic", "where"))
def test_a_limit_is_the_published_one_and_as_sure(row: Row) -> None:
    """A tolerance in inches is shown in the step the plant reads in, rounded towards the nominal size."""
    for characteristic, product, nominal in LIMITS[row["product"], row["characteristic"], row["where"]]:
        low, high, confidence = bounds(product, characteristic)
        assert confidence == row.confidence
        if row["plus_minus"]:
            either = Decimal(row["plus_minus"]) * (constant("inch") if row["unit"] == "in" else 1)
            assert (low, high) == band(Decimal(nominal), either, Decimal(low))
        elif row["unit"] == "psi":
            newton = (
                Decimal(row["low"])
                * constant("pound per square inch")
                * PI
                / 4
                * Decimal("2.5") ** 2
                / 1_000_000
            )
            assert low == str(newton.quantize(Decimal(1), ROUND_CEILING))
        else:
            assert (low, high) == (row["low"], row["high"])


def band(nominal: Decimal, either: Decimal, step: Decimal) -> tuple[str, str]:
    """The band around a nominal size that lies inside the published one, in the decimals of `step`."""
    return (
        str((nominal - either).quantize(step, ROUND_CEILING)),
        str((nominal + either).quantize(step, ROUND_FLOOR)),
    )


WIRE_ZINC = {"ASTM A121 3 2.5 2.5": "galv_25", "ASTM A641 3 or A 2.03 2.03": "galv_20"}


@pytest.mark.parametrize(
    "row",
    rows(
        "wire_coatings",
        "standard",
        "coating_class",
        "diameter_min_mm",
        "diameter_max_mm",
        only=tuple(WIRE_ZINC),
    ),
)
def test_zinc_on_wire(row: Row) -> None:
    code = {"2.5": "galv_25", "2.03": "galv_20"}[row["diameter_min_mm"]]
    assert bounds(code, "zinc_mass") == (row["min_g_m2"], "", row.confidence)


SHEET_ZINC = ("ASTM A653/A653M-15 Z275", "EN 10346 Z275")


@pytest.mark.parametrize("row", rows("sheet_coatings", "standard", "designation", only=SHEET_ZINC))
def test_zinc_on_sheet(row: Row) -> None:
    for coil in products("sheet_coil"):
        assert coil.coating == row["designation"]
        assert bounds(coil.code, "zinc_triple")[:2] == (row["triple_spot_total_g_m2"], "")
        assert bounds(coil.code, "zinc_single")[:2] == (row["single_spot_total_g_m2"], "")
        assert row["triple_spot_one_side_g_m2"] in ("", bounds(coil.code, "zinc_side")[0])


@pytest.mark.parametrize("row", rows("treating_limits", "step", "parameter"))
def test_before_and_after_treating(row: Row) -> None:
    if row["parameter"] == "drip hold":
        assert PLANT.minutes["drip_hold"] == int(row["low"]) * 60
    else:
        assert bounds(None, "moisture") == (row["low"], row["high"], row.confidence)


@pytest.mark.parametrize("row", rows("retentions", "preservative", "use_category"))
def test_retention_is_of_the_use_category_on_the_pack(row: Row) -> None:
    """1 lb/ft3 is 16.0185 kg/m3; the published columns are rounded apart and judged in kg/m3."""
    grade = f"{row['preservative']}, {row['use_category']}"
    packs = [pack for pack in products("treated_lumber") if pack.grade == grade]
    assert packs
    assert {bounds(pack.code, "retention_assay") for pack in packs} == {
        (row["low_kg_m3"], "", row.confidence)
    }
    assert abs(Decimal(row["low_pcf"]) * Decimal("16.0185") - Decimal(row["low_kg_m3"])) < Decimal("0.05")


@pytest.mark.parametrize("row", rows("penetration_rules", "scheme", "product"))
def test_penetration_counts_borings(row: Row) -> None:
    """At least 80 % of 20 borings; from memory, so nothing is decided on it until it is confirmed."""
    assert int(row["borings_to_pass"]) * 100 == int(row["borings"]) * 80
    for pack in products("treated_lumber"):
        assert bounds(pack.code, "penetration") == (row["borings_to_pass"], "", "memory")


@pytest.mark.parametrize("row", rows("yields", "step", only=("descaling of rod",)))
def test_the_loss_in_drawing_is_the_most_that_scale_takes(row: Row) -> None:
    assert PLANT.process("wire_drawing").margin.loss_permille == Decimal(row["high_percent"]) * 10


# ---------------------------------------------------------------- how surely it is known


def test_whatever_says_from_memory_is_marked_as_memory_in_the_plant() -> None:
    said = [
        (limits.source, limits.confidence)
        for product in PLANT.products.values()
        for limits in product.limits.values()
    ]
    said += [(product.source, product.confidence) for product in PLANT.products.values()]
    said += [(one.limits.source, one.limits.confidence) for one in PLANT.characteristics.values()]
    assert {confidence for source, confidence in said if "from memory" in source} == {"memory"}
