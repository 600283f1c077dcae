"""Is what a count finds elsewhere, used up or of another weight settled without losing a gram?"""

from collections.abc import Iterator

import pytest
from counting_shop import RACK, YARD, Counting
from houses import House, a_house
from lotroot.counting.commands import CountGoods
from lotroot.counting.counts import differences_of
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.errors import Question, Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.production.bringing_back import BringBack
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.stock.carriers import find_carrier
from lotroot.stock.standing import standings
from lotroot.voiding.handling import Undo


@pytest.fixture
def shop(database_url: str) -> Iterator[Counting]:
    house: House = a_house(database_url)
    yield Counting(house)
    house.database.close()


# ---- elsewhere


def test_what_is_recorded_elsewhere_is_moved_here_when_somebody_says_so(shop: Counting) -> None:
    coil, stays = shop.coil(), shop.coil()
    count = shop.start(RACK)
    said = shop.see(count, coil).say
    assert said == f"{shown(coil)}: seen. By the record it is at Coil yard: listed. Leave it here."
    shop.see(count, stays)
    assert shop.spot(coil) == {shop.place(YARD): 2_000_000}, "a scan alone moves nothing"
    assert shop.finish(count).say == "Rack A, nails and fencing: 0 of 0 seen, 2 in the wrong place."
    assert shop.doubts() == set()
    shop.settle(count, "moved", 1)
    shop.settle(count, "stays", 2)
    assert shop.spot(coil) == {shop.place(RACK): 2_000_000}
    assert shop.spot(stays) == {shop.place(YARD): 2_000_000}
    shop.closes()


def test_a_pallet_and_a_box_of_another_pallet_are_moved_to_where_they_were_seen(shop: Counting) -> None:
    lot = shop.boxes()
    pallet, robbed = shop.pallet(lot, 1, 2), shop.pallet(lot, 3, 5)
    count = shop.start(RACK)
    shop.see(count, pallet)
    shop.see(count, shop.item(lot, 4))
    shop.finish(count)
    assert shop.found(count) == [("wrong place", pallet), ("wrong place", shop.item(lot, 4))]
    shop.settle(count, "moved", 1)
    said = shop.settle(count, "moved", 2).say
    assert f"Pallet {shown(robbed)} is open again" in said
    assert shop.house.ask(find_carrier, pallet).spot == shop.place(RACK)
    places = {row.first: row.spot for row in shop.house.ask(standings, lot)}
    assert places == {1: pallet, 3: robbed, 4: shop.place(RACK), 5: robbed, 6: shop.place("pack_floor")}
    shop.closes()


def test_a_pan_nobody_ever_set_down_stands_where_it_is_seen(shop: Counting) -> None:
    stripper = shop.drawn(shop.coil(), 500_000)[0]
    lot = shop.nails(stripper, 300_000)
    count = shop.start("nail_floor")
    said = shop.see(count, shop.pan("pan_17")).say
    assert "Nobody had said where Pan 17 stands: it stands here now." in said
    assert shop.house.ask(find_carrier, "pan_17").spot == shop.place("nail_floor")
    shop.finish(count)
    assert shop.found(count) == []
    assert shop.spot(lot) == {shop.pan("pan_17"): 300_000}
    shop.closes()


def test_a_coil_recorded_on_a_machine_is_left_in_question(shop: Counting) -> None:
    coil = shop.coil()
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    count = shop.start()
    assert "on a machine, in run" in shop.see(count, coil).say
    shop.finish(count)
    with pytest.raises(Unreadable, match="no way to settle") as refused:
        shop.settle(count, "moved")
    assert refused.value.expected == "One of: left, stays."
    shop.settle(count, "left")
    assert shop.doubts() == {coil}
    shop.closes()


