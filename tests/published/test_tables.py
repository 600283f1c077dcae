"""Do the published tables agree with one another, and does each row say how surely it is known?

Tables of gauges have a file of their own; the plant's products and limits are asked beside this one.
"""

from decimal import Decimal
from itertools import pairwise

import pytest
from figures import PI, constant, rows
from lotroot import reference
from lotroot.reference import Row, table

# ---------------------------------------------------------------- every table, and how surely

USED = {
    "test_plant_theory.py": {
        "barbed_wire", "chain_link", "constants", "fabric_meshes", "lumber_sizes", "metric_wire_and_rod",
        "nails", "pack_sizes", "profiles",
    },
    "test_plant_limits.py": {
        "limits", "penetration_rules", "retentions", "sheet_coatings", "treating_limits", "wire_coatings",
        "yields",
    },
    "test_gauges.py": {"wire_gauges", "sheet_gauges"},
    "here": {"chain_link_limits", "oiml_r87_td", "qc_tests"},
    "the program": {"cautions"},
}  # fmt: skip

FROM_MEMORY = {
    "chain_link": 3,
    "chain_link_limits": 5,
    "fabric_meshes": 9,
    "limits": 3,
    "lumber_sizes": 4,
    "nails": 21,
    "pack_sizes": 6,
    "penetration_rules": 1,
    "qc_tests": 12,
    "wire_coatings": 41,
    "yields": 8,
}

PLANT_FROM_MEMORY = {
    ("nails", "metric round, , 60.00"),
    ("nails", "metric round, , 100.00"),
    ("limits", "drawn wire, diameter, 0.076 to under 0.500 in"),
    ("limits", "chain link, mesh opening, 2 in mesh"),
    ("limits", "chain link, fabric height, "),
    (
        "penetration_rules",
        "AWPA T1/U1, southern pine sawn lumber, 2.5 in or 85 % of sapwood, whichever is less",
    ),
}


def test_every_table_is_used() -> None:
    assert set(reference.names()) == set.union(*USED.values())


def test_rows_from_memory_are_marked() -> None:
    marked = {
        name: sum(not row.confirmed for row in table(name))
        for name in reference.names()
        if not all(row.confirmed for row in table(name))
    }
    assert marked == FROM_MEMORY


def test_what_the_plant_takes_from_memory_is_marked() -> None:
    marked = {
        (name, ", ".join(list(row.values.values())[:3]))
        for name in reference.names()
        for row in table(name)
        if not row.confirmed
    }
    assert marked >= PLANT_FROM_MEMORY


@pytest.mark.parametrize("name", reference.names())
def test_a_source_that_is_memory_alone_marks_its_row(name: str) -> None:
    said = [row.confidence for row in table(name) if row.source.startswith("from memory")]
    assert set(said) <= {"memory"}


@pytest.mark.parametrize("name", reference.names())
def test_a_page_is_named_as_what_shows_a_figure_and_never_as_its_address(name: str) -> None:
    for row in table(name):
        assert "http" not in row.source
        assert "scribd.com page" not in row.source


@pytest.mark.parametrize("name", [name for name in reference.names() if name not in ("limits", "cautions")])
def test_the_first_columns_tell_all_rows_of_a_table_apart(name: str) -> None:
    keys = [tuple(row.values.values())[:5] for row in table(name)]
    assert len(set(keys)) == len(keys)


def test_columns_from_memory_in_a_sourced_row_are_marked_by_themselves() -> None:
    by_family = {
        standard: {row["mass_confidence"] for row in table("fabric_meshes") if row["standard"] == standard}
        for standard in ("BS 4483", "DIN 488", "WRI 1975")
    }
    assert by_family["BS 4483"] == {"memory", "cross-checked"}
    assert "memory" not in by_family["DIN 488"] | by_family["WRI 1975"]
    gost = [row for row in table("profiles") if row["family"] == "trapezoidal sheet"]
    assert {row["blank_confidence"] for row in gost} == {"memory"}
    assert {bool(row["classic_count_per_lb"]) for row in table("nails") if row["classic_confidence"]} == {
        True
    }
    assert {row["classic_confidence"] for row in table("nails") if row["classic_count_per_lb"]} == {"memory"}


# ---------------------------------------------------------------- constants that follow from others

OUNCE_G, POUND_IN = Decimal("28.349523125"), Decimal("0.45359237")

DERIVED = {
    # name: (what it follows from, how near)
    "ounce per square foot": (OUNCE_G / (constant("foot") / 1000) ** 2, "0.0001"),
    "wire length per mass, metric": (4000 / PI, "0.005"),
    "wire length per mass, inch": (1 / (3 * PI), "0.0001"),
    "steel wire mass per square of diameter": (constant("steel density") * PI / 4 / 1_000_000, "0.0000001"),
    "steel sheet mass per inch": (Decimal(490) / 12, "0.0001"),
    "rod of length": (Decimal("16.5") * constant("foot") / 1000, "0.00001"),
    "foot": (12 * constant("inch"), "0.0001"),
    "zinc by strip test, round wire": (constant("steel density") / 4, "3"),
    "pound per square inch": (POUND_IN * Decimal("9.80665") / (constant("inch") / 1000) ** 2, "0.001"),
    "pound": (16 * OUNCE_G / 1000, "0.00000001"),
    "US Standard gauge, weight per inch": (Decimal("5.625") / Decimal("0.140625"), "0.001"),
}

