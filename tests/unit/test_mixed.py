"""Does a tumbler or tank give of everything that is in it?

Worked by us on paper.
"""

from dataclasses import replace

import pytest
from lotroot.balance.closing import differences, standing
from lotroot.balance.feeds import links
from lotroot.balance.happenings import Closed, Difference, Ended, Happening, Link, Scrapped, Unloaded
from paper_runs import bounds, load, made, rows

N1, N2, N3 = load(1, "N1", 300), load(2, "N2", 200), load(3, "N3", 100)
PAN, NEXT = made(1, "T1", 240, 0, 10), made(2, "T2", 360, 10, 20)


def tumbled(*happenings: Happening) -> tuple[Link, ...]:
    return links("mixed", "lost", happenings)


def test_expected_is_each_lots_part_of_what_the_tumbler_holds() -> None:
    found = tumbled(N1, N2, N3, PAN, NEXT)
    assert rows(found) == [
        ("T1", "N1", 120, (0, 240), (0, 300)),
        ("T1", "N2", 80, (0, 240), (0, 200)),
        ("T1", "N3", 40, (0, 240), (0, 100)),
        ("T2", "N1", 180, (0, 360), (0, 300)),
        ("T2", "N2", 120, (0, 360), (0, 200)),
        ("T2", "N3", 60, (0, 360), (0, 100)),
    ]
    assert {link.child_end for link in found} == {"unknown"}


def test_least_is_what_the_others_cannot_have_given_and_most_what_the_lot_can() -> None:
    """600 g in; of 240 g at most 300, 200 and 100 g can be of each, and of 360 g at least 60 of N1."""
    assert bounds(tumbled(N1, N2, N3, PAN, NEXT)) == [
        ("T1", "N1", 120, 0, 240, "apportioned"),
        ("T1", "N2", 80, 0, 200, "apportioned"),
        ("T1", "N3", 40, 0, 100, "apportioned"),
        ("T2", "N1", 180, 60, 300, "apportioned"),
        ("T2", "N2", 120, 0, 200, "apportioned"),
        ("T2", "N3", 60, 0, 100, "apportioned"),
    ]


def test_all_at_once_is_exact() -> None:
    assert bounds(tumbled(N1, N2, replace(PAN, amount=500))) == [
        ("T1", "N1", 300, 300, 300, "weighed"),
        ("T1", "N2", 200, 200, 200, "weighed"),
    ]


def test_the_heel_goes_on_into_the_next_filling() -> None:
    """400 g of the old lot stay in; 600 g are added; half comes out, then 500 g more go in."""
    heel, fresh, more = load(1, "H", 400), load(2, "K", 600), load(3, "W", 500)
    found = tumbled(heel, fresh, replace(PAN, amount=500), more, replace(NEXT, amount=500))
    assert [(link.child, link.parent, link.given, link.filling) for link in found] == [
        ("T1", "H", 200, 1),
        ("T1", "K", 300, 1),
        ("T2", "H", 100, 2),
        ("T2", "K", 150, 2),
        ("T2", "W", 250, 2),
    ]


def test_what_is_said_to_be_empty_is_no_parent_of_what_comes_later() -> None:
    found = tumbled(N1, PAN, Ended(1, at=10), N2, replace(NEXT, amount=200, began=11))
    assert [(link.child, link.parent) for link in found] == [("T1", "N1"), ("T2", "N2")]


@pytest.mark.parametrize("emptied", [5, 10, 9])
def test_pans_weighed_after_the_tumbler_was_called_empty_are_still_of_what_was_in_it(emptied: int) -> None:
    signs = (Ended(1, at=emptied), Ended(2, at=emptied), Ended(2, at=99), Unloaded(2, at=99, remainder=7))
    found = tumbled(N1, N2, PAN, *signs, replace(NEXT, amount=260))
    assert bounds(found)[2:] == [
        ("T2", "N1", 156, 60, 260, "apportioned"),
        ("T2", "N2", 104, 0, 200, "apportioned"),
    ]


def test_a_pan_begun_the_moment_a_lot_was_called_out_could_still_hold_it() -> None:
    found = tumbled(N1, N2, PAN, Ended(1, at=10), replace(NEXT, amount=100))
    assert [link.parent for link in found if link.child == "T2"] == ["N1", "N2"]


