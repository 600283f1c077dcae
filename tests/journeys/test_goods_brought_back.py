"""Do boxes tipped out again, and lots divided, keep their origin, their holds and every gram?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from houses import a_house
from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.holds.handling import PlaceHold
from lotroot.holds.reach import held_by
from lotroot.labelling.tables import print_job
from lotroot.moving.pallets import ClosePallet, OpenPallet, PutOn
from lotroot.production.bringing_back import BringBack
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.parting import SplitLot
from lotroot.questions import open_questions
from lotroot.receiving.commands import OpenStock
from lotroot.stock.standing import lines_of_lot
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path))
    yield opened
    opened.house.database.close()


def boxes(shop: Shop, count: int = 8) -> str:
    shop.in_the_hopper()
    return shop.at("packing", MakeOutput(count=count)).numbers[0]


def links(shop: Shop, lot: str) -> list[tuple[str, int, int, int, int]]:
    """parent, parent_from, parent_to, taken, given"""
    found = shop.house.ask(lambda c: links_of(c, find_lot(c, lot).id))
    return [(one.parent_number, one.parent_from, one.parent_to, one.taken, one.given) for one in found]


def test_torn_boxes_become_a_lot_of_what_they_were_filled_from(shop: Shop) -> None:
    lot = boxes(shop)
    command = BringBack(
        shop.item(lot, 3), "torn", to=shop.item(lot, 5), weight=74_600, carrier=shop.pan("pan_05")
    )
    answer = shop.at("packing", command)
    child = answer.numbers[0]
    assert answer.say.endswith(f"Destroy the labels of items 3 to 5 of {lot[:3]}-{lot[3:9]}-{lot[9:]}.")
    row = shop.house.ask(find_lot, child)
    assert (row.kind, row.product, row.amount, row.how) == (
        "tumbled_nails",
        "tumbled_25x50",
        74_600,
        "weighed",
    )
    assert links(shop, child) == [(lot, 3, 5, 74_600, 74_600)]
    assert shop.stands(lot) == [(1, 2, 50_000), (6, 8, 75_000)]
    assert shop.account(lot) == {"born": -200_000, "taken": 74_600, "difference": 400}
    reasons = {one.reason for one in shop.house.ask(lines_of_lot, lot) if one.account == "taken"}
    assert reasons == {"brought back: Box torn"}
    assert shop.house.rows(print_job)[-1]["number"] == child
    shop.closes()


def test_what_was_tipped_out_is_packed_again(shop: Shop) -> None:
    lot = boxes(shop)
    child = shop.at("packing", BringBack(shop.item(lot, 1), "wet", carrier=shop.pan("pan_05"))).numbers[0]
    shop.asked(CloseRun(), "off")
    shop.at("packing", LoadInput(shop.pan("pan_05"), product="box_25x50"))
    again = shop.at("packing", MakeOutput(count=1)).numbers[0]
    assert again != lot
    assert [one[0] for one in links(shop, again)] == [child]
    shop.closes()


def test_weights_of_single_boxes_come_back_with_them(shop: Shop) -> None:
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(weights=(25_010, 25_020, 25_030))).numbers[0]
    place = shop.place("rack_a")
    child = shop.at("packing", BringBack(shop.item(lot, 2), "torn", place=place)).numbers[0]
    assert shop.house.ask(find_lot, child).amount == 25_020
    assert shop.house.ask(find_lot, child).how == "calculated"
    assert shop.stands(lot) == [(1, 1, 25_010), (3, 3, 25_030)]
    shop.closes()


def test_holds_flow_through_the_serials_that_came_back(shop: Shop) -> None:
    lot = boxes(shop)
    shop.at("packing", PlaceHold("light", lot, 2, 3), "qa")
    held = shop.at("packing", BringBack(shop.item(lot, 3), "torn")).numbers[0]
    free = shop.at("packing", BringBack(shop.item(lot, 6), "torn")).numbers[0]
    assert [one.reason for one in shop.house.ask(held_by, held)] == ["light"]
    assert shop.house.ask(held_by, free) == []
    shop.at("packing", PlaceHold("brittle", lot), "qa")
    assert [one.reason for one in shop.house.ask(held_by, free)] == ["brittle"]
    shop.closes()


def test_boxes_of_a_whole_lot_come_back_with_gaps(shop: Shop) -> None:
    lot = boxes(shop)
    shop.at("packing", BringBack(shop.item(lot, 4), "torn"))
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 7), shop.item(lot, 8)))
    shop.at("packing", ClosePallet(pallet))
    child = shop.at("packing", BringBack(lot, "wet", weight=174_999)).numbers[0]
    assert links(shop, child) == [(lot, 1, 3, 74_999, 74_999), (lot, 5, 8, 100_000, 100_000)]
    assert shop.stands(lot) == []
    assert shop.account(lot) == {"born": -200_000, "taken": 199_999, "difference": 1}
    shop.closes()


def test_more_than_went_in_is_asked_about_once(shop: Shop) -> None:
    lot = boxes(shop)
    command = BringBack(shop.item(lot, 1), "torn", weight=26_000)
    assert "25\u202fkg went into them" in shop.question(command).what
    child = shop.asked(command, "yes").numbers[0]
    assert shop.house.ask(find_lot, child).amount == 26_000
    assert shop.account(lot) == {"born": -200_000, "taken": 26_000, "difference": -1_000}
    assert [row.subject for row in shop.house.ask(open_questions)] == [lot]
    shop.closes()


def test_a_pan_that_shows_nails_is_topped_up_or_was_empty(shop: Shop) -> None:
    lot = boxes(shop)
    first = shop.at("packing", BringBack(shop.item(lot, 1), "torn", carrier=shop.pan("pan_05"))).numbers[0]
    second = shop.asked(BringBack(shop.item(lot, 2), "torn", carrier=shop.pan("pan_05")), "topped").numbers[0]
    assert [one[0] for one in links(shop, second)] == [lot, first]
    assert shop.house.ask(find_lot, second).amount == 50_000
    assert shop.stands(first) == []
    third = shop.asked(BringBack(shop.item(lot, 3), "torn", carrier=shop.pan("pan_05")), "emptied").numbers[0]
    assert [one[0] for one in links(shop, third)] == [lot]
    assert shop.account(second)["difference"] == 50_000
    with pytest.raises(Refused, match="holds"):
        shop.asked(BringBack(shop.item(lot, 4), "torn", carrier=shop.pan("pan_05")), "wrong")
    shop.closes()


def mixed_boxes(shop: Shop) -> str:
    """Boxes across two pans: the first four of tumbled nails, the rest of bright ones."""
    nails = shop.nails(shop.drawn(shop.coil(), 500_000)[0], 200_000)
    tumbled = shop.tumbled(nails, 100_000)
    bright = shop.at("nail_1", MakeOutput(weight=100_000, carrier=shop.pan("pan_16"))).numbers[0]
    for lot in (tumbled, bright):
        shop.at("packing", LoadInput(lot, product="box_25x50"))
    return shop.at("packing", MakeOutput(count=8)).numbers[0]


def test_what_it_is_now_is_asked_where_it_was_made_of_several(shop: Shop) -> None:
    lot = mixed_boxes(shop)
    command = BringBack(shop.item(lot, 1), "torn", to=shop.item(lot, 8))
    question = shop.question(command)
    assert question.choices == {
        "tumbled_25x50": "Nails 2.5 x 50, tumbled",
        "nail_25x50": "Nails 2.5 x 50, bright",
    }
    child = shop.asked(command, "nail_25x50").numbers[0]
    assert shop.house.ask(find_lot, child).kind == "nail_lot"
    shop.closes()


def test_a_named_product_must_be_of_a_kind_it_was_made_of(shop: Shop) -> None:
    lot = boxes(shop)
    with pytest.raises(Refused, match="cannot become Wire rod"):
        shop.at("packing", BringBack(shop.item(lot, 1), "torn", product="rod_55"))
    child = shop.at("packing", BringBack(shop.item(lot, 1), "torn", product="tumbled_25x60")).numbers[0]
    assert shop.house.ask(find_lot, child).product == "tumbled_25x60"


def test_a_bundle_opened_comes_back_in_pieces(shop: Shop) -> None:
    coil = shop.coil("coil_40x1250", 5_000_000)
    shop.at("roll_1", LoadInput(coil, product="sheet_t35"))
    lot = shop.at("roll_1", MakeOutput(count=3)).numbers[0]
    command = BringBack(shop.item(lot, 2), "damaged", count=47, product="sheet_t35")
    child = shop.at("roll_1", command).numbers[0]
    row = shop.house.ask(find_lot, child)
    assert (row.amount, row.unit, row.axis, row.how) == (47, "pcs", "amount", "counted")
    assert shop.account(lot) == {"born": -150, "taken": 47, "difference": 3}
    [link] = links(shop, child)
    assert link == (
        lot,
        2,
        2,
        47,
        706_500_000 // 1_000,
    )  # 50 sheets at 14.13 kg, of which no weight was given
    shop.closes()


def test_items_without_parents_need_a_product(shop: Shop) -> None:
    command = OpenStock(product="box_25x50", amount=100_000, items=4, place=shop.place("rack_a"))
    lot = shop.at("receiving", command, "supervisor").numbers[0]
    with pytest.raises(Refused, match="is not recorded"):
        shop.at("packing", BringBack(shop.item(lot, 1), "torn"))


def loose(shop: Shop, amount: int = 199_000) -> str:
    """A tumbled lot in pan 19 that was here before the system."""
    command = OpenStock(product="tumbled_25x50", amount=amount, place=shop.place("tumble_floor"))
    lot = shop.at("receiving", command, "supervisor").numbers[0]
    shop.at("tumbler_1", PutOn(shop.pan("pan_19"), lot))
    return lot


@pytest.mark.parametrize(
    ("command", "error", "said"),
    [
        (lambda shop, lot: BringBack(lot, " "), Unreadable, "needs a reason"),
        (lambda shop, lot: BringBack(loose(shop), "torn"), Refused, "is not items of one lot"),
        (
            lambda shop, lot: BringBack(shop.item(lot, 7), "torn", to=shop.item(lot, 9)),
            Refused,
            "not recorded as standing",
        ),
        (lambda shop, lot: BringBack(shop.item(lot, 1), "torn", place=lot), Refused, "is no place"),
        (lambda shop, lot: SplitLot(lot, 100), Refused, "told by items"),
        (lambda shop, lot: SplitLot(loose(shop), 0), Unreadable, "has no amount"),
        (lambda shop, lot: SplitLot(loose(shop), 5, product="tile_wave"), Refused, "cannot become"),
    ],
)
def test_what_does_not_fit_is_refused(shop: Shop, command: Any, error: type[Exception], said: str) -> None:
    lot = boxes(shop)
    with pytest.raises(error, match=said):
        shop.at("packing", command(shop, lot))
    assert len(shop.stands(lot)) == 1


# ---------------------------------------------------------------- part of a lot


def test_part_of_a_lot_gets_its_own_number_and_the_holds_of_the_whole(shop: Shop) -> None:
    lot = loose(shop)
    command = SplitLot(shop.pan("pan_19"), 40_000, carrier=shop.pan("pan_07"), reason="set_up")
    child = shop.at("packing", command).numbers[0]
    assert links(shop, child) == [(lot, None, None, 40_000, 40_000)]
    assert shop.stands(lot) == [(0, 0, 159_000)]
    assert shop.stands(child) == [(0, 0, 40_000)]
    shop.at("packing", PlaceHold("look again", lot), "qa")
    assert [one.reason for one in shop.house.ask(held_by, child)] == ["look again"]
    shop.at("packing", PlaceHold("brittle", child), "qa")
    assert [one.reason for one in shop.house.ask(held_by, lot)] == ["look again"], "not back to the whole"
    shop.closes()


def test_part_of_a_lot_may_be_of_another_product(shop: Shop) -> None:
    lot = loose(shop)
    child = shop.at("packing", SplitLot(lot, 50_000, product="nail_25x50")).numbers[0]
    row = shop.house.ask(find_lot, child)
    assert (row.kind, row.product) == ("nail_lot", "nail_25x50")
    shop.closes()


def test_part_of_a_pack_is_told_in_pieces_and_linked_in_volume(shop: Shop) -> None:
    command = OpenStock(product="lumber_2x4x12", amount=294, place=shop.place("lumber_yard"))
    lot = shop.at("receiving", command, "supervisor").numbers[0]
    child = shop.at("receiving", SplitLot(lot, 100), "supervisor").numbers[0]
    [link] = links(shop, child)
    assert link == (lot, None, None, 100, 100 * 12_388_620 // 1000)
    assert shop.stands(lot) == [(0, 0, 194)]
    shop.closes()


def test_more_than_is_there_is_asked_about_and_becomes_a_difference(shop: Shop) -> None:
    lot = loose(shop)
    child = shop.asked(SplitLot(lot, 200_000), "yes").numbers[0]
    assert shop.house.ask(find_lot, child).amount == 200_000
    assert shop.account(lot) == {"born": -199_000, "taken": 200_000, "difference": -1_000}
    assert [row.subject for row in shop.house.ask(open_questions)] == [lot]
    shop.closes()


def test_a_part_is_not_poured_onto_other_goods(shop: Shop) -> None:
    lot = loose(shop)
    shop.at("packing", SplitLot(lot, 10_000, carrier=shop.pan("pan_07")))
    with pytest.raises(Refused, match="would be mixed"):
        shop.asked(SplitLot(lot, 10_000, carrier=shop.pan("pan_07")), "topped")


def test_a_loaded_lot_is_taken_off_before_it_is_divided(shop: Shop) -> None:
    coil = shop.coil()
    shop.drawn(coil, 500_000)
    with pytest.raises(Refused, match="does not stand here"):
        shop.at("draw_1", SplitLot(coil, 100_000))
