"""Does drawing know which coil each stripper is of, also across a weld?

Worked by us on paper. A, B and C are coils of 1,000 g each; times in seconds.
"""

import sys
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from lotroot.balance.closing import differences
from lotroot.balance.feeds import SHARP, links
from lotroot.balance.happenings import Ended, Happening, Link, Made, Margin
from paper_runs import bounds, load, made, rows

A, B, C = load(1, "A", 1000), load(2, "B", 1000), load(3, "C", 1000)
S1 = made(1, "S1", 600, 0, 60)
S2 = made(2, "S2", 500, 60, 120)
S3 = made(3, "S3", 200, 120, 140)
ON_BLOCKS = Margin(loss=10, on_blocks=40)


def drawn(*happenings: Happening, margin: Margin = SHARP) -> tuple[Link, ...]:
    return links("in_turn", "reversed", happenings, margin)


def test_each_stripper_starts_on_the_coil_where_the_last_stopped() -> None:
    assert rows(drawn(A, replace(S1, amount=400), replace(S2, amount=300))) == [
        ("S1", "A", 400, (0, 400), (0, 400)),
        ("S2", "A", 300, (0, 300), (400, 700)),
    ]


def test_a_coil_may_give_more_than_its_label_says() -> None:
    assert rows(drawn(A, replace(S1, amount=1200))) == [("S1", "A", 1200, (0, 1200), (0, 1200))]


@pytest.mark.parametrize(
    ("mark", "output", "of_first"),
    [
        pytest.param(Ended(1, 2, at=90), S2, 250, id="by time: half of it"),
        pytest.param(Ended(1, 2, at=60), S2, 0, id="at its very start"),
        pytest.param(Ended(1, 2, at=120), S2, 500, id="at its very end"),
        pytest.param(Ended(1, 2, at=30), S2, 0, id="entered late, its time before the output began"),
        pytest.param(Ended(1, 2, at=130), S2, 500, id="its time after the output was ended"),
        pytest.param(
            Ended(1, 2, at=90, counter=1200),
            replace(S2, counter_from=1000, counter_to=2000),
            100,
            id="by counter, whatever the time",
        ),
        pytest.param(
            Ended(1, 2, at=90, counter=1200), replace(S2, counter_from=1000), 250, id="one counter missing"
        ),
        pytest.param(
            Ended(1, 2, at=90, counter=900),
            replace(S2, counter_from=1000, counter_to=2000),
            250,
            id="a counter that cannot be: time",
        ),
        pytest.param(
            Ended(1, 2, at=90, counter=5), replace(S2, counter_from=5, counter_to=5), 250, id="it stood still"
        ),
    ],
)
def test_the_stripper_across_a_weld_is_divided_where_the_mark_fell(
    mark: Ended, output: Made, of_first: int
) -> None:
    """RULES.md 7: by counter if read, else by time."""
    found = [link for link in drawn(A, S1, mark, B, output) if link.child == "S2"]
    assert sum(link.given for link in found if link.parent == "A") == of_first
    assert sum(link.given for link in found if link.parent == "B") == 500 - of_first


def test_an_anchored_border_is_sharp_where_the_plant_states_no_margin() -> None:
    found = drawn(A, S1, Ended(1, 2, at=90), B, S2)
    assert rows(found)[1:] == [
        ("S2", "A", 250, (0, 250), (600, 850)),
        ("S2", "B", 250, (250, 500), (0, 250)),
    ]
    assert bounds(found)[1:] == [
        ("S2", "A", 250, 250, 250, "apportioned"),
        ("S2", "B", 250, 250, 250, "apportioned"),
    ]


def test_wire_on_the_blocks_moves_the_border_on_and_the_margin_gives_both_coils() -> None:
    found = drawn(A, S1, Ended(1, 2, at=90), B, S2, S3, margin=ON_BLOCKS)
    assert rows(found) == [
        ("S1", "A", 600, (0, 600), (0, 600)),
        ("S2", "A", 290, (0, 290), (600, 890)),
        ("S2", "A", 0, (290, 340), (890, 940)),
        ("S2", "B", 0, (240, 290), (0, 50)),
        ("S2", "B", 210, (290, 500), (0, 210)),
        ("S3", "B", 200, (0, 200), (210, 410)),
    ]
    assert bounds(found) == [
        ("S1", "A", 600, 600, 600, "weighed"),
        ("S2", "A", 290, 240, 290, "apportioned"),
        ("S2", "A", 0, 0, 50, "bounded"),
        ("S2", "B", 0, 0, 50, "bounded"),
        ("S2", "B", 210, 160, 210, "apportioned"),
        ("S3", "B", 200, 200, 200, "weighed"),
    ]


