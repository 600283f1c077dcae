"""Does `in_turn` hold when coils come back, by-products are weighed late, and marks too?

Worked by us on paper. A, B and C are coils of 1,000 g each; times in seconds.
"""

from dataclasses import replace

import pytest
from lotroot.balance.feeds import SHARP, links, per_output
from lotroot.balance.happenings import Ended, Happening, Link, Load, Margin, Order, Scrapped, Unloaded
from paper_runs import bounds, load, made, rows

A, B, C = load(1, "A", 1000), load(2, "B", 1000), load(3, "C", 1000)
S1 = made(1, "S1", 600, 0, 60)
S2 = made(2, "S2", 500, 60, 120)
S3 = made(3, "S3", 200, 120, 140)


def drawn(*happenings: Happening, margin: Margin = SHARP) -> tuple[Link, ...]:
    return links("in_turn", "reversed", happenings, margin)


# Taken off, put back, scrapped, named.


@pytest.mark.parametrize(
    ("again", "stretch"),
    [
        pytest.param(load(2, "A", 690, start=300), (300, 800), id="same end"),
        pytest.param(load(2, "A", 690, start=310), (310, 810), id="its own record says more had left"),
        pytest.param(load(2, "A", 690), (300, 800), id="its start was not given"),
        pytest.param(load(2, "A", 690, end="inner"), (0, 500), id="turned: from its other end"),
    ],
)
def test_a_part_coil_put_back_goes_on_where_it_was_left(again: Load, stretch: tuple[int, int]) -> None:
    found = drawn(A, replace(S1, amount=300), Unloaded(1, at=60, remainder=690), again, S2)
    assert rows(found)[1:] == [("S2", "A", 500, (0, 500), stretch)]


def test_a_coil_taken_off_as_full_as_it_came_had_only_been_waiting() -> None:
    found = drawn(A, B, Unloaded(2, at=30, remainder=1000), S1)
    assert bounds(found) == [("S1", "A", 600, 600, 600, "weighed")]


def test_a_coil_taken_off_ends_its_turn_where_that_happened() -> None:
    found = drawn(A, Unloaded(1, at=30, remainder=700), B, S1)
    assert [(link.parent, link.given) for link in found] == [("A", 300), ("B", 300)]


def test_the_first_of_two_marks_on_a_coil_counts() -> None:
    found = drawn(A, Ended(1, 2, at=30), B, Ended(1, 2, at=50), Unloaded(1, at=55, remainder=1), S1)
    assert [(link.parent, link.given) for link in found] == [("A", 300), ("B", 300)]


def test_scrap_moves_the_coil_on_and_uses_it_up_earlier() -> None:
    found = drawn(A, Scrapped(1, 300), S1, B, S2)
    assert rows(link for link in found if link.given) == [
        ("S1", "A", 600, (0, 600), (300, 900)),
        ("S2", "A", 100, (0, 100), (900, 1000)),
        ("S2", "B", 400, (100, 500), (0, 400)),
    ]


def test_an_output_that_names_its_load_is_of_that_one_alone() -> None:
    """A treated pack names its pack; signs and outputs of another group's loads pass by."""
    group = (A, B, replace(S2, of=2), replace(S1, of=1), Scrapped(9, 5), Ended(9, 1), Unloaded(9))
    assert rows(drawn(*group)) == [
        ("S2", "B", 500, (0, 500), (0, 500)),
        ("S1", "A", 600, (0, 600), (0, 600)),
    ]
    assert rows(drawn(A, replace(S1, of=9))) == [("S1", "A", 600, (0, 600), (0, 600))]


def test_an_output_with_nothing_on_has_no_link() -> None:
    assert per_output("in_turn", "kept", [S1, A, S2]) == ((S1, ()), (S2, links("in_turn", "kept", [A, S2])))


def test_an_output_begun_after_the_last_coil_had_ended_is_only_perhaps_of_it() -> None:
    assert bounds(drawn(A, S1, Ended(1, at=60), S2, S3))[1:] == [
        ("S2", "A", 500, 500, 500, "weighed"),
        ("S3", "A", 200, 0, 200, "bounded"),
    ]


def test_a_coil_put_on_long_after_the_last_had_ended_lasts_for_its_own_amount() -> None:
    late, last = made(4, "S4", 950, 140, 200), made(5, "S5", 100, 200, 210)
    found = drawn(A, S1, Ended(1, at=60), S2, B, C, late, last)
    assert [(link.child, link.parent, link.given) for link in found if link.given][2:] == [
        ("S4", "B", 950),
        ("S5", "B", 50),
        ("S5", "C", 50),
    ]


def test_an_output_not_yet_weighed_has_its_parent_all_the_same() -> None:
    found = drawn(A, replace(S1, amount=0), Ended(1, 2, at=60), B, S2, replace(S3, amount=0))
    assert [(link.child, link.parent, link.given) for link in found] == [
        ("S1", "A", 0),
        ("S2", "B", 500),
        ("S3", "B", 0),
    ]


# A by-product is made all along.


def test_web_weighed_at_the_end_is_of_both_strips_by_time() -> None:
    blanks = [made(1, "K", 300, 0, 30), made(2, "K", 300, 30, 60)]
    web = made(3, "W", 120, 0, 60)
    found = links("in_turn", "lost", [A, blanks[0], Ended(1, 2, at=30), B, blanks[1], web])
    assert rows(found) == [
        ("K", "A", 300, (0, 300), (0, 300)),
        ("K", "B", 300, (300, 600), (0, 300)),
        ("W", "A", 60, (0, 120), (300, 360)),
        ("W", "B", 60, (0, 120), (300, 360)),
    ]


