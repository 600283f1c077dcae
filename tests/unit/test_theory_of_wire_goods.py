"""Do nails, barbed wire, chain link and fabric come out as by hand, and do weighed rolls give a factor?"""

from collections.abc import Callable
from decimal import Decimal

import pytest
from lotroot.theory import barbed, chain_link, fabric, fitting, nails, wire
from refusals import check_refused, refuses_no_sizes

D = Decimal
NAIL = nails.Nail(D("2.5"), D(50))
BARBED = barbed.Barbed(D("2.5"), D("2.0"), 4, D(75))
TWIST = barbed.Twist(D("1.02"), D(120))
COATED = chain_link.CoatedWire(D("2.5"), D("3.3"), D(1400))
WIRES = fabric.Wires(D(6), D(200), D(100))
SHEET = fabric.Sheet(4800, 2400, WIRES, WIRES)


# ---------------------------------------------------------------- nails


def test_a_box_of_25_kg_holds_12976_nails_of_2_5_by_50() -> None:
    """38.5336 g/m x 0.05 m = 1.92668 g, 519.03 in a kg."""
    assert round(nails.mg_per_piece(NAIL)) == 1927
    assert round(nails.count_per_kg(NAIL), 2) == D("519.03")
    assert nails.pieces_in(25_000, NAIL) == 12_976
    assert nails.mass_g(12_976, NAIL) == 25_001


def test_head_and_point_count_when_they_are_known() -> None:
    """A head of 6.0 x 1.25 mm is 7.2 mm of wire, a point of 3 mm costs 2 mm of it."""
    known = nails.Nail(D("2.5"), D(50), nails.HeadAndPoint(D(6), D("1.25"), D(3)))
    assert nails.wire_mm_per_piece(known) == 50 + D("7.2") - 2
    assert nails.wire_mm_per_piece(NAIL) == 50
    none = nails.Nail(D("2.5"), D(50), nails.HeadAndPoint(D(0), D(0), D(0)))
    assert nails.mg_per_piece(none) == nails.mg_per_piece(NAIL)


def test_wire_for_nails_grows_by_what_is_scrapped() -> None:
    assert nails.wire_needed_g(1_000_000, NAIL) == 1_926_680
    assert nails.wire_needed_g(1_000_000, NAIL, D(4)) == 2_006_958  # / 0.96


@pytest.mark.parametrize(("wire_mm", "fits"), [("2.50", True), ("2.40", True), ("2.39", False), ("3", False)])
def test_a_nail_needs_wire_of_its_shank_within_tolerance(wire_mm: str, fits: bool) -> None:
    assert nails.fits_wire(NAIL, D(wire_mm), D("0.10")) is fits


def test_a_nail_machine_that_made_60_kg_in_two_hours_ran_at_260_a_minute() -> None:
    assert round(nails.pieces_per_minute(60_000, NAIL, 7200)) == 260


# ---------------------------------------------------------------- barbed wire


def test_barbed_wire_names_line_and_barb_wire_apart() -> None:
    """2.04 m x 38.534 + 1.6 m x 24.662 = 78.61 + 39.46 = 118.07 g/m."""
    found = barbed.metre(BARBED, TWIST)
    assert (found.line_wire_mm, found.barb_wire_mm) == (2040, 1600)
    assert (round(found.line_mg), round(found.barb_mg)) == (78_609, 39_458)
    assert round(found.mg) == 118_067
    assert barbed.roll_g(BARBED, TWIST, 200_000) == 23_613
    assert abs(barbed.roll_length_mm(BARBED, TWIST, 23_613) - 200_000) < 5


def test_a_weighed_roll_gives_back_its_take_up() -> None:
    tighter = barbed.Twist(D("1.035"), D(120))
    mass = barbed.roll_g(BARBED, tighter, 400_000)
    assert abs(barbed.take_up(BARBED, D(120), 400_000, mass) - D("1.035")) < D("0.0001")


def test_barbs_are_whole() -> None:
    assert barbed.barbs_in(7620, D("101.6")) == 75
    assert barbed.barbs_in(7619, D("101.6")) == 74
    assert barbed.least_barbs(7620, 127, 92) == 55  # 55.2 of 60: a barb is whole


# ---------------------------------------------------------------- chain link and fabric