def test_a_border_on_the_blocks_when_the_stripper_is_taken_off_falls_into_the_next_one() -> None:
    found = drawn(A, S1, Ended(1, 2, at=117), B, S2, S3, margin=ON_BLOCKS)  # 475 g of 500 before the mark
    assert rows(found)[1:] == [
        ("S2", "A", 500, (0, 500), (600, 1100)),
        ("S2", "B", 0, (465, 500), (0, 35)),
        ("S3", "A", 15, (0, 15), (1100, 1115)),
        ("S3", "A", 0, (15, 65), (1115, 1165)),
        ("S3", "B", 0, (0, 15), (0, 50)),
        ("S3", "B", 185, (15, 200), (0, 185)),
    ]


def test_a_stripper_wholly_behind_the_border_can_still_hold_the_ended_coil() -> None:
    found = drawn(A, S1, Ended(1, 2, at=120), B, S2, S3, replace(S3, lot="S4"), margin=Margin(loss=50))
    assert rows(found)[1:] == [
        ("S2", "A", 500, (0, 500), (600, 1100)),
        ("S2", "B", 0, (450, 500), (0, 50)),
        ("S3", "A", 0, (0, 50), (1100, 1150)),
        ("S3", "B", 200, (0, 200), (0, 200)),
        ("S4", "B", 200, (0, 200), (200, 400)),
    ]


def test_a_mark_that_neither_counter_nor_time_can_place_may_lie_anywhere_in_its_output() -> None:
    found = drawn(A, Ended(1, 2, at=5), B, made(1, "S1", 100, 5, 5))
    assert bounds(found) == [("S1", "A", 0, 0, 100, "bounded"), ("S1", "B", 100, 0, 100, "apportioned")]


def test_two_ends_in_one_output_leave_the_coil_between_them_its_part() -> None:
    found = drawn(A, Ended(1, 2, at=20), B, Ended(2, 3, at=40), C, S1)
    assert [(link.parent, link.given) for link in found] == [("A", 200), ("B", 200), ("C", 200)]


@pytest.mark.parametrize(
    "happenings",
    [
        pytest.param((A, B, C, Ended(1, 3, at=30), S1), id="of two that wait"),
        pytest.param((A, B, Ended(1, 3, at=30), C, S1), id="loaded after the mark"),
    ],
)
def test_the_coil_the_mark_names_comes_next(happenings: tuple[Happening, ...]) -> None:
    assert [(each.parent, each.given) for each in drawn(*happenings) if each.given] == [
        ("A", 300),
        ("C", 300),
    ]


def test_nothing_of_the_next_coil_lies_before_the_output_the_mark_fell_into() -> None:
    found = drawn(A, B, S1, Ended(1, 2, at=60), S2, margin=ON_BLOCKS)
    assert rows(link for link in found if link.parent == "B" and link.child == "S2") == [
        ("S2", "B", 0, (0, 40), (0, 40)),
        ("S2", "B", 460, (40, 500), (0, 460)),
    ]


def test_short_pieces_behind_the_border_go_on_along_the_ended_coil() -> None:
    pieces = [made(k, f"S{k}", 20, 100 + 10 * k, 110 + 10 * k) for k in (2, 3, 4)]
    found = drawn(A, S1, Ended(1, 2, at=60), B, *pieces, margin=Margin(loss=50))
    assert rows(link for link in found if link.parent == "A")[1:] == [
        ("S2", "A", 0, (0, 20), (600, 620)),
        ("S3", "A", 0, (0, 20), (620, 640)),
        ("S4", "A", 0, (0, 10), (640, 650)),
    ]


def test_a_mark_timed_after_its_output_leaves_nothing_of_the_coil_for_the_next() -> None:
    found = drawn(A, S1, Ended(1, 2, at=130), B, S2, S3)
    assert [(link.child, link.parent) for link in found] == [("S1", "A"), ("S2", "A"), ("S3", "B")]


# No mark was scanned.


