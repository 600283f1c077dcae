"""Does a run add up, and how far may its sum be off?

RULES.md 3; uncertainties combine as JCGM 100:2008 (GUM) 5.1.2 and 5.2.2 say. Worked by us on paper.
"""

import plants
import pytest
from lotroot.balance.reconciling import (
    BEYOND,
    WITHIN_SCALES,
    WITHIN_TOLERANCE,
    Known,
    Sides,
    chosen,
    combined,
    difference,
    named_loss,
    verdict,
)
from lotroot.reconciliation.spreads import Reading, scale_off, spread

PLANT = plants.demo_plant()


def test_what_does_not_add_up_is_signed() -> None:
    sides = Sides(loaded=2_000_000, returned=500_000, good=1_450_000, by_product=10_000, scrap=20_000)
    assert sides.used == 1_500_000
    assert difference(sides, loss=12_000) == 8_000
    assert difference(sides, loss=25_000) == -5_000


@pytest.mark.parametrize(
    ("used", "permille", "loss"),
    [(2_000_000, 8, 16_000), (124, 8, 0), (125, 8, 1), (0, 8, 0), (-5_000, 8, 0), (2_000_000, 0, 0)],
)
def test_a_named_loss_is_so_many_thousandths_of_what_was_used(used: int, permille: int, loss: int) -> None:
    assert named_loss(used, permille) == loss


@pytest.mark.parametrize(
    ("weighings", "shares", "off"),
    [
        pytest.param([], [], 0, id="nothing weighed"),
        pytest.param([(1, 500)], [], 500, id="one reading"),
        pytest.param([(4, 500)], [], 1000, id="four readings, twice one"),
        pytest.param([(1, 300)], [400], 500, id="3, 4, 5"),
        pytest.param([(1, 1), (1, 1)], [], 2, id="1.41 is rounded up"),
    ],
)
def test_independent_readings_add_by_their_squares(
    weighings: list[tuple[int, int]], shares: list[int], off: int
) -> None:
    assert combined(weighings, shares) == off


@pytest.mark.parametrize(
    ("left_over", "said"),
    [
        (0, WITHIN_SCALES),
        (500, WITHIN_SCALES),
        (-500, WITHIN_SCALES),
        (501, WITHIN_TOLERANCE),
        (-2000, WITHIN_TOLERANCE),
        (2001, BEYOND),
        (-2001, BEYOND),
    ],
)
def test_a_difference_is_judged_by_the_scales_first(left_over: int, said: str) -> None:
    assert verdict(left_over, spread=500, tolerance=2000) == said


def test_the_way_of_knowing_that_is_off_by_less_decides_and_the_record_where_neither_is() -> None:
    record, theory = Known("weighed", 1000, 40), Known("theory", 990, 20)
    assert chosen((record, theory)) is theory
    assert chosen((record, Known("theory", 990, 40))) is record


@pytest.mark.parametrize(
    ("station", "unit", "off"),
    [
        pytest.param("draw_1", "g", 500, id="a floor scale of half a kilogram"),
        pytest.param("receiving", "g", 5000, id="a gate scale of five"),
        pytest.param("packing", "g", 10, id="a bench scale of ten grams"),
        pytest.param("draw_1", "ml", 0, id="a scale weighs, it tells no volume"),
        pytest.param("furnace", "g", 0, id="no scale"),
        pytest.param("", "g", 0, id="no station"),
    ],
)
def test_a_reading_is_off_by_a_division_of_its_scale(station: str, unit: str, off: int) -> None:
    assert scale_off(PLANT, station, unit) == off


@pytest.mark.parametrize(
    ("readings", "unit", "off"),
    [
        pytest.param([Reading(480_000, "weighed", "draw_1")] * 4, "g", 1000, id="four strippers"),
        pytest.param([Reading(480_000, "weighed", "packing", times=25)], "g", 50, id="25 boxes one by one"),
        pytest.param([Reading(480_000, "weighed", "furnace")], "g", 960, id="2 thousandths without a scale"),
        pytest.param([Reading(480_000, "calculated", "draw_1")], "g", 9600, id="20 thousandths by theory"),
        pytest.param([Reading(100, "calculated", "")] * 2, "g", 4, id="theory is off the same way each time"),
        pytest.param([Reading(101, "calculated", "")], "g", 3, id="rounded up"),
        pytest.param([Reading(300, "counted", "")], "pcs", 0, id="pieces are exact"),
        pytest.param([Reading(300_000, "counted", "")], "g", 3000, id="nominal boxes are not"),
        pytest.param([Reading(300_000, "never heard of", "")], "g", 0, id="an unknown way adds nothing"),
    ],
)
def test_how_far_a_sum_of_readings_may_be_off(readings: list[Reading], unit: str, off: int) -> None:
    assert spread(PLANT, unit, readings) == off
