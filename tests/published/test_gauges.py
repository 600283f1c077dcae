"""Do the gauges that the program knows agree with an outside library and with published figures?

The library is `fluids` 1.3.1, table `fluids.piping.wire_schedules`. Its key `SWG` is the *US steel* wire
gauge and `BSWG` the British Imperial one (BS 3737); sizes above 0 are keyed as fractions. Units are those
of `pint`.
"""

from decimal import Decimal

import pint
import pytest
from figures import constant, rows
from fluids.piping import wire_schedules
from lotroot.reference import Row, table
from lotroot.theory.gauges import SHEET, awg_mm, gauges_numbered, read_size, size_mm

LIBRARY = {"US": "SWG", "SWG": "BSWG", "BWG": "BWG", "AWG": "AWG"}
FRACTIONS = {"7/0": 0.143, "6/0": 0.167, "5/0": 0.2, "4/0": 0.25, "3/0": 0.33, "2/0": 0.5}
UNITS = pint.UnitRegistry(non_int_type=Decimal)


def in_library(system: str) -> dict[float, tuple[Decimal, Decimal]]:
    """Of each gauge of a system: inches and millimetres as the library has them."""
    numbers, inches, metres, *_ = wire_schedules[LIBRARY[system]]
    return {
        number: (Decimal(str(inch)), Decimal(str(metre)) * 1000)
        for number, inch, metre in zip(numbers, inches, metres, strict=True)
    }


WHOLE = [row for row in table("wire_gauges") if " " not in row["gauge"]]


@pytest.mark.parametrize("row", [pytest.param(row, id=f"{row['gauge']} {row['system']}") for row in WHOLE])
def test_a_wire_gauge_is_what_the_library_has(row: Row) -> None:
    """fluids 1.3.1; its millimetres are rounded to seven figures of a metre."""
    key = FRACTIONS.get(row["gauge"]) or float(row["gauge"].replace("/0", ""))
    inches, millimetres = in_library(row["system"])[key]
    assert Decimal(row["diameter_in"]) == inches
    read = size_mm(f"{row['gauge']} {row['system']}", "wire")
    assert abs(read - millimetres) < Decimal("0.0012") * max(1, read / 5)


@pytest.mark.parametrize("system", LIBRARY)
def test_no_gauge_of_the_library_is_missing(system: str) -> None:
    """Down to 36, where the tables end."""
    ours = [row for row in WHOLE if row["system"] == system]
    assert len(ours) == sum(number <= 36 for number in in_library(system))


@pytest.mark.parametrize("row", rows("wire_gauges", "gauge", "system"))
def test_millimetres_are_the_inches_of_the_row(row: Row) -> None:
    inches = UNITS.Quantity(Decimal(row["diameter_in"]), "inch")
    assert abs(inches.to("millimeter").magnitude - Decimal(row["diameter_mm"])) <= Decimal("0.00005")


@pytest.mark.parametrize("order", range(-3, 41))
def test_an_american_gauge_is_its_formula(order: int) -> None:
    """0.005 in x 92^((36 - n)/39) against the library: within half of its last figure, and of ours."""
    number = str(order) if order >= 0 else f"{1 - order}/0"
    inches, _ = in_library("AWG")[FRACTIONS.get(number, float(max(order, 0)))]
    last = max(Decimal(1).scaleb(int(inches.as_tuple().exponent)), Decimal("0.00001"))
    assert abs(awg_mm(order) / constant("inch") - inches) <= last / 2 + Decimal("0.000002")
    assert size_mm(f"{number} AWG", "wire") == awg_mm(order)


@pytest.mark.parametrize(
    ("order", "inches"),
    # The definition's two ends: No. 36 is 0.0050 in and No. 0000 is 0.4600 in; 39 equal steps between.
    [(36, "0.0050"), (-3, "0.4600")],
)
def test_the_american_gauge_is_fixed_at_both_ends(order: int, inches: str) -> None:
    assert awg_mm(order) == Decimal(inches) * constant("inch")


def test_the_area_of_american_gauges_falls_by_a_fifth_a_step() -> None:
    """20.7 % (facts of the geometric definition: 1 - 92^(-2/39))."""
    for order in range(-3, 36):
        fall = 1 - (awg_mm(order + 1) / awg_mm(order)) ** 2
        assert abs(fall - Decimal("0.207")) < Decimal("0.005")


