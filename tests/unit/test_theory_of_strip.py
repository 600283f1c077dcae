"""Do coils, strips, profiled sheets, tiles and caps come out as they do by hand?"""

from collections.abc import Callable
from decimal import Decimal

import pytest
from lotroot.theory import capping, coil, profile, slitting, tiles
from refusals import check_refused, refuses_no_sizes

D = Decimal
STRIP = profile.Strip(D(1250), D("0.40"))
BLANK = tiles.Blank(D(1340), D(330), D(120))


# ---------------------------------------------------------------- coil and slitting


def test_a_coil_has_one_length_by_its_diameters_and_one_by_its_mass() -> None:
    """OD 1200, ID 508, 0.40 mm: 928,290 mm2 of face are 2320.7 m; 7287 kg of 1000 mm the same."""
    by_diameters = coil.length_by_diameters_mm(1200, 508, D("0.40"))
    mass = coil.mass_by_diameters_g(1200, 508, 1000)
    by_mass = coil.length_by_mass_mm(mass, 1000, D("0.40"))
    assert abs(by_diameters - by_mass) < 2
    assert round(coil.agreement(by_diameters, by_mass).difference_percent, 3) == 0
    lighter = coil.length_by_mass_mm(mass * 98 // 100, 1000, D("0.40"))
    assert round(coil.agreement(by_diameters, lighter).difference_percent, 1) == D("2.0")


def test_lanes_start_at_the_trim_on_the_operator_side() -> None:
    cut = slitting.pattern(1250, [412, 412, 412], 6)
    assert [(lane.from_mm, lane.to_mm) for lane in cut.lanes] == [(6, 418), (418, 830), (830, 1242)]
    assert (cut.operator_trim_mm, cut.drive_trim_mm) == (6, 8)
    assert [lane.width_mm for lane in cut.lanes] == [412, 412, 412]


def test_trim_is_even_where_none_is_given_and_may_be_none() -> None:
    even = slitting.pattern(1250, [412, 412, 412])
    assert (even.operator_trim_mm, even.drive_trim_mm) == (7, 7)
    none = slitting.pattern(990, [330, 330, 330])
    assert (none.operator_trim_mm, none.drive_trim_mm) == (0, 0)
    assert slitting.masses_g(none, 10_001).strips_g == (3334, 3334, 3333)


def test_masses_go_by_width_and_close() -> None:
    """7,287,080 g over 3 x 300 of 1000 mm and 2 x 50 mm of trim."""
    found = slitting.masses_g(slitting.pattern(1000, [300, 300, 300]), 7_287_080)
    assert found == slitting.Masses((2_186_124,) * 3, 364_354, 364_354)
    assert found.total_g == 7_287_080


@pytest.mark.parametrize(("place", "strip"), [(0, None), (6, 0), ("417.9", 0), (418, 1), (1242, None)])
def test_a_fault_across_the_coil_is_in_one_strip_or_in_the_trim(place: object, strip: int | None) -> None:
    assert slitting.lane_at(slitting.pattern(1250, [412, 412, 412], 6), D(str(place))) == strip


# ---------------------------------------------------------------- roll forming


def test_a_sheet_weighs_its_steel_its_zinc_and_its_paint() -> None:
    """1.25 m x (3140 + 275 + 35) g/m2 = 4312.5 g a metre."""
    assert profile.mg_per_m(STRIP) == 3_925_000
    coated = profile.Strip(D(1250), D("0.40"), D(275), D(35))
    assert profile.mg_per_m(coated) == 4_312_500
    assert profile.roof_g_per_m2(4_312_500, 1000) == D("4312.5")


def test_a_bundle_is_its_cut_list() -> None:
    """12 x 3.6 m and 8 x 2.4 m are 62.4 m: 244.92 kg, 62.4 m2 at 1 m of cover."""
    lines = [profile.Line(3600, 12), profile.Line(2400, 8)]
    assert profile.bundle(lines, 3_925_000, 1000) == profile.Bundle(20, 62_400, 244_920, 624_000)


def test_head_and_tail_are_scrap_by_their_length() -> None:
    assert profile.end_scrap_g([420, 310], 3_925_000) == 2865
    assert profile.end_scrap_g([], 3_925_000) == 0


# ---------------------------------------------------------------- tiles and caps


def test_blanks_and_skeleton_are_the_strip() -> None:
    """100 m of 330 mm at 1460 mm a blank: 68 blanks, the last without web; 1.0362 kg a metre."""
    found = tiles.blanking(103_620, 100_000, 330, BLANK)
    assert round(tiles.blanks_per_m(BLANK), 4) == D("0.6849")
    assert (found.blanks, found.blanks_g) == (68, 94_419)
    assert found.blanks_g + found.skeleton_g == 103_620
    assert round(tiles.blank_mg(BLANK, 3140) * 68) == 94_418_544


def test_the_last_blank_needs_no_web_behind_it() -> None:
    assert [tiles.blanks_in(mm, BLANK) for mm in (1339, 1340, 2799, 2800)] == [0, 1, 1, 2]


def test_pressed_tiles_are_blanks_less_rejects() -> None:
    assert tiles.pressed(68, 3) == 65
    assert tiles.pressed(0, 0) == 0


def test_caps_are_stacked_and_timed() -> None:
    assert capping.stacked(127, 10) == capping.Stacks(12, 7)
    assert capping.mass_g(127, 310_860) == 39_479
    assert capping.pieces_per_minute(127, 900) == D("8.466666666666666666666666666666666666667")
    assert capping.longest_s(127, 8) == D("952.5")


@pytest.mark.parametrize(
    ("call", "field", "value", "fits"),
    [
        # coil
        (lambda: coil.face_mm2(508, 1200), "inner diameter", 1200, "less than the outer one, 508 mm"),
        (lambda: coil.face_mm2(508, 508), "inner diameter", 508, "less than"),
        (lambda: coil.length_by_diameters_mm(510, 508, D("1.5")), "sheet thickness", "1.5", "wall, 1 mm"),
        (lambda: coil.agreement(5, 0), "length by mass", 0, "from 1"),
        (lambda: coil.agreement(-5, 5), "length by diameters", -5, "from 1"),
        (lambda: coil.length_by_mass_mm(0, 1000, 1), "coil mass", 0, "from 1"),
        # knives: strips wider than the coil
        (
            lambda: slitting.pattern(1000, [400, 400, D("200.5")]),
            "sum of the strips", "1000.5", "at most the coil, 1000 mm",
        ),
        (
            lambda: slitting.pattern(1000, [400, 400], 201),
            "trim on the operator side", 201, "from 0 to 200 mm",
        ),
        (lambda: slitting.pattern(1000, []), "number of strips", 0, "from 1 to 100"),
        (lambda: slitting.pattern(1000, [400, 0]), "width of strip 2", 0, "from 0.001"),
        (lambda: slitting.pattern(1000, [D("0.0015")]), "width of strip 1", "0.0015", "three decimals"),
        (lambda: slitting.pattern(1000, [400], D("0.00001")), "trim", "0.00001", "three decimals"),
        (lambda: slitting.masses_g(slitting.pattern(1000, [400]), 0), "coil mass", 0, "from 1"),
        (lambda: slitting.lane_at(slitting.pattern(9, [9]), 10), "place across the coil", 10, "0 to 9 mm"),
        # profiles
        (lambda: profile.bundle([], 5, 1000), "cut list", 0, "at least one line"),
        (lambda: profile.Line(0, 5), "sheet length", 0, "from 1 to 50000 mm"),
        (lambda: profile.Line(3600, 0), "number of sheets", 0, "from 1"),
        (lambda: profile.mg_per_m(profile.Strip(D(1250), D("0.4"), D(-1))), "zinc coating", -1, "from 0"),
        (lambda: profile.mg_per_m(profile.Strip(D(1250), D("0.4"), D(0), D(4000))), "paint", 4000, "to 3000"),
        (lambda: profile.weighed_mg_per_m(5, 0), "sheet length", 0, "from 1"),
        (lambda: profile.end_scrap_g([0], 5), "scrap length", 0, "from 1"),
        # tiles and caps
        (lambda: tiles.blanking(5000, 5000, 300, BLANK), "blank width", 330, "at most the strip, 300 mm"),
        (lambda: tiles.Blank(D(0), D(330)), "blank length", 0, "from 0.001"),
        (lambda: tiles.Blank(D(5), D(330), D(-1)), "web behind a blank", -1, "from 0"),
        (lambda: tiles.pressed(10, 11), "number of rejects", 11, "from 0 to 10 pcs"),
        (lambda: tiles.blank_mg(BLANK, 0), "mass of a square metre", 0, "g/m2"),
        (lambda: capping.stacked(5, 0), "caps in a stack", 0, "from 1"),
        (lambda: capping.stacked(-1, 10), "number of caps", -1, "from 0"),
        (lambda: capping.pieces_per_minute(5, 0), "time", 0, "from 1"),
        (lambda: capping.longest_s(5, 0), "least pace", 0, "pcs/min"),
    ],
)  # fmt: skip
def test_a_wrong_size_is_refused(call: Callable[[], object], field: str, value: object, fits: str) -> None:
    check_refused(call, field, value, fits)


def test_no_field_of_strip_takes_what_is_no_size() -> None:
    refuses_no_sizes(lambda value: coil.face_mm2(value, 1), "outer diameter")
    refuses_no_sizes(lambda value: coil.mass_by_diameters_g(1200, 508, value), "width")
    refuses_no_sizes(lambda value: coil.length_by_mass_mm(5000, 1000, value), "sheet thickness")
    refuses_no_sizes(lambda value: slitting.pattern(value, [D(1)]), "coil width")
    refuses_no_sizes(lambda value: slitting.pattern(1000, [value]), "width of strip 1")
    refuses_no_sizes(lambda value: profile.mg_per_m(profile.Strip(value, D("0.4"))), "strip width")
    refuses_no_sizes(lambda value: profile.roof_g_per_m2(5, value), "cover width")
    refuses_no_sizes(lambda value: tiles.Blank(D(100), value), "blank width")