def test_what_is_put_in_one_after_the_other_is_one_filling() -> None:
    found = tumbled(N1, PAN, N2, N3, replace(NEXT, amount=100))
    assert [link.filling for link in found] == [1, 2, 2, 2]


def test_what_was_taken_out_again_is_not_in_the_output() -> None:
    back = Unloaded(1, at=5, remainder=100)
    found = tumbled(N1, N2, back, load(3, "N1", 100, start=200), PAN)
    assert rows(found) == [
        ("T1", "N1", 96, (0, 240), (0, 300)),
        ("T1", "N2", 96, (0, 240), (0, 200)),
        ("T1", "N1", 48, (0, 240), (200, 300)),
    ]


def test_more_out_than_in_is_shared_and_gained_by_nobody_for_certain() -> None:
    found = tumbled(N1, N3, replace(PAN, amount=500), replace(NEXT, amount=4))
    assert bounds(found) == [
        ("T1", "N1", 375, 300, 375, "apportioned"),
        ("T1", "N3", 125, 100, 125, "apportioned"),
        ("T2", "N1", 3, 0, 3, "apportioned"),
        ("T2", "N3", 1, 0, 1, "apportioned"),
    ]
    assert standing("mixed", [N1, N3, replace(PAN, amount=500)]) == {1: -75, 3: -25}


def test_a_load_used_up_by_the_scales_is_a_parent_until_empty_was_scanned() -> None:
    found = tumbled(N3, replace(PAN, amount=120), N2, replace(NEXT, amount=50))
    assert bounds(found)[1:] == [("T2", "N3", 0, 0, 0, "bounded"), ("T2", "N2", 50, 50, 50, "weighed")]


def test_loads_without_amounts_count_alike() -> None:
    bare = [replace(each, amount=0) for each in (N1, N2)]
    assert [link.given for link in tumbled(*bare, replace(PAN, amount=9))] == [5, 4]


def test_treating_names_its_wood_and_mixes_its_solution() -> None:
    """Two packs, one charge: wood in cm3 by the pack each names, uptake and drain-back in ml."""
    wood = [load(1, "P1", 2_000, stream="wood"), load(2, "P2", 3_000, stream="wood")]
    tank = [load(3, "K1", 800, stream="solution"), load(4, "K2", 200, stream="solution")]
    treated = [made(1, "T1", 2_000, 0, 9, of=1), made(2, "T2", 3_000, 0, 9, of=2)]
    uptake = [replace(treated[0], amount=100), replace(treated[1], amount=150), made(3, "K3", 750, 0, 9)]
    assert rows(links("in_turn", "kept", [*wood, *treated])) == [
        ("T1", "P1", 2_000, (0, 2_000), (0, 2_000)),
        ("T2", "P2", 3_000, (0, 3_000), (0, 3_000)),
    ]
    found = links("mixed", "lost", [*tank, *uptake])
    assert [(link.child, link.parent, link.given) for link in found] == [
        ("T1", "K1", 80),
        ("T1", "K2", 20),
        ("T2", "K1", 120),
        ("T2", "K2", 30),
        ("K3", "K1", 600),
        ("K3", "K2", 150),
    ]


def test_an_output_that_names_its_load_is_of_that_one() -> None:
    assert [(link.parent, link.given) for link in tumbled(N1, N2, replace(PAN, of=2))] == [("N2", 240)]


def test_nothing_in_gives_no_link_and_signs_of_other_groups_pass_by() -> None:
    assert tumbled(Ended(9), Unloaded(9), Scrapped(9, 1), PAN) == ()


def test_what_stays_in_the_tumbler_is_the_difference_once_it_was_called_empty() -> None:
    run = [
        N1,
        N2,
        Scrapped(2, 20),
        PAN,
        Ended(1, at=15),
        Ended(2, at=15),
        replace(NEXT, began=10, amount=230),
    ]
    taken = {seq: sum(each.given for each in tumbled(*run) if each.load == seq) for seq in (1, 2)}
    assert sum(taken.values()) == 470
    assert differences("mixed", run) == ()
    assert differences("mixed", [*run, Closed(30)]) == (
        Difference(1, "N1", 300 - taken[1], 7),
        Difference(2, "N2", 180 - taken[2], 7),
    )
    later = made(3, "T3", 100, 20, 30)
    assert {each.booked for each in differences("mixed", [*run, load(3, "N3", 100), later])} == {8}
