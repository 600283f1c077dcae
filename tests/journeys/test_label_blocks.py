"""Are labels printed in blocks used, spoiled and returned so that each one is accounted for?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from houses import a_house
from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.tables import print_job
from lotroot.moving.pallets import OpenPallet, PutOn
from lotroot.production.blocks import PrintBlock, ReturnLabels
from lotroot.production.bringing_back import BringBack
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.packing import PackItems
from lotroot.production.serials import BlockAccount, block_account
from lotroot.stock.standing import weights
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path))
    opened.in_the_hopper()
    yield opened
    opened.house.database.close()


def block(shop: Shop, count: int = 20) -> str:
    return shop.at("packing", PrintBlock(count)).numbers[0]


def pack(shop: Shop, lot: str, first: int, last: int, **more: Any) -> Any:
    return shop.at("packing", PackItems(shop.item(lot, first), shop.item(lot, last), **more))


def account(shop: Shop, lot: str) -> BlockAccount:
    found = shop.house.ask(block_account, lot)
    assert isinstance(found, BlockAccount)
    return found


def counts(shop: Shop, lot: str) -> tuple[int, int, int, int]:
    """printed, used, spoiled, returned"""
    found = account(shop, lot)
    return len(found.printed), len(found.used), len(found.spoiled), len(found.returned)


def test_a_block_reserves_serials_of_a_lot_that_is_still_empty(shop: Shop) -> None:
    answer = shop.at("packing", PrintBlock(20))
    lot = answer.numbers[0]
    assert "labels 1 to 20" in answer.say
    row = shop.house.ask(find_lot, lot)
    assert (row.amount, row.items, row.axis) == (0, 20, "serial")
    assert shop.stands(lot) == []
    job = shop.house.rows(print_job)[-1]
    assert (job["number"], job["first"], job["last"]) == (lot, 1, 20)
    shop.closes()


def test_boxes_get_the_serials_of_the_labels_that_were_used(shop: Shop) -> None:
    lot = block(shop)
    answer = pack(shop, lot, 1, 12, spoiled=(5,))
    assert "items 1 to 4, 6 to 12" in answer.say
    assert "Destroy the labels 5" in answer.say
    assert shop.stands(lot) == [(1, 4, 100_000), (6, 12, 175_000)]
    links = shop.house.ask(lambda c: links_of(c, find_lot(c, lot).id))
    assert [(link.child_from, link.child_to, link.given) for link in links] == [
        (1, 4, 100_000),
        (6, 12, 175_000),
    ]
    assert counts(shop, lot) == (20, 11, 1, 0)
    assert shop.house.ask(find_lot, lot).amount == 275_000
    shop.closes()


def test_closing_the_run_returns_what_is_left_over(shop: Shop) -> None:
    lot = block(shop)
    pack(shop, lot, 1, 12, spoiled=(5,))
    shop.at("packing", ReturnLabels(shop.item(lot, 19), shop.item(lot, 20)))
    assert account(shop, lot).open == frozenset(range(13, 19))
    assert not account(shop, lot).closes
    answer = shop.asked(CloseRun(), "off")
    assert "Destroy the labels 13 to 18" in answer.say
    assert counts(shop, lot) == (20, 11, 1, 8)
    assert account(shop, lot).closes
    shop.closes()


def test_blocks_may_be_used_out_of_their_order(shop: Shop) -> None:
    lot = block(shop, 10)
    assert block(shop, 10) == lot
    pack(shop, lot, 11, 15)
    pack(shop, lot, 1, 3)
    made = shop.at("packing", MakeOutput(count=2))
    assert made.numbers[0] == lot
    assert "items 21 to 22" in made.say
    assert shop.stands(lot) == [(1, 3, 75_000), (11, 15, 125_000), (21, 22, 50_000)]
    assert counts(shop, lot) == (20, 8, 0, 0)
    shop.closes()


def test_weights_go_to_the_boxes_that_were_weighed(shop: Shop) -> None:
    lot = block(shop)
    pack(shop, lot, 1, 4, spoiled=(2,), weights=(25_010, 25_030, 25_040))
    assert shop.house.ask(weights, lot, 1, 20) == {1: 25_010, 3: 25_030, 4: 25_040}
    assert shop.stands(lot) == [(1, 1, 25_010), (3, 4, 50_070)]
    shop.closes()


@pytest.mark.parametrize(
    ("first", "last", "more", "said"),
    [
        (3, 12, {}, "label 3 to 4 is packed already"),
        (5, 6, {}, "label 5 was given up as spoiled"),
        (18, 19, {}, "label 18 to 19 was returned to be destroyed"),
        (9, 25, {}, "label 21 to 25 was not printed in a block"),
        (1, 4, {}, "1 to 4 are recorded already"),
        (1, 5, {"spoiled": (5,)}, "1 to 5 are recorded already"),
    ],
)
def test_a_label_is_used_once(shop: Shop, first: int, last: int, more: dict[str, Any], said: str) -> None:
    lot = block(shop)
    pack(shop, lot, 1, 5, spoiled=(5,))
    shop.at("packing", ReturnLabels(shop.item(lot, 18), shop.item(lot, 20)))
    with pytest.raises(Refused, match=said):
        pack(shop, lot, first, last, **more)
    assert counts(shop, lot) == (20, 4, 1, 3)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"spoiled": (7,)}, "outside 1 to 4"),
        ({"weights": (25_000,)}, "not as many weights as items"),
        ({"weights": (25_000, 25_000, 0, 25_000)}, "a number is missing"),
    ],
)
def test_what_does_not_fit_is_sent_back(shop: Shop, more: dict[str, Any], said: str) -> None:
    lot = block(shop)
    with pytest.raises(Unreadable, match=said):
        pack(shop, lot, 1, 4, **more)
    assert shop.stands(lot) == []


def test_labels_of_two_lots_are_no_row(shop: Shop) -> None:
    lot = block(shop)
    with pytest.raises(Unreadable, match="no row of items"):
        shop.at("packing", PackItems(shop.item(lot, 3), shop.item(lot, 1)))


def test_only_goods_told_by_items_have_blocks(shop: Shop) -> None:
    with pytest.raises(Refused, match="labelled when it is made"):
        shop.at("draw_1", PrintBlock(5))


def test_many_labels_are_asked_about_once(shop: Shop) -> None:
    assert shop.question(PrintBlock(2_000)).what == "Print 2000 labels at once?"
    lot = shop.asked(PrintBlock(2_000), "yes").numbers[0]
    assert counts(shop, lot) == (2_000, 0, 0, 0)


def test_nothing_goes_on_a_pallet_before_it_is_packed(shop: Shop) -> None:
    lot = block(shop)
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    with pytest.raises(Refused, match="not packed yet"):
        shop.at("packing", PutOn(pallet, shop.item(lot, 3)))


def test_a_block_that_jammed_is_printed_again(shop: Shop) -> None:
    lot = block(shop)
    answer = shop.at("packing", PrintAgain(lot, "jammed", 3, 20))
    assert "items 3 to 20, is printed as copy 2" in answer.say


def test_more_boxes_than_nails_are_asked_about_once_for_all(shop: Shop) -> None:
    lot = block(shop, 60)
    command = PackItems(shop.item(lot, 1), shop.item(lot, 50), (2, 9))
    assert "is loaded. Is the number right?" in shop.question(command).what
    answer = shop.asked(command, "yes")
    assert answer.verdict == "in_question"
    assert counts(shop, lot) == (60, 48, 2, 0)
    shop.closes()


def test_a_lot_in_use_grows_no_more_and_its_boxes_get_new_labels(shop: Shop) -> None:
    lot = block(shop)
    pack(shop, lot, 1, 5)
    shop.at("packing", BringBack(shop.item(lot, 2), "torn", carrier=shop.pan("pan_05")))
    answer = pack(shop, lot, 6, 8, spoiled=(7,))
    fresh = answer.numbers[0]
    assert fresh != lot
    assert "Stick the new labels over 6, 8" in answer.say
    assert shop.stands(fresh) == [(1, 2, 50_000)]
    assert counts(shop, lot) == (20, 5, 1, 2)
    assert block(shop) == fresh, "the next block is for the lot the run goes on under"
    shop.closes()