@pytest.mark.parametrize(
    ("number", "us", "swg", "bwg", "awg"),
    [
        # a comparative table of wire gauges, in inches, as shown on a public trade page
        ("6", "0.1920", "0.192", "0.203", "0.1620"),
        ("9", "0.1483", "0.144", "0.148", "0.1144"),
        ("12", "0.1055", "0.104", "0.109", "0.0808"),
        ("14", "0.0800", "0.080", "0.083", "0.0641"),
        ("16", "0.0625", "0.064", "0.065", "0.0508"),
    ],
)
def test_one_number_is_four_wires(number: str, us: str, swg: str, bwg: str, awg: str) -> None:
    meant = {gauge.system: gauge.mm / constant("inch") for gauge in gauges_numbered(number)}
    for system, inches in (("US", us), ("SWG", swg), ("BWG", bwg), ("AWG", awg)):
        assert abs(meant[system] - Decimal(inches)) < Decimal("0.00006")


@pytest.mark.parametrize(
    ("number", "inches"),
    # ASTM A510/A510M-18 Table 1
    [("9 1/2", "0.142"), ("11 1/2", "0.113"), ("12 1/2", "0.099"), ("14 1/2", "0.076")],
)
def test_a_half_gauge_lies_between_its_neighbours(number: str, inches: str) -> None:
    whole = int(number.split(" ", maxsplit=1)[0])
    half, thicker, thinner = (size_mm(f"{one} US", "wire") for one in (number, str(whole), str(whole + 1)))
    assert half == Decimal(inches) * constant("inch")
    assert abs(half - (thicker + thinner) / 2) < Decimal("0.001") * constant("inch")


@pytest.mark.parametrize("row", rows("nails", "type", "penny", "us_steel_wire_gauge"))
def test_a_nail_is_made_of_the_gauge_beside_it(row: Row) -> None:
    """Common nails: size and gauge are two columns of one published table; 10 1/4 is no gauge of A510."""
    if row["us_steel_wire_gauge"] not in ("", "10 1/4"):
        wire = size_mm(f"{row['us_steel_wire_gauge']} US", "wire")
        assert abs(wire - Decimal(row["shank_in"]) * constant("inch")) < Decimal("0.03")


@pytest.mark.parametrize("row", rows("chain_link", "mesh", "us_steel_wire_gauge"))
def test_chain_link_is_woven_of_the_gauge_beside_it(row: Row) -> None:
    """RR-F-191/1F and the manual of the chain-link manufacturers institute."""
    if row["us_steel_wire_gauge"]:
        wire = size_mm(f"{row['us_steel_wire_gauge']} US", "wire")
        assert abs(wire - Decimal(row["wire_mm"])) < Decimal("0.02")


# ---------------------------------------------------------------- sheet

MSG = [row for row in table("sheet_gauges") if row["system"] == "MSG"]


@pytest.mark.parametrize("row", [pytest.param(row, id=row["gauge"]) for row in MSG])
def test_the_manufacturers_gauge_is_a_weight(row: Row) -> None:
    """Thickness is weight over 41.82 lb/ft2 per inch, as shown on offroaders.com and roofonline.com."""
    per_inch = constant("manufacturers' standard gauge, weight per inch")
    inches = Decimal(row["nominal_lb_per_ft2"]) / per_inch
    assert abs(inches - Decimal(row["thickness_in"])) < Decimal("0.0002")
    weight = UNITS.Quantity(Decimal(row["nominal_lb_per_ft2"]), "pound / foot ** 2")
    assert abs(weight.to("kilogram / meter ** 2").magnitude - Decimal(row["nominal_kg_per_m2"])) < Decimal(
        "0.001"
    )


@pytest.mark.parametrize("row", [pytest.param(row, id=row["gauge"]) for row in MSG])
def test_galvanized_sheet_is_thicker_by_its_zinc_of_convention(row: Row) -> None:
    """2.5 oz/ft2 at 41.82 lb/ft2 per inch: 0.0037 in (roofonline.com's rule of weights)."""
    bare, coated = (read_size(f"{row['gauge']} {system}", "sheet", of=SHEET).mm for system in ("MSG", "GSG"))
    zinc = Decimal("2.5") / 16 / constant("manufacturers' standard gauge, weight per inch")
    assert abs((coated - bare) / constant("inch") - zinc) < Decimal("0.00015")


@pytest.mark.parametrize("gauge", ["8", "10", "12", "14", "16", "18", "20", "24", "26"])
def test_the_british_sheet_gauge_is_the_wire_gauge_rounded(gauge: str) -> None:
    """As shown on ashmoreandallen.co.uk, against BS 3737."""
    sheet = read_size(f"{gauge} SWG", "sheet", of=SHEET).mm
    assert abs(sheet - size_mm(f"{gauge} SWG", "wire")) <= Decimal("0.011")
