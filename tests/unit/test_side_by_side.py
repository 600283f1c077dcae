"""Does every strip know its coil and its lane?

Worked by us on paper, after metal.md 8: 7,287 kg of 1,000 mm into 3 strips of 300 mm and trim.
"""

from dataclasses import replace

from lotroot.balance.closing import differences, standing
from lotroot.balance.feeds import links
from lotroot.balance.happenings import Closed, Difference, Ended, Happening, Link, Made, Scrapped, Unloaded
from paper_runs import bounds, load, made, rows

A, B = load(1, "A", 7_287, start=500), load(2, "B", 7_000)


def strip(lane: int, began: int, coil: str = "") -> Made:
    """Strip 1, 2 or 3 from the operator side; the edge before the first is 50 mm."""
    lanes = {"lane_from": 50 + 300 * (lane - 1), "lane_to": 50 + 300 * lane}
    return made(lane, f"S{lane}{coil}", 2_186, began, began + 10, **lanes)


FIRST = [strip(1, 0), strip(2, 10), strip(3, 20)]
SECOND = [strip(1, 50, "b"), strip(2, 60, "b"), strip(3, 70, "b")]


def slit(*happenings: Happening) -> tuple[Link, ...]:
    return links("side_by_side", "reversed", happenings)


def test_all_strips_run_the_whole_length_each_in_its_lane() -> None:
    found = slit(A, *FIRST)
    assert rows(found) == [(f"S{lane}", "A", 2_186, (0, 2_186), (500, 7_787)) for lane in (1, 2, 3)]
    assert [(link.lane_from, link.lane_to) for link in found] == [(50, 350), (350, 650), (650, 950)]
    assert {(link.least, link.most, link.basis, link.child_end) for link in found} == {
        (2_186, 2_186, "weighed", "inner")
    }


def test_after_the_end_of_a_coil_strips_are_of_the_next() -> None:
    found = slit(A, *FIRST, Ended(1, at=40), B, *SECOND)
    assert [link.parent for link in found] == ["A", "A", "A", "B", "B", "B"]
    assert {link.basis for link in found} == {"weighed"}


def test_strips_weighed_after_their_coil_had_come_off_are_still_of_it() -> None:
    found = slit(A, FIRST[0], Unloaded(1, at=5, remainder=0), *FIRST[1:])
    assert {(link.parent, link.basis) for link in found} == {("A", "weighed")}


def test_unmarked_a_strip_is_expected_of_the_first_coil_with_its_lane_free() -> None:
    """Strip 3 of coil A is weighed when coil B is on already; nobody scanned the change."""
    found = slit(A, *FIRST[:2], B, FIRST[2], SECOND[0])
    assert bounds(found)[2:] == [
        ("S3", "A", 2_186, 0, 2_186, "bounded"),
        ("S3", "B", 0, 0, 2_186, "bounded"),
        ("S1b", "A", 0, 0, 2_186, "bounded"),
        ("S1b", "B", 2_186, 0, 2_186, "bounded"),
    ]


def test_a_strip_made_across_a_marked_change_could_be_of_either() -> None:
    assert [link.parent for link in slit(A, *FIRST[:2], Ended(1, 2, at=25), B, FIRST[2])][2:] == ["A", "B"]


def test_a_strip_begun_the_moment_its_coil_ended_could_still_be_of_it() -> None:
    assert [link.parent for link in slit(A, *FIRST[:2], Ended(1, 2, at=20), B, FIRST[2])][2:] == ["A", "B"]


def test_a_second_pass_of_one_coil_is_of_that_coil_too() -> None:
    assert {link.parent for link in slit(A, *FIRST, *SECOND)} == {"A"}


def test_a_strip_that_names_its_coil_is_of_that_one() -> None:
    assert rows(slit(A, B, replace(FIRST[0], of=2))) == [("S1", "B", 2_186, (0, 2_186), (0, 7_000))]


def test_signs_of_other_groups_pass_by_and_the_first_of_two_counts() -> None:
    signs = (Ended(9), Unloaded(9), Scrapped(9, 1), Ended(1, at=40), Ended(1, at=60), Unloaded(1, at=60))
    assert [link.parent for link in slit(A, *FIRST, *signs, B, SECOND[0])] == ["A", "A", "A", "B"]


def test_a_coil_taken_off_untouched_was_never_on() -> None:
    assert [link.parent for link in slit(A, B, Unloaded(2, at=1, remainder=7_000), FIRST[0])] == ["A"]
    assert slit(FIRST[0]) == ()


def test_put_back_in_the_same_run_a_coil_goes_on_where_it_was_left() -> None:
    again = load(3, "A", 5_000, start=500)
    found = slit(A, FIRST[0], Scrapped(1, 14), Unloaded(1, at=15, remainder=5_000), again, SECOND[0])
    assert rows(found)[1] == ("S1b", "A", 2_186, (0, 2_186), (2_700, 7_700))


def test_trim_is_the_difference_until_its_bin_is_weighed() -> None:
    run = [A, *FIRST, Ended(1, at=40), B, SECOND[0], Closed(90)]
    assert differences("side_by_side", run[:5]) == ()
    assert differences("side_by_side", run) == (Difference(1, "A", 729, 6),)
    assert standing("side_by_side", run) == {1: 0, 2: 4_814}
    assert differences("side_by_side", [A, Unloaded(1, remainder=7_300)]) == (Difference(1, "A", -13, 1),)