def test_what_another_count_saw_is_not_written_off_before_that_is_settled(shop: Counting) -> None:
    coil = shop.coil()
    yard, rack = shop.start(), shop.start(RACK)
    shop.see(rack, coil)
    shop.finish(yard)
    for finish in (False, True):
        if finish:
            shop.finish(rack)
        with pytest.raises(Refused, match="was seen when Rack A, nails and fencing was counted"):
            shop.settle(yard, "written_off", reason="not_found")
    shop.settle(rack, "stays")
    shop.settle(yard, "written_off", reason="not_found")
    shop.closes()


def test_boxes_seen_by_themselves_stay_behind_when_their_pallet_is_moved(shop: Counting) -> None:
    lot = shop.boxes()
    pallet = shop.pallet(lot, 1, 4)
    yard, rack = shop.start(), shop.start(RACK)
    shop.see(yard, shop.item(lot, 2), to=shop.item(lot, 3))
    shop.see(rack, pallet)
    shop.finish(yard)
    shop.finish(rack)
    said = shop.settle(rack, "moved").say
    assert "2 items were seen by themselves at Coil yard: left there." in said
    places = {row.first: row.spot for row in shop.house.ask(standings, lot)}
    assert places == {1: pallet, 2: shop.place(YARD), 4: pallet, 5: shop.place("pack_floor")}
    assert [(row.kind, row.first) for row in shop.house.ask(differences_of, yard)] == [
        ("missing", 1),
        ("missing", 4),
    ]
    shop.closes()


def test_a_missing_pallet_whose_boxes_were_seen_elsewhere_is_written_off_empty(shop: Counting) -> None:
    lot = shop.boxes()
    shop.pallet(lot, 1, 2)
    yard, rack = shop.start(), shop.start(RACK)
    shop.see(rack, shop.item(lot, 1), to=shop.item(lot, 2))
    shop.finish(yard)
    shop.finish(rack)
    with pytest.raises(Refused, match="was seen when Rack A"):
        shop.settle(yard, "written_off", reason="not_found")
    shop.settle(rack, "moved")
    assert "Nothing was on it any more." in shop.settle(yard, "written_off", reason="not_found").say
    assert {row.first: row.spot for row in shop.house.ask(standings, lot)}[1] == shop.place("rack_a")
    assert shop.account(lot).get("difference", 0) == 0
    shop.closes()


# ---- found


