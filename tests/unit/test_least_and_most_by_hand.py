"""Least and most on families laid down by hand: welds, gains, items, what is not known, and large nets."""

from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from typing import Any

import pytest
from family_by_hand import Family
from lineage_shape import check_lineage
from lotroot.genealogy.events import LotLink
from lotroot.identity import ItemNumber, number_from
from lotroot.tracing import Direction, as_json, trace
from lotroot.tracing.between import MOST_NODES
from lotroot.tracing.bounds_behind import behind
from lotroot.tracing.lineage import Older

Known = tuple[int, int, str]


@pytest.fixture
def family() -> Iterator[Family]:
    with closing(Family()) as found:
        yield found


def link(parent: str, given: int, **more: Any) -> LotLink:
    return LotLink(parent, "steel", more.pop("stream", "steel"), given, given, **more)


def known(family: Family, number: str, direction: Direction = "up") -> dict[str, dict[str, Known]]:
    found = as_json(trace(family.connection, number, direction))
    check_lineage(found)
    return {
        one["lot"]: {
            stream: (one["least"][stream], one["most"][stream], one["bound"][stream])
            for stream in one["part"]
        }
        for one in found["lots"]
    }


def welded(family: Family) -> tuple[str, str, str]:
    """Two rods, and a stripper of 1,000 that lies across their weld: at 600, give or take 20."""
    one, other = (family.lot("rod", 2_000, source="received") for _ in range(2))
    order = {"child_end": "inner", "feed": "in_turn"}
    wire = family.made(
        "stripper",
        1_000,
        link(one, 600, least=580, most=600, child_from=0, child_to=600, **order),
        link(one, 0, least=0, most=20, child_from=600, child_to=620, basis="bounded", **order),
        link(other, 0, least=0, most=20, child_from=580, child_to=600, basis="bounded", **order),
        link(other, 400, least=380, most=400, child_from=600, child_to=1_000, **order),
    )
    return one, other, wire


def test_a_weld_lies_within_its_margin(family: Family) -> None:
    one, other, wire = welded(family)
    assert known(family, wire)[one] == {"steel": (580, 620, "exact")}
    assert known(family, wire)[other] == {"steel": (380, 420, "exact")}
    assert known(family, other, "down")[wire] == {"steel": (380, 420, "exact")}


def test_of_wire_used_up_whole_the_same_is_known_of_what_was_made_of_it(family: Family) -> None:
    one, _, wire = welded(family)
    nails = family.made("nail_lot", 1_000, link(wire, 1_000))
    assert known(family, nails)[one] == {"steel": (580, 620, "exact")}


def test_of_a_part_of_it_flows_say_only_an_outer_bound(family: Family) -> None:
    """Which part of the wire it was is known to the link, and not cut here."""
    one, other, wire = welded(family)
    nails, rest = (family.made("nail_lot", each, link(wire, each)) for each in (300, 700))
    assert known(family, nails)[one] == {"steel": (0, 300, "outer")}
    assert known(family, rest)[other] == {"steel": (80, 420, "outer")}
    assert known(family, one, "down")[rest] == {"steel": (280, 620, "outer")}
    assert known(family, nails)[wire] == {"steel": (300, 300, "exact")}


def test_what_the_scale_added_is_nobodys_least(family: Family) -> None:
    rod = family.lot("rod", 1_000, source="received")
    wire = family.made("stripper", 100, link(rod, 100))
    nails = family.made("nail_lot", 104, link(wire, 104))
    found = known(family, nails)
    assert found[wire] == {"steel": (104, 104, "exact")}
    assert found[rod] == {"steel": (100, 104, "outer")}, "104 are expected, 100 are sure"
    assert known(family, rod, "down")[wire] == {"steel": (100, 100, "exact")}, "it was not made of that"


def test_what_was_lost_may_have_been_of_any(family: Family) -> None:
    one, other = (family.lot("nail_lot", 100) for _ in range(2))
    both = family.made("tumbled_nails", 200, link(one, 100), link(other, 100))
    boxes = family.made("boxed_nails", 190, link(both, 190), items=19)
    assert known(family, boxes)[one] == {"steel": (90, 100, "exact")}


def test_boxes_are_of_the_coils_their_links_speak_of(family: Family) -> None:
    """Boxes 1 to 3 of one pan, 3 and 4 of another: of box 3 it is open how much."""
    one, other = (family.lot("nail_lot", 1_000) for _ in range(2))
    boxes = family.made(
        "boxed_nails",
        400,
        link(one, 240, most=240, child_from=1, child_to=3),
        link(other, 160, most=160, child_from=3, child_to=4),
        items=4,
    )
    first, third = (str(ItemNumber(number_from(boxes), serial)) for serial in (1, 3))
    assert known(family, first)[one] == {"steel": (100, 100, "exact")}
    assert set(known(family, first)) == {boxes, one}
    third_box = known(family, third)
    assert third_box[one]["steel"][0] <= 50 <= third_box[one]["steel"][1]
    assert known(family, one, "down")[boxes] == {"steel": (240, 240, "exact")}


