"""Depth, basis, gaps, doubts, voids and parts of families laid down by hand and worked out on paper."""

from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
from family_by_hand import YARD, Family
from lineage_shape import check_lineage
from lotroot.dispatch.facts import LoadLine, ShipmentLeft, ShipmentLoaded, ShipmentOpened
from lotroot.genealogy.events import LotLink, LotVoided
from lotroot.holds.facts import HoldPlaced, HoldRootAdded
from lotroot.identity import ItemNumber, number_from
from lotroot.stock.events import CarrierMoved, CarrierOpened, Move, Moved
from lotroot.tracing import Direction, as_json, trace
from lotroot.tracing.basis import BASES, weakest
from lotroot.tracing.reached import depths
from lotroot.tracing.spans import ALL, common, merged, size, without


@pytest.fixture
def family() -> Iterator[Family]:
    with closing(Family()) as found:
        yield found


def link(parent: str, given: int, **more: Any) -> LotLink:
    return LotLink(parent, "steel", more.pop("stream", "steel"), 0, given, **more)


def traced(family: Family, number: str, direction: Direction = "up") -> dict[str, dict[str, Any]]:
    """The lots of a lineage as JSON, by number."""
    found = as_json(trace(family.connection, number, direction))
    check_lineage(found)
    return {one["lot"]: one for one in found["lots"]}


def told(found: dict[str, dict[str, Any]], key: str) -> dict[str, Any]:
    return {lot: one[key] for lot, one in found.items()}


def test_depth_is_the_shortest_way(family: Family) -> None:
    rod = family.lot("rod", 100, source="received")
    wire = family.made("stripper", 100, link(rod, 100))
    nails = family.made("nail_lot", 100, link(wire, 60), link(rod, 40))
    assert told(traced(family, nails), "depth") == {nails: 0, wire: 1, rod: 1}
    assert told(traced(family, rod, "down"), "depth") == {rod: 0, wire: 1, nails: 1}
    assert told(traced(family, nails), "part")[rod] == {"steel": 100}


def test_basis_is_the_weakest_on_any_way(family: Family) -> None:
    rod = family.lot("rod", 100, source="received", how="theirs")
    one = family.made("stripper", 50, link(rod, 50, basis="apportioned"))
    two = family.made("stripper", 50, link(rod, 50, basis="weighed"))
    nails = family.made("nail_lot", 50, link(two, 50, basis="counted"), how="calculated")
    both = family.made("nail_lot", 100, link(one, 50), link(two, 50))
    assert told(traced(family, nails), "basis") == {nails: "calculated", two: "counted", rod: "counted"}
    assert told(traced(family, both), "basis")[rod] == "apportioned"
    assert told(traced(family, rod, "down"), "basis") == {
        rod: "theirs",
        one: "apportioned",
        two: "weighed",
        nails: "counted",
        both: "apportioned",
    }


def test_a_basis_nobody_knows_counts_as_the_weakest() -> None:
    assert weakest([1], [(1, 2, "guessed"), (2, 3, "weighed")]) == {1: "weighed", 2: BASES[-1], 3: BASES[-1]}


def test_sources_were_received_or_here_before_and_gaps_are_neither(family: Family) -> None:
    received, before = family.lot("rod", 40, source="received"), family.lot("rod", 40, source="before")
    nothing = family.lot("stripper", 20)
    nails = family.made("nail_lot", 100, link(received, 40), link(before, 40), link(nothing, 20))
    found = traced(family, nails)
    assert told(found, "source") == {nails: False, received: True, before: True, nothing: False}
    assert told(found, "gap") == {nails: False, received: False, before: False, nothing: True}
    assert told(traced(family, nothing), "part") == {nothing: {"steel": 20}}
    assert told(traced(family, nothing), "gap") == {nothing: True}