def test_without_a_mark_the_next_coil_follows_where_the_first_is_used_up() -> None:
    found = drawn(A, S1, B, S2, S3, margin=Margin(loss=50))
    assert rows(found) == [
        ("S1", "A", 600, (0, 600), (0, 600)),
        ("S2", "A", 400, (0, 400), (600, 1000)),
        ("S2", "A", 0, (400, 450), (1000, 1050)),
        ("S2", "B", 0, (0, 400), (0, 400)),
        ("S2", "B", 100, (400, 500), (0, 100)),
        ("S3", "B", 200, (0, 200), (100, 300)),
    ]
    assert bounds(found)[1:] == [
        ("S2", "A", 400, 0, 400, "bounded"),
        ("S2", "A", 0, 0, 50, "bounded"),
        ("S2", "B", 0, 0, 400, "bounded"),
        ("S2", "B", 100, 50, 100, "bounded"),
        ("S3", "B", 200, 200, 200, "weighed"),
    ]


def test_an_unmarked_border_never_excludes_a_coil_that_was_on() -> None:
    """Nobody can tell which of the two ran, so a recall of either finds both strippers."""
    found = drawn(A, B, replace(S1, amount=300), replace(S2, amount=300))
    assert [(link.child, link.parent) for link in found] == [
        ("S1", "A"),
        ("S1", "B"),
        ("S2", "A"),
        ("S2", "B"),
    ]


def test_a_mark_after_all_puts_the_first_coil_back_until_there() -> None:
    """Its label was too low: what is written stays, what comes follows the mark."""
    before = drawn(A, B, replace(S1, amount=1100))
    after = drawn(A, B, replace(S1, amount=1100), Ended(1, 2, at=90), S2)
    assert after[: len(before)] == before
    assert rows(after[len(before) :]) == [
        ("S2", "A", 250, (0, 250), (1000, 1250)),
        ("S2", "B", 250, (250, 500), (100, 350)),
    ]


def test_what_a_coil_gave_before_its_turn_was_marked_still_counts_for_its_end() -> None:
    found = drawn(A, B, replace(S1, amount=1100), Ended(1, 2, at=60), C, replace(S2, amount=950))
    assert [(link.parent, link.given) for link in found if link.child == "S2" and link.given] == [
        ("B", 900),
        ("C", 50),
    ]


def test_a_mark_after_all_is_not_bound_by_what_was_reckoned_of_later_coils() -> None:
    """By their labels A and the short coil B were used up in S1; then the end of A is scanned in S2."""
    found = drawn(A, load(2, "B", 50), C, replace(S1, amount=1100), Ended(1, 2, at=90), S2)
    assert [(link.parent, link.given) for link in found if link.child == "S2" and link.given] == [
        ("A", 250),
        ("C", 250),
    ]


def test_short_pieces_behind_an_unmarked_border_go_on_along_the_first_coil() -> None:
    pieces = [made(k, f"S{k}", 20, 100 + 10 * k, 110 + 10 * k) for k in (2, 3)]
    found = drawn(A, B, replace(S1, amount=1000), *pieces, margin=Margin(loss=50))
    assert rows(link for link in found if link.parent == "A")[1:] == [
        ("S2", "A", 0, (0, 20), (1000, 1020)),
        ("S3", "A", 0, (0, 20), (1020, 1040)),
    ]


def long_run(coils: int) -> list[Happening]:
    """Coils welded on one after the other, four strippers of each."""
    found: list[Happening] = []
    for seq in range(1, coils + 1):
        at = 400 * seq
        found.append(load(seq, f"C{seq}", 2000, at=at))
        if seq > 1:
            found.append(Ended(seq - 1, seq, at=at))
        for part in range(4):
            start = at + 100 * part
            found.append(made(4 * seq + part, f"S{seq}.{part}", 500, start, start + 100))
    return found


def calls(work: Callable[[], Any]) -> int:
    """How many functions of ours and Python's are called, which no other load on the machine changes."""
    count = 0

    def called(_frame: Any, event: str, _more: Any) -> None:
        nonlocal count
        count += event == "call"

    sys.setprofile(called)
    work()
    sys.setprofile(None)
    return count


@pytest.mark.parametrize("work", [drawn, lambda *run, margin: differences("in_turn", run, margin)])
def test_ten_times_the_coils_are_not_a_hundred_times_the_work(work: Callable[..., Any]) -> None:
    few, many = (calls(lambda n=n: work(*long_run(n), margin=ON_BLOCKS)) for n in (8, 80))
    assert many < 20 * few