def test_what_left_with_a_shipment_is_never_taken_off_it_by_a_count(shop: Counting) -> None:
    lot = shop.boxes()
    pallet = shop.pallet(lot, 1, 2)
    shop.asked(CloseRun(), "off")
    shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
    for number in (pallet, shop.item(lot, 5)):
        shop.at("dispatch", LoadShipment(shipment, number), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    count = shop.start()
    assert f"on shipment {shown(shipment)}" in shop.see(count, pallet).say
    shop.see(count, shop.item(lot, 5))
    shop.finish(count)
    assert shop.found(count) == [("found", pallet), ("found", shop.item(lot, 5))]
    assert shop.doubts() == {pallet, lot}
    for seq in (1, 2):
        with pytest.raises(Unreadable):
            shop.settle(count, "brought_back", seq)
        shop.settle(count, "left", seq)
    assert shop.house.ask(find_carrier, pallet).spot == shipment
    assert shop.doubts() == {pallet, lot}
    shop.closes()


def test_boxes_written_off_stand_again_under_their_own_numbers(shop: Counting) -> None:
    lot = shop.boxes()
    floor = "pack_floor"
    first = shop.start(floor)
    shop.finish(first)
    shop.settle(first, "written_off", reason="not_found")
    assert shop.stands(lot) == []
    second = shop.start(floor)
    said = shop.see(second, shop.item(lot, 2), to=shop.item(lot, 3)).say
    assert "By the record nothing of it is left: listed as found." in said
    shop.finish(second)
    assert shop.found(second) == [("found", shop.item(lot, 2))]
    shop.settle(second, "brought_back")
    assert shop.stands(lot) == [(2, 3, 50_000)]
    assert shop.account(lot)["difference"] == 100_000
    assert shop.doubts() == set()
    shop.closes()


def test_a_coil_used_up_by_the_record_comes_back_with_what_it_weighs(shop: Counting) -> None:
    coil = shop.coil(amount=1_000_000)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    shop.at("draw_1", MakeOutput(weight=1_000_000))
    shop.at("draw_1", CloseRun())
    count = shop.start()
    shop.see(count, coil)
    shop.finish(count)
    assert shop.found(count) == [("found", coil)]
    with pytest.raises(Unreadable, match="Nobody has said how much"):
        shop.settle(count, "brought_back")
    shop.settle(count, "brought_back", amount=120_000)
    assert shop.spot(coil) == {shop.place(YARD): 120_000}
    assert shop.account(coil)["difference"] == -120_000
    shop.closes()


def test_boxes_that_were_tipped_out_are_put_right_in_their_run(shop: Counting) -> None:
    lot = shop.boxes()
    shop.at("packing", BringBack(shop.item(lot, 2), "torn"))
    count = shop.start("pack_floor")
    shop.see(count, shop.item(lot, 1), to=shop.item(lot, 6))
    shop.finish(count)
    assert ("found", shop.item(lot, 2)) in shop.found(count)
    seq = shop.found(count).index(("found", shop.item(lot, 2))) + 1
    with pytest.raises(Refused, match="is recorded as used"):
        shop.settle(count, "brought_back", seq)
    shop.settle(count, "left", seq)
    assert lot in shop.doubts()


def test_goods_taken_back_are_found_and_nothing_stands_of_them(shop: Counting) -> None:
    coil = shop.coil()
    shop.at("receiving", Undo(), "receiver")
    count = shop.start()
    assert "It was taken back: listed as found." in shop.see(count, coil).say
    shop.finish(count)
    with pytest.raises(Unreadable):
        shop.settle(count, "brought_back", amount=5)
    shop.settle(count, "stays")
    assert shop.doubts() == set()
    shop.closes()


# ---- weight


def test_another_weight_beyond_the_scales_is_a_difference_of_what_stands(shop: Counting) -> None:
    coil, near = shop.coil(), shop.coil()
    count = shop.start()
    shop.see(count, coil)
    assert shop.see(count, coil, amount=1_980_000).say == (
        f"{shown(coil)}: 1\u202f980\u202fkg found, 2\u202f000\u202fkg recorded."
    )
    shop.see(count, near, amount=1_995_000)  # one step of the gate scale
    shop.finish(count)
    assert shop.found(count) == [("weight differs", coil)]
    assert shop.doubts() == {coil}
    shop.settle(count, "corrected")
    assert shop.spot(coil) == {shop.place(YARD): 1_980_000}
    assert shop.account(coil) == {"born": -2_000_000, "difference": 20_000}
    assert shop.house.ask(find_lot, coil).amount == 2_000_000, "what it was born with is another question"
    shop.closes()


def test_the_last_weighing_counts_and_what_is_recorded_may_be_kept(shop: Counting) -> None:
    coil = shop.coil()
    count = shop.start()
    shop.see(count, coil, amount=2_100_000)
    shop.see(count, coil, amount=2_050_000)
    shop.finish(count)
    [row] = shop.house.ask(differences_of, count)
    assert (row.amount, row.weighed) == (2_000_000, 2_050_000)
    shop.settle(count, "kept")
    assert shop.spot(coil) == {shop.place(YARD): 2_000_000}
    shop.closes()


def test_a_weight_far_off_is_asked_about_once(shop: Counting) -> None:
    coil = shop.coil()
    count = shop.start()
    with pytest.raises(Question, match="are recorded"):
        shop.see(count, coil, amount=200_000)
    asked = shop.question(CountGoods(count, coil, amount=200_000), "receiving", who="receiver")
    answer = {asked.identifier: "yes"}
    shop.at("receiving", CountGoods(count, coil, amount=200_000), "receiver", answers=answer)
    shop.finish(count)
    assert shop.found(count) == [("weight differs", coil)]