def test_a_roll_of_chain_link_is_its_area_times_its_wire() -> None:
    """2000 / 52.5 x 1.8 m x 20 m = 1371.4 m of 38.534 g/m."""
    roll = chain_link.roll(D(50), D("2.5"), D(1800), 20_000)
    assert (roll.wire_mm, roll.steel_g, roll.pvc_g) == (1_371_429, 52_846, 0)
    assert roll.mass_g == 52_846


def test_pvc_is_an_input_of_its_own() -> None:
    """2000 / 53.3 x 36 = 1350.8 m; 38.534 g of steel and 5.102 of PVC a metre."""
    roll = chain_link.roll(D(50), COATED, D(1800), 20_000)
    assert (roll.wire_mm, roll.steel_g, roll.pvc_g) == (1_350_844, 52_053, 6892)
    assert roll.mass_g == 58_945


def test_the_plants_allowance_lengthens_the_wire() -> None:
    bare = chain_link.roll(D(50), D("2.5"), D(1800), 20_000)
    more = chain_link.roll(D(50), D("2.5"), D(1800), 20_000, D("1.05"))
    assert (more.wire_mm, more.steel_g) == (1_440_000, 55_488)
    assert more.mass_g > bare.mass_g


def test_fabric_counts_whole_wires_from_edge_to_edge() -> None:
    """Eleven gaps of 200 mm and two edges of 100 are 2400 mm; 57.6 m of 221.9535 g each way."""
    found = fabric.counted(SHEET)
    assert (found.long_wires, found.cross_wires) == (12, 24)
    assert (found.long_wire_mm, found.cross_wire_mm) == (57_600, 57_600)
    assert found.mass_mg == found.long_mg + found.cross_mg == 2 * 12_784_523


@pytest.mark.parametrize(
    ("across", "pitch", "edge", "wires"),
    [
        (2300, 150, 25, 16),
        (6000, 150, 75, 40),
        (2300, 150, 75, 15),
        (1524, "152.4", 0, 11),
        (200, 200, 100, 1),
    ],
)
def test_wires_side_by_side(across: int, pitch: object, edge: int, wires: int) -> None:
    assert fabric.whole_wires(across, fabric.Wires(D(6), D(str(pitch)), D(edge))) == wires


# ---------------------------------------------------------------- fitting


def test_a_factor_is_the_mean_of_what_rolls_weigh_over_theory() -> None:
    """1.00, 1.02 and 1.04: mean 1.02, deviation 0.02."""
    found = fitting.fit([fitting.Weighed(mass, 50_000) for mass in (50_000, 51_000, 52_000)])
    assert found == fitting.Fit(3, D("1.02"), D("0.02"), D(1), D("1.04"))
    assert fitting.with_factor_g(50_000, found.mean_ratio) == 51_000


def test_one_roll_has_no_deviation() -> None:
    assert fitting.fit([fitting.Weighed(51_000, 50_000)]).deviation is None


