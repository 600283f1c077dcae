"""Is every gram of a load given, scrapped, standing, or a difference that is shown?

RULES.md 3, 6 and 7. Worked by us on paper.
"""

from dataclasses import replace

import pytest
from lotroot.balance.closing import differences, standing
from lotroot.balance.feeds import links
from lotroot.balance.happenings import Closed, Difference, Ended, Happening, Margin, Scrapped, Unloaded
from paper_runs import load, made

A, B = load(1, "A", 1000), load(2, "B", 1000)
S1, S2 = made(1, "S1", 600, 0, 60), made(2, "S2", 500, 60, 120)
S3 = made(3, "S3", 40, 120, 124)


@pytest.mark.parametrize(
    ("happenings", "booked", "stands"),
    [
        pytest.param([A, S1], [], {1: 400}, id="on the payoff"),
        pytest.param([A, S1, S2], [], {1: -100}, id="below zero only while it is on"),
        pytest.param(
            [A, S1, Unloaded(1, at=60, remainder=390)], [(1, 10, 2)], {1: 390}, id="short at unloading"
        ),
        pytest.param(
            [A, S1, Unloaded(1, at=60, remainder=415)], [(1, -15, 2)], {1: 415}, id="over at unloading"
        ),
        pytest.param(
            [A, S1, Scrapped(1, 7), Unloaded(1, at=60, remainder=393)], [], {1: 393}, id="scrap is none"
        ),
        pytest.param([A, S1, S2, Closed(130)], [(1, -100, 3)], {1: 0}, id="the shortfall at closing"),
        pytest.param([A, S1, Closed(130)], [], {1: 400}, id="what stands on at closing stands"),
        pytest.param([A, S1, Ended(1, at=60), Closed(130)], [(1, 400, 3)], {1: 0}, id="ended, closed"),
        pytest.param([A, S1, Ended(1, at=60)], [], {1: 400}, id="ended, nothing behind it yet"),
        pytest.param([A, S1, Ended(1, 2, at=60), B], [], {1: 400, 2: 1000}, id="the next welded on"),
        pytest.param(
            [A, S1, Ended(1, 2, at=60), B, S2], [(1, 400, 4)], {1: 0, 2: 500}, id="no margin to pass"
        ),
        pytest.param([S1, Ended(7), Unloaded(8), Scrapped(9, 1)], [], {}, id="nothing was on"),
        pytest.param([A, B, Unloaded(2, at=1, remainder=1000), S1], [], {1: 400, 2: 1000}, id="only waiting"),
    ],
)
def test_a_load_is_closed_when_and_as_the_rules_say(
    happenings: list[Happening], booked: list[tuple[int, int, int]], stands: dict[int, int]
) -> None:
    found = differences("in_turn", happenings)
    assert [(each.load, each.amount, each.booked) for each in found] == booked
    assert standing("in_turn", happenings) == stands


def test_the_ended_coils_difference_waits_until_the_margin_has_passed() -> None:
    """The mark falls at 450 g of S2; with 40 g on the blocks and 10 g loss the last of A can come at 540."""
    run = [A, S1, Ended(1, 2, at=114), B, S2, S3]
    margin = Margin(loss=10, on_blocks=40)
    assert differences("in_turn", run[:5], margin) == ()
    assert sum(link.given for link in links("in_turn", "kept", run, margin) if link.parent == "A") == 1090
    assert differences("in_turn", run, margin) == (Difference(1, "A", -90, 5),)
    assert standing("in_turn", run, margin) == {1: 0, 2: 950}


def test_wire_still_on_the_blocks_after_unloading_is_booked_with_its_output() -> None:
    run = [A, S1, Unloaded(1, at=60, remainder=400), B, S2]
    assert differences("in_turn", run, Margin(on_blocks=40)) == (Difference(1, "A", -40, 4),)
    assert standing("in_turn", run, Margin(on_blocks=40)) == {1: 400, 2: 540}


def test_a_late_output_of_a_settled_coil_brings_a_line_of_its_own() -> None:
    run = [A, replace(S1, of=1), Ended(1, 2, at=60), B, S2, replace(S3, of=1)]
    assert differences("in_turn", run) == (Difference(1, "A", 400, 4), Difference(1, "A", -40, 5))


def test_as_is_gives_the_same_lot_and_touches_nothing() -> None:
    signs = [Scrapped(9, 1), Ended(9), Unloaded(1, remainder=1000)]
    assert links("as_is", "kept", [A, S1, *signs]) == ()
    assert standing("as_is", [A, S1, *signs]) == {1: 1000}
    assert differences("as_is", [A, S1, *signs, Closed(1)]) == ()
