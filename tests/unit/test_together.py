"""Does barbed wire know its line wires and its barb wire, and mesh the payoff that was changed?

Worked by us on paper: two line wires of 70 g and a barb wire of 60 g a metre of product, 200 g/m together.
"""

from dataclasses import replace

from lotroot.balance.closing import differences
from lotroot.balance.feeds import SHARP, links, per_output
from lotroot.balance.happenings import Closed, Difference, Ended, Margin, Scrapped, Unloaded
from paper_runs import bounds, load, made, rows

LEFT = load(1, "L1", 50_000, role="line", payoff="L1", weight=70)
RIGHT = load(2, "L2", 50_000, role="line", payoff="L2", weight=70)
BARB = load(3, "B1", 50_000, role="barb", payoff="B1", weight=60)
NEXT = load(4, "B2", 50_000, role="barb", payoff="B1", weight=60)
R1 = made(1, "R", 20_000, 0, 100, first=1, last=1)
R2 = made(2, "R", 20_000, 100, 200, first=2, last=2)
R3 = made(3, "R", 20_000, 200, 300, first=3, last=3)


def test_a_roll_is_of_all_payoffs_by_mass_a_metre() -> None:
    found = links("together", "reversed", [LEFT, RIGHT, BARB, R1])
    assert rows(found) == [
        ("R", "L1", 7_000, (0, 20_000), (0, 7_000)),
        ("R", "L2", 7_000, (0, 20_000), (0, 7_000)),
        ("R", "B1", 6_000, (0, 20_000), (0, 6_000)),
    ]
    assert [link.role for link in found] == ["line", "line", "barb"]
    assert {link.basis for link in found} == {"calculated"}


def test_what_does_not_divide_evenly_is_handed_out_to_the_last_gram() -> None:
    assert [
        link.given for link in links("together", "kept", [LEFT, RIGHT, BARB, replace(R1, amount=101)])
    ] == [
        36,
        35,
        30,
    ]


def test_a_change_on_one_payoff_touches_only_rolls_made_after_it() -> None:
    """The barb wire is changed half way through roll 2."""
    quiet = per_output("together", "reversed", [LEFT, RIGHT, BARB, R1, R2, R3])
    changed = per_output("together", "reversed", [LEFT, RIGHT, BARB, R1, Ended(3, 4, at=150), NEXT, R2, R3])
    assert changed[0] == quiet[0]
    for (_, before), (_, after) in zip(quiet, changed, strict=True):
        assert [link for link in before if link.role == "line"] == [
            link for link in after if link.role == "line"
        ]
    barbs = [link for _, found in changed for link in found if link.role == "barb"]
    assert rows(barbs) == [
        ("R", "B1", 6_000, (0, 20_000), (0, 6_000)),
        ("R", "B1", 3_000, (20_000, 30_000), (6_000, 9_000)),
        ("R", "B2", 3_000, (30_000, 40_000), (0, 3_000)),
        ("R", "B2", 6_000, (40_000, 60_000), (3_000, 9_000)),
    ]
    assert [link.basis for link in barbs] == ["calculated", "apportioned", "apportioned", "calculated"]


def test_rolls_of_the_same_wires_are_one_link_a_payoff() -> None:
    found = links("together", "reversed", [LEFT, RIGHT, BARB, R1, R2, R3])
    assert [(link.parent, link.given, link.child_first, link.child_last) for link in found] == [
        ("L1", 21_000, 1, 3),
        ("L2", 21_000, 1, 3),
        ("B1", 18_000, 1, 3),
    ]


def test_a_payoff_that_was_emptied_gives_to_no_later_roll() -> None:
    found = per_output("together", "reversed", [LEFT, RIGHT, R1, Unloaded(2, at=110, remainder=9), R2, R3])
    assert [[link.parent for link in links_] for _, links_ in found] == [["L1", "L2"], ["L1", "L2"], ["L1"]]
    assert found[2][1][0].basis == "weighed"  # it alone is all of the roll


def test_where_all_payoffs_had_been_emptied_the_last_wires_are_perhaps_in_it() -> None:
    found = links("together", "reversed", [LEFT, RIGHT, R1, Ended(1, at=100), Ended(2, at=100), R2, R3])
    assert bounds(each for each in found if each.child_first == 3) == [
        ("R", "L1", 10_000, 0, 10_000, "bounded"),
        ("R", "L2", 10_000, 0, 10_000, "bounded"),
    ]


def test_without_a_mass_a_metre_all_payoffs_count_alike() -> None:
    bare = [replace(each, weight=0) for each in (LEFT, RIGHT)]
    assert bounds(links("together", "lost", [*bare, R1])) == [
        ("R", "L1", 10_000, 10_000, 10_000, "apportioned"),
        ("R", "L2", 10_000, 10_000, 10_000, "apportioned"),
    ]


def test_a_wire_too_thin_to_count_is_a_parent_all_the_same() -> None:
    thin = replace(RIGHT, weight=0)
    assert rows(links("together", "lost", [LEFT, thin, R1]))[1] == ("R", "L2", 0, (0, 20_000), (0, 0))


def test_a_wire_moved_to_another_payoff_goes_on_where_it_stopped() -> None:
    moved = replace(LEFT, seq=5, payoff="L9", amount=43_000, start=7_000)
    found = links(
        "together", "kept", [LEFT, RIGHT, BARB, R1, Unloaded(1, at=100, remainder=43_000), moved, R3]
    )
    assert rows(found)[-1] == ("R", "L1", 7_000, (20_000, 40_000), (7_000, 14_000))


def test_nothing_on_gives_no_link_and_an_untouched_wire_leaves_its_payoff_bare() -> None:
    untouched = Unloaded(1, at=10, remainder=50_000)
    assert links("together", "kept", [R1]) == ()
    assert links("together", "kept", [LEFT, untouched, R1]) == ()
    assert [each.parent for each in links("together", "kept", [LEFT, RIGHT, untouched, R1])] == ["L2"]


def test_what_names_its_own_load_or_another_group_is_left_as_it_says() -> None:
    named = links(
        "together", "kept", [LEFT, RIGHT, replace(R1, of=2), Ended(9, 1), Scrapped(9, 1), Unloaded(9)]
    )
    assert rows(named) == [("R", "L2", 20_000, (0, 20_000), (0, 20_000))]


def test_the_ended_wire_is_settled_when_its_payoff_has_run_past_the_margin() -> None:
    """3,000 g after the mark in roll 2, 6,000 g more in roll 3: a margin of 4,000 g passes there."""
    run = [LEFT, RIGHT, BARB, Scrapped(3, 500), R1, Ended(3, 4, at=150), NEXT, R2, R3, Closed(400)]
    margin = Margin(loss=4_000)
    taken = sum(link.given for link in links("together", "kept", run, margin) if link.parent == "B1")
    assert differences("together", run, margin) == (Difference(3, "B1", 50_000 - 500 - taken, 8),)
    assert differences("together", run, SHARP)[0].booked == 7
