"""Are positions on a lot counted from the right end, and never too narrow?"""

import pytest
from lotroot.balance.happenings import End
from lotroot.balance.stretches import Stretch, carried, from_other_end, may_meet, meet, other_end, widened


@pytest.mark.parametrize(("end", "other"), [("outer", "inner"), ("inner", "outer"), ("unknown", "unknown")])
def test_reversed_order_swaps_the_ends(end: End, other: End) -> None:
    assert other_end(end) == other


@pytest.mark.parametrize(
    ("stretch", "difference", "answer"),
    [
        ((0, 300), 0, (700, 1000)),
        ((700, 1000), 0, (0, 300)),
        ((700, 1000), 20, (0, 320)),
        ((700, 1000), -20, (0, 320)),
        ((200, 300), 20, (680, 820)),
        ((900, 1100), 0, (0, 100)),  # it ran past the label
        ((1100, 1200), 0, (0, 0)),
    ],
)
def test_a_position_from_the_other_end_is_give_or_take_the_difference(
    stretch: tuple[int, int], difference: int, answer: tuple[int, int]
) -> None:
    """RULES.md 8, on a lot of 1,000 g."""
    assert from_other_end(Stretch(*stretch), 1000, difference) == answer


@pytest.mark.parametrize(
    ("one", "other", "common"),
    [
        ((0, 10), (5, 20), (5, 10)),
        ((0, 10), (10, 20), None),
        ((0, 30), (10, 20), (10, 20)),
        ((0, 0), (0, 10), None),
    ],
)
def test_stretches_meet_where_they_share_something(
    one: tuple[int, int], other: tuple[int, int], common: tuple[int, int] | None
) -> None:
    assert meet(Stretch(*one), Stretch(*other)) == common
    assert meet(Stretch(*other), Stretch(*one)) == common


def test_a_stretch_is_widened_on_both_sides_but_not_before_the_start() -> None:
    assert widened(Stretch(30, 50), 20) == (10, 70)
    assert widened(Stretch(10, 50), 20) == (0, 70)


@pytest.mark.parametrize(
    ("one", "other", "difference", "answer"),
    [
        (("outer", (0, 100)), ("outer", (50, 60)), 0, True),
        (("outer", (0, 100)), ("outer", (100, 200)), 0, False),
        (("outer", (0, 100)), ("inner", (900, 1000)), 0, True),
        (("outer", (0, 100)), ("inner", (0, 100)), 0, False),
        (("outer", (0, 100)), ("inner", (800, 900)), 0, False),
        (("outer", (0, 100)), ("inner", (800, 900)), 1, True),
        (("unknown", (0, 100)), ("inner", (900, 1000)), 0, True),
        (("unknown", (0, 100)), ("inner", (0, 100)), 0, True),
        (("outer", (0, 100)), ("unknown", (950, 960)), 0, True),
        (("unknown", (0, 100)), ("unknown", (400, 500)), 0, False),
    ],
)
def test_goods_meet_from_either_end_and_an_unknown_end_means_both(
    one: tuple[End, tuple[int, int]], other: tuple[End, tuple[int, int]], difference: int, answer: bool
) -> None:
    sides = [(end, Stretch(*stretch)) for end, stretch in (one, other)]
    assert may_meet(sides[0], sides[1], 1000, difference) is answer
    assert may_meet(sides[1], sides[0], 1000, difference) is answer


@pytest.mark.parametrize(
    ("part", "source", "target", "answer"),
    [
        ((700, 750), (700, 1000), (0, 300), (0, 50)),
        ((0, 5000), (700, 1000), (0, 300), (0, 300)),
        ((10, 11), (0, 100), (0, 10), (1, 2)),  # rounded outwards
        ((10, 20), (0, 100), (50, 60), (51, 52)),
        ((0, 5), (700, 1000), (40, 300), (40, 40)),  # nothing of it
    ],
)
def test_a_part_of_one_side_of_a_link_lies_on_the_other_by_proportion(
    part: tuple[int, int], source: tuple[int, int], target: tuple[int, int], answer: tuple[int, int]
) -> None:
    assert carried(Stretch(*part), Stretch(*source), Stretch(*target)) == answer
