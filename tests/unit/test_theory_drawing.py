"""Are rows of dies judged, proposed and followed as a die setter would by hand?"""

from collections.abc import Callable
from decimal import Decimal

import pytest
from lotroot.theory import die_schedule, dies, drawing, drawing_stress
from refusals import check_refused, refuses_no_sizes

D = Decimal
LIMITS = drawing.Limits(D(10), D(25), D(90))


def test_the_draft_that_is_too_heavy_is_named_with_what_would_fit() -> None:
    """5.50 to 5.00 mm takes 17.4 %, to 4.10 32.8 %, to 4.00 4.8 %."""
    row = drawing.check_dies(D("5.5"), [D("5"), D("4.1"), D("4")], LIMITS)
    assert [draft.verdict for draft in row.drafts] == ["fits", "too heavy", "too light"]
    assert [round(draft.reduction_percent, 1) for draft in row.drafts] == [D("17.4"), D("32.8"), D("4.8")]
    heavy = row.drafts[1]
    assert (heavy.place, heavy.from_mm, heavy.die_mm) == (2, 5, D("4.1"))
    assert (heavy.smallest_mm, heavy.largest_mm) == (D("4.331"), D("4.743"))  # 5 x sqrt(.75), sqrt(.9)
    assert not row.fits


def test_a_row_that_fits_says_what_it_comes_to() -> None:
    """Rod of 5.5 to wire of 2.5 mm: 79.3 % and 4.84 m for each metre."""
    sizes = [D("4.95"), D("4.4"), D("3.9"), D("3.45"), D("3.05"), D("2.75"), D("2.5")]
    row = drawing.check_dies(D("5.5"), sizes, LIMITS)
    assert row.fits
    assert (row.finishing_mm, round(row.total_percent, 1), row.growth) == (D("2.5"), D("79.3"), D("4.84"))


def test_every_draft_may_fit_and_the_whole_still_be_too_much() -> None:
    strict = drawing.Limits(D(10), D(25), D(30))
    row = drawing.check_dies(D(5), [D("4.5"), D("4.05")], strict)
    assert {draft.verdict for draft in row.drafts} == {"fits"}
    assert not row.total_fits and not row.fits


@pytest.mark.parametrize(
    ("least", "most", "verdict"),
    [("10", "36", "fits"), ("36", "40", "fits"), ("10", "35.99", "too heavy"), ("36.01", "40", "too light")],
)
def test_a_draft_at_a_limit_is_within_it(least: str, most: str, verdict: str) -> None:
    """10 to 8 mm is 36 % to the last digit, and so is the whole of one die."""
    row = drawing.check_dies(10, [8], drawing.Limits(D(least), D(most), max(D(36), D(most))))
    assert row.drafts[0].verdict == verdict
    assert row.total_fits
    if verdict == "fits":
        assert row.drafts[0].smallest_mm <= 8 <= row.drafts[0].largest_mm


def test_a_row_may_take_all_that_may_be_taken_from_the_rod() -> None:
    assert die_schedule.equal_schedule(10, 8, drawing.Limits(D(10), D(36), D(36))) == (8,)


def test_without_a_least_any_die_below_the_one_before_fits() -> None:
    row = drawing.check_dies(D(5), [D("4.99")], drawing.Limits(D(0), D(25), D(90)))
    assert row.drafts[0].largest_mm == D("4.999")


def test_strains_add_up_over_drafts() -> None:
    whole = drawing.true_strain(D("5.5"), D("2.5"))
    parts = drawing.true_strain(D("5.5"), D(4)) + drawing.true_strain(D(4), D("2.5"))
    assert round(whole - parts, 20) == 0


def test_5_5_to_2_5_mm_takes_eight_drafts_of_at_most_20_percent_and_six_of_23_12() -> None:
    """1.577 / 0.2231 = 7.07, so eight, of 17.9 % each; 1 - exp(-1.5769 / 6) is 23.112 %."""
    assert die_schedule.passes(D("5.5"), D("2.5"), D(20)) == 8
    assert die_schedule.passes(D("5.5"), D("2.5"), D("23.12")) == 6
    assert die_schedule.passes(D("5.5"), D("2.5"), D("23.11")) == 7
    row = die_schedule.equal_schedule(D("5.5"), D("2.5"), drawing.Limits(D(10), D(20), D(90)))
    drafts = drawing.check_dies(D("5.5"), row, LIMITS).drafts
    assert [round(draft.reduction_percent, 1) for draft in drafts] == [D("17.9")] * 8


