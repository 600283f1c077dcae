"""Which serials are left, and when do two readings of the same goods differ?"""

from itertools import pairwise

import plants
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lotroot.counting.choices import (
    CHOICES,
    DECIDED,
    FOUND,
    KINDS,
    MISSING,
    WEIGHT,
    WRONG_PLACE,
    Found,
    choices_of,
)
from lotroot.counting.scales import differs, least_difference
from lotroot.counting.serials import Span, common, joined, without

spans = st.tuples(st.integers(1, 30), st.integers(0, 9)).map(lambda one: Span(one[0], one[0] + one[1]))


def serials(rows: list[Span]) -> set[int]:
    return {serial for row in rows for serial in range(row.first, row.last + 1)}


@given(spans, st.lists(spans, max_size=6))
def test_rows_of_serials_are_sets_of_serials(whole: Span, others: list[Span]) -> None:
    assert serials(without(whole, others)) == serials([whole]) - serials(others)
    assert serials(common(whole, others)) == serials([whole]) & serials(others)
    assert serials(joined(others)) == serials(others)


@given(spans, st.lists(spans, max_size=6))
def test_rows_neither_meet_nor_overlap(whole: Span, others: list[Span]) -> None:
    for rows in (joined(others), common(whole, others), without(whole, others)):
        assert all(after.first > before.last + 1 for before, after in pairwise(rows))


@pytest.mark.parametrize(
    ("whole", "others", "left"),
    [
        (Span(1, 9), [], [Span(1, 9)]),
        (Span(1, 9), [Span(1, 9)], []),
        (Span(1, 9), [Span(4, 5)], [Span(1, 3), Span(6, 9)]),
        (Span(3, 5), [Span(1, 3), Span(5, 9)], [Span(4, 4)]),
        # a lot without serials is 0 to 0: seen or not
        (Span(0, 0), [], [Span(0, 0)]),
        (Span(0, 0), [Span(0, 0)], []),
    ],
)
def test_what_is_left_of_a_row(whole: Span, others: list[Span], left: list[Span]) -> None:
    assert without(whole, others) == left


@pytest.mark.parametrize(
    ("unit", "recorded", "found", "different"),
    [
        # the gate scale shows steps of 5 kg, the coarsest of the demo plant
        ("g", 2_000_000, 2_005_000, False),
        ("g", 2_000_000, 1_995_000, False),
        ("g", 2_000_000, 1_994_999, True),
        ("ml", 840_000, 850_000, False),
        ("ml", 840_000, 850_001, True),
        # pieces are counted
        ("pcs", 294, 293, True),
        ("pcs", 294, 294, False),
    ],
)
def test_readings_within_a_step_of_the_coarsest_scale_do_not_differ(
    unit: str, recorded: int, found: int, different: bool
) -> None:
    assert differs(plants.demo_plant(), unit, recorded, found) is different


def test_a_plant_without_scales_sees_every_unit() -> None:
    assert least_difference(plants.demo_plant(), "cm3") == 0


@pytest.mark.parametrize(
    ("found", "choices"),
    [
        (Found(MISSING, "T2600000160"), ("looked_for", "here", "written_off")),
        (Found(WEIGHT, "T2600000160"), ("corrected", "kept")),
        (Found(WRONG_PLACE, "T2600000160"), ("moved", "stays")),
        (Found(WRONG_PLACE, "U2600000160"), ("left", "stays")),
        (Found(FOUND, ""), ("brought_back", "left", "stays")),
        (Found(FOUND, "D2600000160"), ("left", "stays")),
        (Found(FOUND, "", voided=True), ("left", "stays")),
    ],
)
def test_what_can_be_decided_follows_from_what_was_found(found: Found, choices: tuple[str, ...]) -> None:
    assert choices_of(found) == choices
    assert set(choices) <= CHOICES.keys() <= DECIDED.keys()
    assert found.kind in KINDS
