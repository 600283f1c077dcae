"""Which part of a link is in which items, where boxes weigh alike and one lies across the border?

Worked on paper.
"""

from fractions import Fraction

import pytest
from lotroot.tracing.dealing import dealt
from lotroot.tracing.kin import Link
from lotroot.tracing.spans import ALL, Span


def links(*given: tuple[int, int, int]) -> list[Link]:
    """Links of one lot: first and last item, and what they gave."""
    return [
        Link(9, seq, seq, "steel", amount, "weighed", child_span=(first, last))
        for seq, (first, last, amount) in enumerate(given)
    ]


def spread(some: list[Link], *pieces: Span) -> list[list[Fraction]]:
    """Amounts by link and piece."""
    return [[Fraction(dealt(some)[link.seq].share(piece) * link.given) for piece in pieces] for link in some]


def test_alike_where_no_other_link_meets_it() -> None:
    assert spread(links((1, 4, 100), (5, 6, 70)), (1, 1), (2, 4), (1, 6)) == [[25, 75, 100], [0, 0, 70]]


def test_the_box_across_a_border_has_what_the_full_ones_leave_over() -> None:
    """Four boxes of 20: of the third the first pan gave 10 and the second 10."""
    assert spread(links((1, 3, 50), (3, 4, 30)), (1, 2), (3, 3), (4, 4)) == [[40, 10, 0], [0, 10, 20]]


def test_a_pan_that_filled_no_box_alone() -> None:
    """Three boxes of 20; the second pan went into the second and third, the third pan into the third."""
    found = spread(links((1, 2, 30), (2, 3, 15), (3, 3, 15)), (1, 1), (2, 2), (3, 3))
    assert found == [[20, 10, 0], [0, 10, 5], [0, 0, 15]]


def test_three_pans_in_one_box() -> None:
    found = spread(links((1, 2, 30), (2, 2, 5), (2, 3, 25)), (1, 1), (2, 2), (3, 3))
    assert found == [[20, 10, 0], [0, 5, 0], [0, 5, 20]]


def test_amounts_that_do_not_go_with_the_items_leave_it_open() -> None:
    first, second = (dealt(links((1, 3, 10), (3, 4, 90)))[seq] for seq in (0, 1))
    assert not first.clear
    assert (second.most((3, 3)), second.most((4, 4))) == (1, 1)


def test_where_two_payoffs_change_within_one_roll_nobody_can_tell() -> None:
    some = links((1, 3, 30), (3, 5, 30), (1, 3, 60), (3, 5, 60))
    first = dealt(some)[0]
    assert not first.clear
    assert first.share((3, 3)) == Fraction(1, 3)
    assert first.most((3, 3)) == 1
    assert first.most((1, 3)) == 1


@pytest.mark.parametrize("piece", [ALL, (1, 4)])
def test_of_all_items_a_link_gave_all_it_gave(piece: Span) -> None:
    some = links((1, 3, 50), (3, 4, 30))
    assert sum(dealt(some)[link.seq].share(piece) * link.given for link in some) == 80