def test_an_equal_draft_taken_so_often_ends_at_the_wire() -> None:
    step = die_schedule.equal_step(D("5.5"), D("2.5"), 8)
    assert round(D("5.5") * step**8, 20) == D("2.5")
    check_refused(lambda: die_schedule.equal_step(D("5.5"), D(2), 0), "number of drafts", 0, "from 1 to 100")


def test_a_limit_met_exactly_counts_as_met() -> None:
    """10 to 8 mm is 36 % to the last digit, 10 to 6.4 mm twice that."""
    assert die_schedule.passes(D(10), D(8), D(36)) == 1
    assert die_schedule.passes(D(10), D("6.4"), D(36)) == 2
    assert die_schedule.passes(D(10), D("6.4"), D("35.99")) == 3


def test_a_tapered_row_takes_less_and_less() -> None:
    row = die_schedule.tapered_schedule(D("5.5"), D("2.5"), drawing.Limits(D(10), D(25), D(90)), D("0.6"))
    drafts = drawing.check_dies(D("5.5"), row, LIMITS).drafts
    taken = [draft.reduction_percent for draft in drafts]
    assert taken == sorted(taken, reverse=True)
    assert row[-1] == D("2.5")
    first, last = drafts[0], drafts[-1]
    ratio = drawing.true_strain(last.from_mm, last.die_mm) / drawing.true_strain(first.from_mm, first.die_mm)
    assert abs(ratio - D("0.6")) < D("0.01")


def test_what_went_through_a_die_is_shorter_at_the_first_one() -> None:
    """1000 kg is 6488 m of 5.0 mm and four times that of 2.5 mm."""
    first, last = (dies.through([400_000, 600_000], size) for size in (D(5), D("2.5")))
    assert first.mass_g == last.mass_g == 1_000_000
    assert abs(last.length_mm - 4 * first.length_mm) <= 4
    assert round(first.length_mm, -3) == 6_488_000
    assert dies.through([], D(5)) == dies.Through(0, 0)


def test_a_die_that_opens_by_2_um_a_tonne_is_due_when_the_wire_meets_its_limit() -> None:
    """2.500 at recut and 2.550 the most: 25 t."""
    readings = [dies.Reading(t * 1_000_000, D("2.500") + t * D("0.002")) for t in (0, 3, 5, 9)]
    line = dies.drift(readings)
    assert line is not None
    assert (line.readings, line.at_recut_mm, line.mm_per_tonne) == (4, D("2.5"), D("0.002"))
    assert line.spread_mm == 0
    assert dies.due_g(line, D("2.55")) == 25_000_000
    assert dies.due_g(line, D("2.49")) == 0


def test_readings_off_the_line_are_fitted_by_least_squares() -> None:
    """By hand: 0.007 / 5 a tonne; 0.0001, 0.0003, 0.0003 and 0.0001 off, squared and over two: 1e-7."""
    sizes = ["2.500", "2.501", "2.503", "2.504"]
    line = dies.drift([dies.Reading(t * 1_000_000, D(size)) for t, size in enumerate(sizes)])
    assert line is not None
    assert (round(line.mm_per_tonne, 6), round(line.at_recut_mm, 6)) == (D("0.0014"), D("2.4999"))
    assert line.spread_mm is not None and round(line.spread_mm, 6) == D("0.000316")


def test_no_line_goes_through_readings_of_one_tonnage_and_none_that_falls_meets_a_limit() -> None:
    assert dies.drift([]) is None
    assert dies.drift([dies.Reading(5, D("2.5")), dies.Reading(5, D("2.6"))]) is None
    two = dies.drift([dies.Reading(0, D("2.51")), dies.Reading(1_000_000, D("2.50"))])
    assert two is not None and two.spread_mm is None
    assert dies.due_g(two, D("2.55")) is None


def test_friction_makes_a_draft_pull_harder() -> None:
    free = drawing_stress.stress_mpa(400, D(10), D(8), 0, 6)
    assert free == drawing_stress.frictionless_mpa(400, D(10), D(8))
    assert drawing_stress.stress_mpa(400, D(10), D(8), D("0.000001"), 6) - free < D("0.01")
    assert drawing_stress.stress_mpa(400, D(10), D(8), D("0.1"), 6) > free


def test_sine_and_cosine_are_those_of_the_circle() -> None:
    """At 45 degrees cot is 1, so B is the friction itself."""
    cot_one = drawing_stress.stress_mpa(100, D(10), D(8), 1, 45)
    assert round(cot_one, 25) == round(100 * 2 * (1 - D("0.64")), 25)