def test_parts_that_do_not_divide_still_sum_to_the_gram(family: Family) -> None:
    rods = [family.lot("rod", 1_000, source="received") for _ in range(3)]
    nails = family.made("nail_lot", 100, *(link(rod, 1) for rod in rods))
    parts = [traced(family, nails)[rod]["part"]["steel"] for rod in rods]
    assert sorted(parts) == [33, 33, 34]


def test_a_lot_that_only_could_be_a_parent_is_told_with_nothing(family: Family) -> None:
    sure, perhaps = (family.lot("rod", 1_000, source="received") for _ in range(2))
    wire = family.made("stripper", 500, link(sure, 500), link(perhaps, 0, least=0, most=20, basis="bounded"))
    assert told(traced(family, wire), "part") == {
        wire: {"steel": 500},
        sure: {"steel": 500},
        perhaps: {"steel": 0},
    }
    assert told(traced(family, perhaps, "down"), "part")[wire] == {"steel": 0}


def test_doubted_links_count_for_holds_and_for_nothing_else(family: Family) -> None:
    wrong, right = (family.lot("rod", 1_000, source="received") for _ in range(2))
    wire = family.made("stripper", 500, link(wrong, 500))
    family.link(wire, link(right, 500), doubted=True)
    family.record(HoldRootAdded(family.record(HoldPlaced("hold", "brittle")), wrong))
    found = traced(family, wire)
    assert told(found, "part") == {wire: {"steel": 500}, right: {"steel": 500}}
    assert told(found, "held") == {wire: True, right: False}
    assert set(traced(family, wrong, "down")) == {wrong}


def test_lots_that_never_were_do_not_appear(family: Family) -> None:
    rod = family.lot("rod", 1_000, source="received")
    wire, other = (family.made("stripper", 500, link(rod, 500)) for _ in range(2))
    nails = family.made("nail_lot", 400, link(wire, 400))
    family.record(LotVoided(wire))
    assert set(traced(family, rod, "down")) == {rod, other}
    assert told(traced(family, nails), "gap") == {nails: True}


def test_what_was_reached_through_another_stream_stands_under_the_chain(family: Family) -> None:
    rod = family.lot("rod", 900, source="received")
    bag = family.lot("compound", 100, source="received")
    coated = family.made("coated_wire", 1_000, link(rod, 900), link(bag, 100, stream="pvc"))
    fence = family.made("chain_link", 500, link(coated, 500), items=2)
    assert told(traced(family, fence), "part") == {
        fence: {"steel": 500},
        coated: {"steel": 500},
        rod: {"steel": 500},
        bag: {"steel/pvc": 500},
    }
    assert told(traced(family, bag, "down"), "part") == {
        bag: {"pvc": 100},
        coated: {"pvc": 100},
        fence: {"steel/pvc": 500},
    }


def test_goods_made_of_some_items_come_from_those_items(family: Family) -> None:
    """Boxes 1-3 are of one coil, 4 of another; spoiled box 4 is filled again, so only of the other."""
    one, other = (family.lot("rod", 1_000, source="received") for _ in range(2))
    boxes = family.made(
        "boxed_nails",
        400,
        link(one, 300, child_from=1, child_to=3),
        link(other, 100, child_from=4, child_to=4),
        items=4,
    )
    again = family.made("boxed_nails", 90, link(boxes, 90, parent_from=4, parent_to=4), items=1)
    assert told(traced(family, again), "part")[other] == {"steel": 90}
    assert one not in traced(family, again)
    assert again not in traced(family, one, "down")
    assert told(traced(family, other, "down"), "part") == {
        other: {"steel": 1_000},
        boxes: {"steel": 100},
        again: {"steel": 90},
    }
    box = str(ItemNumber(number_from(boxes), 2))
    assert set(traced(family, box, "down")) == {boxes}


def test_an_item_no_link_speaks_of_has_a_gap_above_it(family: Family) -> None:
    rod = family.lot("rod", 1_000, source="received")
    boxes = family.made("boxed_nails", 400, link(rod, 300, child_from=1, child_to=3), items=4)
    last = traced(family, str(ItemNumber(number_from(boxes), 4)))
    assert told(last, "gap") == {boxes: True}
    assert told(last, "part") == {boxes: {"steel": 100}}
    assert rod in traced(family, str(ItemNumber(number_from(boxes), 3)))