@pytest.mark.parametrize(
    ("call", "field", "value", "fits"),
    [
        # nails
        (lambda: nails.Nail(D(5), D(4)), "nail length", 4, "more than its shank, 5 mm"),
        (lambda: nails.Nail(D("2.5"), D("NaN")), "nail length", "NaN", "from 1 to 1000 mm"),
        (
            lambda: nails.Nail(D(3), D(50), nails.HeadAndPoint(D(2), D(1), D(0))),
            "head diameter", 2, "at least its shank, 3 mm",
        ),
        (
            lambda: nails.Nail(D(3), D(50), nails.HeadAndPoint(D(6), D(1), D(51))),
            "point length", 51, "from 0 to 50 mm",
        ),
        (lambda: nails.pieces_in(0, NAIL), "mass of nails", 0, "from 1"),
        (lambda: nails.mass_g(10**9, NAIL), "number of nails", 10**9, "to 10000000 pcs"),
        (lambda: nails.wire_needed_g(5, NAIL, 60), "scrap", 60, "from 0 to 50 %"),
        (lambda: nails.pieces_per_minute(5, NAIL, 0), "time", 0, "from 1"),
        # barbed wire
        (lambda: barbed.Barbed(D(2), D(2), 3, D(75)), "number of points of a barb", 3, "2 or 4"),
        (lambda: barbed.Barbed(D(2), D(2), 4, D(3)), "spacing of barbs", 3, "from 4 to 1000 mm"),
        (lambda: barbed.Barbed(D(2), D(0), 4, D(75)), "barb wire", 0, "from 0.01"),
        (lambda: barbed.Twist(D("0.98"), D(120)), "twist take-up", "0.98", "from 1 to 1.5"),
        (lambda: barbed.roll_g(BARBED, TWIST, 0), "roll length", 0, "from 1"),
        (
            lambda: barbed.take_up(BARBED, D(120), 200_000, 20_000),
            "roll mass", 20_000, "from 23305 to 31012 g",
        ),
        (lambda: barbed.least_barbs(7620, 100, 101), "part of the barbs", 101, "to 100 %"),
        # chain link: a mesh larger than the sheet, a wire as thick as the mesh
        (lambda: chain_link.roll(D(50), D("2.5"), D(40), 20_000), "mesh", 50, "least side, 40 mm"),
        (lambda: chain_link.roll(D(50), D("2.5"), D(1800), 30), "mesh", 50, "least side, 30 mm"),
        (lambda: chain_link.wire_m_per_m2(5, 5), "wire diameter", 5, "less than the mesh, 5 mm"),
        (lambda: chain_link.roll(D(50), D("2.5"), D(1800), 20_000, 3), "weave allowance", 3, "to 2"),
        (
            lambda: chain_link.roll(D(50), chain_link.CoatedWire(D(3), D(2), D(1400)), D(1800), 20_000),
            "diameter over the coat", 2, "more than the core, 3 mm",
        ),
        # fabric
        (
            lambda: fabric.whole_wires(150, WIRES, "long"),
            "pitch of long wires", 200, "at most the sheet, 150 mm",
        ),
        (
            lambda: fabric.whole_wires(2400, fabric.Wires(D(6), D(6), D(0)), "cross"),
            "pitch of cross wires", 6, "more than the wire, 6 mm",
        ),
        (
            lambda: fabric.whole_wires(150, fabric.Wires(D(6), D(50), D(80)), "cross"),
            "edge beside cross wires", 80, "half the sheet, 75 mm",
        ),
        (lambda: fabric.whole_wires(0, WIRES), "sheet across its long wires", 0, "from 1"),
        (lambda: fabric.counted(fabric.Sheet(0, 2400, WIRES, WIRES)), "sheet length", 0, "from 1"),
        (lambda: fabric.counted(fabric.Sheet(4800, 10**9, WIRES, WIRES)), "sheet width", 10**9, "to 5000"),
        (lambda: fabric.sheet_g(0, 4800, 2400), "mass of a square metre", 0, "g/m2"),
        (lambda: fabric.quoted_mg_per_m2(WIRES, fabric.Wires(D(6), D(0), D(0))), "pitch", 0, "from 0.001"),
        # fitting
        (lambda: fitting.fit([]), "number of weighed rolls", 0, "at least one"),
        (lambda: fitting.Weighed(0, 5), "mass of the roll", 0, "from 1"),
        (lambda: fitting.Weighed(5, 10**9), "mass by theory", 10**9, "to 100000000 g"),
        (lambda: fitting.with_factor_g(5, 9), "plant factor", 9, "from 0.3 to 3"),
    ],
)  # fmt: skip
def test_a_wrong_size_is_refused(call: Callable[[], object], field: str, value: object, fits: str) -> None:
    check_refused(call, field, value, fits)


def test_no_field_of_wire_goods_takes_what_is_no_size() -> None:
    refuses_no_sizes(lambda value: nails.Nail(value, D(50)), "shank diameter")
    refuses_no_sizes(lambda value: nails.fits_wire(NAIL, value, D(1)), "wire diameter")
    refuses_no_sizes(lambda value: barbed.Barbed(value, D(2), 4, D(75)), "line wire")
    refuses_no_sizes(lambda value: barbed.Barbed(D(2), D(2), 4, value), "spacing of barbs")
    refuses_no_sizes(lambda value: chain_link.wire_m_per_m2(value, D(2)), "mesh")
    refuses_no_sizes(lambda value: chain_link.roll(D(50), D(2), value, 20_000), "height")
    refuses_no_sizes(lambda value: fabric.wires_mg(1, 1000, value), "wire diameter")
    refuses_no_sizes(lambda value: wire.over_coat_mm(value, D("0.4")), "core diameter")