def test_two_ways_to_one_source_are_not_counted_twice(family: Family) -> None:
    """By its links each nail lot could be all of the first rod; both together cannot."""
    one, other = (family.lot("rod", 100, source="received") for _ in range(2))
    mixed = family.made("tumbled_nails", 200, link(one, 100), link(other, 100))
    parts = [family.made("nail_lot", 80, link(mixed, 80)) for _ in range(2)]
    assert {known(family, part)[one]["steel"] for part in parts} == {(0, 80, "exact")}
    both = family.made("boxed_nails", 160, *(link(part, 80) for part in parts), items=4)
    assert known(family, both)[one] == {"steel": (60, 100, "exact")}


def test_an_amount_nobody_knows_leaves_all_open(family: Family) -> None:
    sure, perhaps = (family.lot("rod", 1_000, source="received") for _ in range(2))
    wire = family.made("stripper", 500, link(sure, 500), link(perhaps, 0, least=0, basis="bounded"))
    assert known(family, wire)[perhaps] == {"steel": (0, 500, "outer")}
    assert known(family, wire)[sure] == {"steel": (0, 500, "outer")}


def test_doubted_links_give_no_amounts(family: Family) -> None:
    wrong, right = (family.lot("rod", 1_000, source="received") for _ in range(2))
    wire = family.made("stripper", 500, link(wrong, 500))
    family.link(wire, link(right, 500), doubted=True)
    assert known(family, wire) == {
        wire: {"steel": (500, 500, "exact")},
        right: {"steel": (500, 500, "exact")},
    }


def test_through_another_stream_all_or_nothing_is_told_as_outer(family: Family) -> None:
    rod, bag = family.lot("rod", 900, source="received"), family.lot("compound", 100, source="received")
    coated = family.made("coated_wire", 1_000, link(rod, 900), link(bag, 100, stream="pvc"))
    fence = family.made("chain_link", 500, link(coated, 500), items=2)
    assert known(family, fence)[bag] == {"steel/pvc": (0, 500, "outer")}
    assert known(family, fence)[rod] == {"steel": (500, 500, "exact")}, "all its steel is of one rod"


def test_in_goods_of_two_streams_each_is_exact_by_itself(family: Family) -> None:
    rods = [family.lot("rod", 1_000, source="received") for _ in range(2)]
    bag = family.lot("compound", 100, source="received")
    wire = family.made("stripper", 2_000, *(link(rod, 1_000) for rod in rods))
    coated = family.made("coated_wire", 1_300, link(wire, 1_200), link(bag, 100, stream="pvc"))
    assert known(family, coated)[rods[0]] == {"steel": (200, 1_000, "exact")}
    assert known(family, coated)[bag] == {"pvc": (100, 100, "exact")}


def test_an_answer_that_does_not_look_back_all_the_way_stays_on_the_safe_side(family: Family) -> None:
    """The old drum is followed past the tank as it was; the water added since cannot be behind that."""
    drum, old = family.lot("concentrate", 600, source="received"), family.lot("water", 900, source="received")
    before = family.made("solution", 1_200, link(drum, 300), link(old, 900))
    since = family.lot("water", 400, source="received")
    now = family.made("solution", 1_000, link(before, 500), link(drum, 100), link(since, 400))
    whole = trace(family.connection, now, "up")
    cut = Older(0, frozenset({before}), {"steel": 500}, "weighed", held=False)
    found = {one.lot.number: one.bounds["steel"] for one in behind(replace(whole, older=cut)).lots}
    assert found[since] == (400, 400, True)
    assert found[before] == (500, 500, True)
    assert found[drum] == (100, 900, False)
    assert behind(whole) is whole


def poured_together(family: Family, times: int) -> tuple[str, str]:
    """Two lots in one, split in two and poured together again, over and over; the first, and a part of it."""
    one, other = (family.lot("nail_lot", 1_000) for _ in range(2))
    mixed = family.made("tumbled_nails", 2_000, link(one, 1_000), link(other, 1_000))
    for _ in range(times):
        halves = [family.made("tumbled_nails", 1_000, link(mixed, 1_000)) for _ in range(2)]
        mixed = family.made("tumbled_nails", 2_000, *(link(half, 1_000) for half in halves))
    return one, family.made("tumbled_nails", 1_500, link(mixed, 1_500))


def test_a_large_net_is_answered_by_chained_bounds_and_says_so(family: Family) -> None:
    one, part = poured_together(family, 10)
    assert known(family, part)[one] == {"steel": (500, 1_000, "exact")}
    one, part = poured_together(family, MOST_NODES // 3)
    least, most, kind = known(family, part)[one]["steel"]
    assert (kind, known(family, one, "down")[part]["steel"]) == ("outer", (0, 1_000, "outer"))
    assert least <= 500
    assert most >= 1_000