def test_of_a_pan_with_half_a_lot_half_of_what_was_made_is_expected(family: Family) -> None:
    nails = family.lot("nail_lot", 800)
    pan, other = family.number("P"), family.number("P")
    for number in (pan, other):
        family.record(CarrierOpened(number, "pan", YARD, reusable=True))
        family.record(Moved((Move(nails, YARD, number, 400),)))
    down = trace(family.connection, pan, "down")
    assert [(one.amount, dict(one.part)) for one in down.on_hand] == [(400, {"steel": 400})]
    for number in (pan, other):
        family.record(Moved((Move(nails, number, "taken", 400),)))
    tumbled = family.made("tumbled_nails", 780, link(nails, 780))
    assert told(traced(family, pan, "down"), "part") == {nails: {"steel": 400}, tumbled: {"steel": 390}}


def test_a_shipment_has_one_entry_for_each_unit(family: Family) -> None:
    rod = family.lot("sheet_coil", 2_000, source="received")
    boxes = family.made("boxed_nails", 600, link(rod, 600), items=2)
    sheets = family.made("roofing", 50, link(rod, 1_400), items=5, mass=1_400)
    shipment, pallet = family.number("D"), family.number("P")
    family.record(CarrierOpened(pallet, "pallet", YARD))
    family.move(boxes, pallet, 600, 1, 2)
    family.record(ShipmentOpened(shipment, "osprey"))
    family.record(CarrierMoved(pallet, shipment, YARD))
    family.move(sheets, shipment, 20, 1, 2)
    lines = LoadLine(boxes, 600, 1, 2, pallet), LoadLine(sheets, 20, 1, 2)
    family.record(ShipmentLoaded(shipment, lines))
    family.record(ShipmentLeft(shipment))
    found = as_json(trace(family.connection, rod, "down"))
    check_lineage(found)
    assert [(one["unit"], one["amount"], one["carriers"], one["part"]) for one in found["shipments"]] == [
        ("g", 600, [pallet], {"steel": 600}),
        ("pcs", 20, [], {"steel": 20}),
    ]
    assert [(one["lot"], one["amount"]) for one in found["on_hand"]] == [(rod, 2_000), (sheets, 30)]
    whole = as_json(trace(family.connection, shipment, "up"))
    assert (whole["unit"], whole["amount"]) == ("g", 600 + 20 * 1_400 // 50)


# ---------------------------------------------------------------- serials and depths


@pytest.mark.parametrize(
    ("spans", "other", "wanted"),
    [
        ([(1, 4)], (3, 9), [(3, 4)]),
        ([(1, 4)], (5, 9), []),
        ([(1, 2), (3, 4)], (2, 3), [(2, 3)]),
        ([(1, 4)], ALL, [(1, 4)]),
        ([ALL], (5, 9), [(5, 9)]),
        ([ALL], ALL, [ALL]),
    ],
)
def test_what_spans_have_in_common(
    spans: list[tuple[int, int]], other: tuple[int, int], wanted: list[tuple[int, int]]
) -> None:
    assert common(spans, other) == wanted


def test_spans_are_joined_counted_and_cut() -> None:
    assert merged([(4, 6), (1, 3), (8, 9), (5, 5)]) == [(1, 6), (8, 9)]
    assert size([(1, 3), (2, 5)]) == 5
    assert without([(1, 9)], [(2, 3), (9, 12)]) == [(1, 1), (4, 8)]
    assert without([(2, 3)], [(1, 9)]) == []


def test_depths_count_the_fewest_steps() -> None:
    assert depths([1], [(1, 2), (2, 3), (3, 4), (1, 3)]) == {1: 0, 2: 1, 3: 1, 4: 2}
    assert depths([], []) == {}
