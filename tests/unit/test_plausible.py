"""Is only that called implausible which theory, the counter and the outputs before speak against?"""

from decimal import Decimal

import pytest
from lotroot.errors import Refused
from lotroot.processes.definition import Limits
from lotroot.production import plausible
from lotroot.production.deficiency import deficiency_figure


@pytest.mark.parametrize(
    ("nominal", "deficiency"),
    [
        # each span of the table at its ends; percentages are rounded up, by tenths to 1000 g, then whole
        (1, "0.1"),
        (50, "4.5"),
        (51, "4.5"),
        (100, "4.5"),
        (101, "4.6"),
        (200, "9.0"),
        (201, "9"),
        (300, "9"),
        (301, "9.1"),
        (500, "15.0"),
        (501, "15"),
        (1_000, "15"),
        (1_001, "16"),
        (10_000, "150"),
        (10_001, "150"),
        (15_000, "150"),
        (15_001, "151"),
        (25_000, "250"),
        (50_000, "500"),
    ],
)
def test_a_package_may_lack_what_the_table_says(nominal: int, deficiency: str) -> None:
    values = deficiency_figure(nominal).values
    percent, absolute = values["td_percent_of_qn"], values["td_absolute"]
    assert plausible.tolerable_deficiency(nominal, percent, absolute) == Decimal(deficiency)


def test_a_package_of_nothing_has_no_deficiency() -> None:
    with pytest.raises(Refused, match="package of nothing"):
        deficiency_figure(0)


@pytest.mark.parametrize(
    ("weight", "light", "heavy"),
    [
        (24_499, True, False),
        (24_500, False, False),
        (25_000, False, False),
        (25_500, False, False),
        (25_501, False, True),
    ],
)
def test_a_box_of_25_kg_is_odd_beyond_twice_250_g(weight: int, light: bool, heavy: bool) -> None:
    asked = weight, 25_000, Decimal(250)
    assert (plausible.light(*asked), plausible.heavy(*asked)) == (light, heavy)


def test_a_stripper_of_480_kg_of_2_5_mm_wire_is_12_5_km() -> None:
    assert plausible.length_of(480_000, 38_534) == 12_456_531
    assert plausible.pieces_of(25_000, 1_927) == 12_973


def limits(low: str | None, high: str | None) -> Limits:
    return Limits(low, high, "", "plant")


@pytest.mark.parametrize(
    ("wire", "bounds", "permille"),
    [
        ("2.5", [("2.45", "2.55")], "40"),  # 2 % of the diameter is 4 % of the mass
        ("2.5", [("2.45", "2.52")], "40"),  # the wider side counts
        ("2.5", [("48.5", "51.5"), ("2.4", "2.6")], "80"),  # a nail's length is no diameter
        ("2.5", [("2.45", None)], "0"),
        ("2.5", [], "0"),
        ("", [("2.45", "2.55")], "0"),
    ],
)
def test_an_error_of_the_diameter_counts_twice(
    wire: str, bounds: list[tuple[str | None, str | None]], permille: str
) -> None:
    assert plausible.wire_permille(wire, [limits(*each) for each in bounds]) == Decimal(permille)


@pytest.mark.parametrize(
    ("one", "other", "far"),
    [(1_060, 1_000, False), (1_061, 1_000, True), (939, 1_000, True), (940, 1_000, False)],
)
def test_two_measures_are_apart_beyond_the_tolerance_only(one: int, other: int, far: bool) -> None:
    assert plausible.apart(one, other, Decimal(60)) is far


@pytest.mark.parametrize(
    ("weight", "others", "far"),
    [
        (480, [470, 480, 490], False),
        (1_440, [470, 480, 490], False),
        (1_441, [470, 480, 490], True),
        (160, [470, 480, 490], False),
        (159, [470, 480, 490], True),
        (48, [480, 480], False),  # two make no habit
        (48, [], False),
        (480, [48, 480, 470], False),  # one slip before does not make the next one odd
    ],
)
def test_a_weight_is_far_off_beyond_three_times_or_a_third_of_the_usual(
    weight: int, others: list[int], far: bool
) -> None:
    assert plausible.far_off(weight, plausible.usual_of(others)) is far


@pytest.mark.parametrize(
    ("pieces", "minutes", "fast"), [(6_000, 10, False), (6_001, 10, True), (1, 0, True), (0, 0, False)]
)
def test_a_machine_of_400_a_minute_makes_no_more_than_half_as_many_again(
    pieces: int, minutes: int, fast: bool
) -> None:
    assert plausible.too_fast(pieces, 400, minutes * 60_000_000) is fast


def _limit(low: str | None, high: str | None) -> Limits:
    return Limits(low, high, "the test's own", "memory")


@pytest.mark.parametrize(
    ("thick", "coats", "permille"),
    [
        ([], [], "0"),
        ([("0.37", "0.43")], [], "75"),  # 0.03 of 0.40 mm
        ([("0.39", "0.43")], [], "75"),  # the wider side counts
        ([("3595", "3605"), ("995", "1005")], [], "0"),  # a length is no thickness
        ([("0.37", None)], [], "0"),
        ([], [("275", None)], "0"),  # a coat that has no most says nothing
        ([], [("275", "432")], "50"),  # 157 g/m2 on 3140 of steel
        ([("0.37", "0.43")], [("275", "432")], "125"),
    ],
)
def test_a_sheet_may_weigh_what_its_thickness_and_coat_may(
    thick: list[tuple[str, str]], coats: list[tuple[str, str]], permille: str
) -> None:
    limits = ([_limit(*one) for one in some] for some in (thick, coats))
    assert plausible.sheet_permille("0.40", *limits) == Decimal(permille)


def test_a_sheet_of_unknown_thickness_is_allowed_nothing_more() -> None:
    assert plausible.sheet_permille("", [_limit("0.37", "0.43")], []) == 0