@pytest.mark.parametrize(
    ("call", "field", "value", "fits"),
    [
        # a wire thicker than its rod, and dies that do not fall
        (lambda: drawing.reduction_percent(D("5.5"), D(6)), "diameter after", 6, "before, 5.5 mm"),
        (lambda: drawing.growth(D(5), D(5)), "diameter after", 5, "less than"),
        (lambda: drawing.check_dies(D(5), [D("5.5")], LIMITS), "die 1", "5.5", "less than the rod, 5 mm"),
        (lambda: drawing.check_dies(D(5), [4, 4], LIMITS), "die 2", 4, "less than die 1, 4 mm"),
        (lambda: drawing.check_dies(D(5), [4, D("4.2")], LIMITS), "die 2", "4.2", "less than die 1"),
        (lambda: drawing.check_dies(D(5), [], LIMITS), "number of dies", 0, "from 1 to 40"),
        (lambda: drawing.check_dies(D(5), [4, D("NaN")], LIMITS), "die 2", "NaN", "from 0.01 to 60 mm"),
        (lambda: drawing.check_dies(0, [4], LIMITS), "rod diameter", 0, "from 0.01 to 60 mm"),
        (lambda: die_schedule.passes(D(5), D(6), D(20)), "diameter after", 6, "less than"),
        (lambda: die_schedule.passes(D(60), D("0.01"), D(2)), "finished wire", "0.01", "40 drafts"),
        # limits that are none
        (lambda: drawing.Limits(D(10), D(64), D(90)), "most of a draft", 64, "to 63.2 %"),
        (lambda: drawing.Limits(D(10), D("NaN"), D(90)), "most of a draft", "NaN", "63.2 %"),
        (lambda: drawing.Limits(D(10), D(0), D(90)), "most of a draft", 0, "from 0.001"),
        (lambda: drawing.Limits(D(25), D(20), D(90)), "least of a draft", 25, "from 0 to 20 %"),
        (lambda: drawing.Limits(D(-1), D(20), D(90)), "least of a draft", -1, "from 0"),
        (lambda: drawing.Limits(D(5), D(20), D(100)), "most from the rod", 100, "from 20 to 99.9 %"),
        # schedules that cannot be
        (
            lambda: die_schedule.equal_schedule(D("5.5"), D(1), LIMITS),
            "total reduction", "96.7", "at most 90 % before the wire is annealed",
        ),
        (
            lambda: die_schedule.equal_schedule(D(5), D("4.9"), LIMITS),
            "least of a draft", 10, "at most 3.9 %, the lightest draft",
        ),
        (lambda: die_schedule.tapered_schedule(D(5), D(3), LIMITS, D(0)), "taper", 0, "from 0.1 to 1"),
        (lambda: die_schedule.tapered_schedule(D(5), D(3), LIMITS, D(2)), "taper", 2, "from 0.1 to 1"),
        (lambda: drawing.after_cuts_mm(15, [120], "area"), "reduction", 120, "to 99.9 %"),
        # wear and pull
        (lambda: dies.Reading(-1, D("2.5")), "mass through the die", -1, "from 0"),
        (lambda: dies.Reading(5, D(0)), "diameter read", 0, "from 0.01"),
        (lambda: dies.through([0], D(5)), "mass drawn", 0, "from 1"),
        (lambda: drawing_stress.stress_mpa(400, 10, 8, D("0.1"), 0), "semi-angle", 0, "to 45 degrees"),
        (lambda: drawing_stress.stress_mpa(400, 10, 8, 2, 6), "friction", 2, "from 0 to 1"),
        (lambda: drawing_stress.mean_flow_mpa(0, 0, 1), "flow stress", 0, "MPa"),
        (lambda: drawing_stress.pull_n(D("NaN"), 8), "drawing stress", "NaN", "MPa"),
    ],
)  # fmt: skip
def test_a_wrong_size_is_refused(call: Callable[[], object], field: str, value: object, fits: str) -> None:
    check_refused(call, field, value, fits)


def test_no_field_of_drawing_takes_what_is_no_size() -> None:
    refuses_no_sizes(lambda value: drawing.reduction_percent(value, D(1)), "diameter before")
    refuses_no_sizes(lambda value: drawing.reduction_percent(D(5), value), "diameter after")
    refuses_no_sizes(lambda value: drawing.Limits(D(0), value, D(90)), "most of a draft")
    refuses_no_sizes(lambda value: drawing.Limits(D(0), D(5), value), "most from the rod")
    refuses_no_sizes(lambda value: drawing.check_dies(value, [D(1)], LIMITS), "rod diameter")
    refuses_no_sizes(lambda value: dies.through([1000], value), "wire diameter")
    refuses_no_sizes(lambda value: drawing_stress.mean_flow_mpa(400, D("0.3"), value), "strain")
