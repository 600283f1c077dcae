"""Are wire, its coats and flat sheet as heavy as arithmetic by hand makes them?"""

from collections.abc import Callable
from decimal import Decimal

import pytest
from lotroot.theory import constants, sheet, wire
from refusals import check_refused

D = Decimal


def test_a_stripper_of_480_kg_at_2_5_mm_is_twelve_and_a_half_kilometres() -> None:
    """480 kg / (7850 x pi/4 x 2.5^2 mg/m) = 480 / 38.5336 = 12.4567 km."""
    assert wire.length_mm(D("2.5"), 480_000) == 12_456_662
    assert wire.mass_g(D("2.5"), 12_456_662) == 480_000
    assert round(wire.m_per_kg(D("2.5")), 2) == D("25.95")


def test_a_counter_is_compared_with_the_length_by_mass() -> None:
    assert round(wire.counter_off_percent(12_456_662, 480_000, D("2.5")), 5) == 0
    assert round(wire.counter_off_percent(12_000_000, 480_000, D("2.5")), 1) == D("-3.7")


def test_pvc_wire_of_the_facts_weighs_43_6_g_a_metre() -> None:
    """Core 2.50, coat 0.40: steel 38.53 and 1400 x pi/4 x (10.89 - 6.25) = 5.10 g/m."""
    over = wire.over_coat_mm(D("2.5"), D("0.4"))
    pvc = wire.pvc_mg_per_m(D("2.5"), over, constants.constant("PVC rigid density"))
    assert over == D("3.3")
    assert round(pvc) == 5102
    assert round(wire.mg_per_m(D("2.5")) + pvc) == 43636


def test_zinc_on_a_metre_is_its_circumference_times_the_coating() -> None:
    """pi x 2.5 mm x 245 g/m2 = 1924 mg."""
    assert round(wire.zinc_mg_per_m(D("2.5"), 245)) == 1924
    assert wire.zinc_mg_per_m(D("2.5"), 0) == 0


def test_the_strip_test_finds_the_zinc_that_was_put_on() -> None:
    """10 m of 2.5 mm with 245 g/m2: 385,338 mg of steel, 19,242 mg of zinc."""
    assert round(wire.strip_test_g_per_m2(385_338 + 19_242, 385_338, D("2.5"))) == 245
    assert wire.strip_test_g_per_m2(385_338, 385_338, D("2.5")) == 0


def test_a_wire_named_by_its_area_has_the_diameter_of_that_area() -> None:
    assert round(wire.diameter_of_area_mm(wire.area_mm2(D("2.5"))), 12) == D("2.5")


def test_the_base_of_coated_sheet_is_what_the_zinc_leaves() -> None:
    """275 g/m2 over 7.14 is 38.5 um of both sides together."""
    assert round(sheet.base_mm(D("0.40"), 275), 4) == D("0.3615")
    assert round(sheet.zinc_um(275), 2) == D("38.52")
    assert sheet.zinc_um(275, D("6.9")) > sheet.zinc_um(275)


def test_a_gauge_table_calls_sheet_heavier_than_its_steel() -> None:
    share = sheet.gauge_table_g_per_m2(1) / sheet.steel_g_per_m2(1)
    assert round(100 * (share - 1), 1) == D("2.4")


@pytest.mark.parametrize(
    ("call", "field", "value", "fits"),
    [
        # one size against another
        (lambda: wire.pvc_mg_per_m(D("3.3"), D("2.5"), 1400), "diameter over the coat", "2.5", "more than"),
        (lambda: wire.pvc_mg_per_m(D("2.5"), D("2.5"), 1400), "diameter over the coat", "2.5", "more than"),
        (lambda: wire.strip_test_g_per_m2(1000, 1001, D(2)), "mass after stripping", 1001, "at most 1000 mg"),
        (lambda: sheet.base_mm(D("0.01"), 275), "sheet thickness", "0.01", "more than its zinc, 0.039 mm"),
        # beyond any plant
        (lambda: wire.zinc_mg_per_m(D(2), 10**9), "zinc coating", 10**9, "from 0 to 3000 g/m2"),
        (lambda: wire.over_coat_mm(D(2), 0), "coat thickness", 0, "from 0.001 to 10 mm"),
        (lambda: wire.diameter_of_area_mm(D("NaN")), "wire area", "NaN", "mm2"),
        (lambda: wire.counter_off_percent(0, 480_000, D("2.5")), "length by counter", 0, "whole number"),
        (lambda: sheet.steel_g_per_m2(400), "sheet thickness", 400, "from 0.01 to 25 mm"),
        (lambda: sheet.zinc_um(275, 0), "density of zinc", 0, "from 2 to 8 g/cm3"),
        (lambda: sheet.zinc_um_per_side(-1), "zinc coating", -1, "from 0 to 3000"),
        (lambda: sheet.least_one_side_g_per_m2(235, 60), "part on one side", 60, "to 50 %"),
        (lambda: sheet.g_per_m2_of_oz_per_ft2(0), "mass", 0, "oz/ft2"),
    ],
)
def test_a_wrong_size_is_refused(call: Callable[[], object], field: str, value: object, fits: str) -> None:
    check_refused(call, field, value, fits)