INDEPENDENT = {
    "steel density",
    "zinc coating mass per thickness, ASTM",
    "zinc coating density, EN 10346",
    "zinc with 5 % aluminium coating density",
    "zinc density, trade article",
    "PVC rigid density",
    "PVC rigid density range",
    "PVC plasticised density range",
    "PVC wire coating specific gravity",
    "manufacturers' standard gauge, weight per inch",
    "inch",
}


@pytest.mark.parametrize("name", DERIVED)
def test_a_constant_follows_from_the_others(name: str) -> None:
    expected, near = DERIVED[name]
    assert abs(constant(name) - expected) <= Decimal(near)


def test_every_constant_is_derived_or_named_as_independent() -> None:
    assert {row["name"] for row in table("constants")} == set(DERIVED) | INDEPENDENT


def test_densities_agree_where_two_are_published() -> None:
    low, high = reference.row("constants", name="PVC rigid density range")["value"].split("-")
    assert Decimal(low) <= constant("PVC rigid density") <= Decimal(high)
    per_um, dense = (
        constant("zinc coating mass per thickness, ASTM"),
        constant("zinc coating density, EN 10346"),
    )
    assert abs(per_um / dense - 1) < Decimal("0.01")
    trade = constant("zinc density, trade article") * constant("pound") / (constant("foot") / 1000) ** 3
    assert abs(trade / 1000 / per_um - 1) < Decimal("0.01")


# ---------------------------------------------------------------- one limit in two tables

BARB, STRAND = "barb length from strand centre", "breaking strength of the strand"

SAME = [
    # table, its row, its column; product, characteristic, where and column of limits
    ("chain_link_limits", "height_tolerance_in", ("chain link", "fabric height", ""), "plus_minus"),
    ("chain_link_limits", "tensile_min_psi", ("chain link", "wire tensile strength", ""), "low"),
    ("qc_tests", BARB, ("barbed wire", BARB, ""), "low"),
    ("qc_tests", STRAND, ("barbed wire", STRAND, ""), "low"),
    ("qc_tests", "head eccentricity", ("nails", "head eccentricity", "2.00 mm and over"), "high"),
    ("qc_tests", "wire tensile strength", ("nails", "wire tensile strength", ""), "low"),
]


@pytest.mark.parametrize(("name", "which", "limit", "column"), SAME)
def test_a_limit_is_the_same_in_both_tables(
    name: str, which: str, limit: tuple[str, str, str], column: str
) -> None:
    key, text = ("attribute", "value") if name == "chain_link_limits" else ("characteristic", "typical_limit")
    there = reference.row(name, **{key: which})
    here = reference.row("limits", product=limit[0], characteristic=limit[1], where=limit[2])
    assert Decimal(there[text].removeprefix("+/-").split(" ")[0]) == Decimal(here[column])
    assert there.confidence == here.confidence


def test_pvc_of_the_federal_specification_is_the_limit_in_millimetres() -> None:
    inches = reference.row("chain_link_limits", attribute="pvc_min_thickness_in")["value"].split(" ")[0]
    limit = reference.row("limits", characteristic="coating thickness")
    assert round(Decimal(inches) * constant("inch"), 2) == Decimal(limit["low"])


# ---------------------------------------------------------------- tolerable deficiency


def deficiency(row: Row, nominal: Decimal) -> Decimal:
    """What a pack of this nominal quantity may be short of, by one row, before rounding."""
    share = row["td_percent_of_qn"]
    return nominal * Decimal(share) / 100 if share else Decimal(row["td_absolute"])


def test_the_deficiency_has_no_step_where_two_ranges_of_mass_meet() -> None:
    mass = [row for row in table("oiml_r87_td") if row["quantity_kind"] == "mass or volume"]
    assert len(mass) == 9
    for lower, upper in pairwise(mass):
        assert lower["qn_up_to"] == upper["qn_over"]
        border = Decimal(lower["qn_up_to"])
        assert deficiency(lower, border) == deficiency(upper, border)


@pytest.mark.parametrize(
    ("nominal", "short"),
    [("25000", "250"), ("10000", "150"), ("1000", "15"), ("5000", "75")],
    ids=["a carton of nails", "10 kg", "1 kg", "5 kg"],
)
def test_a_pack_may_be_short_by(nominal: str, short: str) -> None:
    """UK SI 2006/659: 1.5 % from 1 to 10 kg, 150 g to 15 kg, 1 % above."""
    (row,) = [
        row
        for row in table("oiml_r87_td")
        if row["quantity_kind"] == "mass or volume"
        and Decimal(row["qn_over"]) < Decimal(nominal) <= Decimal(row["qn_up_to"] or "Infinity")
    ]
    assert deficiency(row, Decimal(nominal)) == Decimal(short)


@pytest.mark.parametrize("row", rows("yields", "step"))
def test_a_range_of_losses_runs_from_low_to_high(row: Row) -> None:
    assert 0 < Decimal(row["low_percent"]) <= Decimal(row["high_percent"]) < 10