def test_web_is_divided_too_where_the_first_strip_was_simply_used_up() -> None:
    first, second = load(1, "A", 300), load(2, "B", 1000)
    blanks = [made(1, "K", 200, 0, 20), made(2, "K", 200, 20, 40)]
    found = links("in_turn", "lost", [first, blanks[0], second, blanks[1], made(3, "W", 80, 0, 40)])
    assert [(each.parent, each.given) for each in found if each.child == "W" and each.given] == [
        ("A", 60),
        ("B", 20),
    ]


def test_what_follows_in_a_by_product_is_pushed_on_by_what_the_earlier_strip_gave_it() -> None:
    """10 g are left of B when the web is weighed; 40 g of the web are of A, so B is in the next 10 g."""
    first, second, third = load(1, "A", 1000), load(2, "B", 110), load(3, "C", 1000)
    history = [first, Ended(1, 2, at=50), second, third, made(1, "K", 200, 0, 100), made(2, "W", 80, 0, 100)]
    found = links("in_turn", "lost", history)
    assert [(each.parent, each.given) for each in found if each.child == "W" and each.given] == [
        ("A", 40),
        ("B", 10),
        ("C", 30),
    ]


def test_marks_that_contradict_each_other_still_give_each_gram_once() -> None:
    """The end of C is scanned first, that of B afterwards, and then a by-product of all is weighed."""
    coils = [load(seq, lot, 1000) for seq, lot in enumerate("ABCD", 1)]
    history: list[Happening] = [coils[0], Ended(1, 2, at=50), *coils[1:], Ended(3, 4, at=80)]
    history += [made(1, "K", 200, 0, 100), Ended(2, 3, at=100), made(2, "W", 80, 0, 100)]
    found = [link for link in links("in_turn", "lost", history) if link.child == "W"]
    assert sum(link.given for link in found) == 80


# Order, serials, joining.


@pytest.mark.parametrize(
    ("order", "child_end", "stretches"),
    [
        ("kept", "outer", [(0, 250), (250, 500)]),
        ("reversed", "inner", [(0, 250), (250, 500)]),
        ("lost", "unknown", [(0, 500), (0, 500)]),
    ],
)
def test_order_says_from_which_end_of_the_child_its_stretch_counts(
    order: Order, child_end: str, stretches: list[tuple[int, int]]
) -> None:
    """What was made first is outermost where order is kept and innermost where reversed."""
    found = links("in_turn", order, [A, Ended(1, 2, at=90), B, S2])
    assert [(link.child_from, link.child_to) for link in found] == stretches
    assert {link.child_end for link in found} == {child_end}


def test_an_item_across_a_border_is_of_both() -> None:
    """Four sheets of 150 g each, the border at 350 g: the third lies across it."""
    sheets = made(1, "F", 600, 0, 60, first=11, last=14)
    found = links("in_turn", "kept", [A, Ended(1, 2, at=35), B, sheets])
    assert [(link.parent, link.child_first, link.child_last) for link in found] == [
        ("A", 11, 13),
        ("B", 13, 14),
    ]


def test_boxes_made_one_by_one_of_one_lot_are_one_link() -> None:
    boxes = [made(k, "N", 25, k, k + 1, first=k, last=k) for k in range(1, 51)]
    found = links("in_turn", "lost", [load(1, "T", 2000), *boxes])
    assert rows(found) == [("N", "T", 1250, (0, 1250), (0, 1250))]
    assert (found[0].child_first, found[0].child_last, found[0].least, found[0].most) == (1, 50, 1250, 1250)
    assert len(per_output("in_turn", "lost", [load(1, "T", 2000), *boxes])) == 50


def test_boxes_on_either_side_of_another_lot_are_two_links() -> None:
    boxes = [made(k, "N", 25, k, k + 1, first=k, last=k) for k in range(1, 4)]
    back = load(3, "A", 975, start=25)
    history = [A, boxes[0], Ended(1, 2, at=2), B, boxes[1], Ended(2, 3, at=3), back, boxes[2]]
    found = links("in_turn", "lost", history)
    assert [(link.parent, link.child_first, link.child_last) for link in found] == [
        ("A", 1, 1),
        ("B", 2, 2),
        ("A", 3, 3),
    ]


@pytest.mark.parametrize(
    "happenings",
    [
        pytest.param(
            (A, made(1, "N", 25, 0, 1, first=1, last=1), made(3, "N", 25, 1, 2, first=3, last=3)),
            id="box 2 was spoiled",
        ),
        pytest.param(
            (A, B, *(made(k, "N", 25, k, k + 1, of=of) for k, of in enumerate((1, 2, 1)))),
            id="another lot lies between",
        ),
    ],
)
def test_links_of_one_lot_stay_apart_where_something_is_between(happenings: tuple[Happening, ...]) -> None:
    found = links("in_turn", "kept", happenings)
    assert [link.given for link in found if link.parent == "A"] == [25, 25]


# Late entries.


def test_a_late_mark_changes_only_outputs_between_the_anchors() -> None:
    """Five strippers over three coils; the end of B was scanned, that of A is entered next day."""
    strippers = [made(k, f"S{k}", 400, 10 * k, 10 * k + 10) for k in range(6)]
    seen = [
        A,
        strippers[0],
        strippers[1],
        B,
        strippers[2],
        strippers[3],
        Ended(2, 3, at=40),
        C,
        *strippers[4:],
    ]
    late = [*seen[:4], Ended(1, 2, at=28), *seen[4:]]
    before, after = per_output("in_turn", "reversed", seen), per_output("in_turn", "reversed", late)
    assert [old == new for old, new in zip(before, after, strict=True)] == [
        True,
        True,
        False,
        False,
        True,
        True,
    ]
