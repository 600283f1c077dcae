"""Is a row of items that reaches into what is elsewhere refused, saying which and where?"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import plants
import pytest
from houses import a_house
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.errors import Refused
from lotroot.identity.showing import shown
from lotroot.ledger.book import head
from lotroot.moving.pallets import ClosePallet, OpenPallet, PutOn
from lotroot.production.blocks import PrintBlock
from lotroot.production.bringing_back import BringBack
from lotroot.production.loading import LoadInput
from lotroot.production.packing import PackItems
from lotroot.questions import open_questions
from lotroot.stock.carriers import find_carrier
from lotroot.voiding.handling import Undo
from shop import Shop

TAKES_BOXES = plants.demo_text().replace(
    "[process.tumbling]\n",
    '[process.tumbling.input.boxes]\nname = "Boxes"\nstream = "steel"\nkinds = ["boxed_nails"]\n\n'
    "[process.tumbling]\n",
)
"""The invented plant, but whole boxes may be tumbled once more: its own takes no items on a machine."""


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path, TAKES_BOXES))
    opened.in_the_hopper()
    yield opened
    opened.house.database.close()


def boxes(shop: Shop, *spoiled: int) -> str:
    """A lot of twelve boxes on the packing floor."""
    lot = shop.at("packing", PrintBlock(12)).numbers[0]
    shop.at("packing", PackItems(shop.item(lot, 1), shop.item(lot, 12), spoiled))
    return lot


def pallet(shop: Shop, *numbers: str, closed: bool = True) -> str:
    number = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(number, *numbers))
    if closed:
        shop.at("packing", ClosePallet(number))
    return number


def shipment(shop: Shop, number: str, *, left: bool = False) -> str:
    opened = shop.at("dispatch", OpenShipment("osprey"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(opened, number), "dispatcher")
    if left:
        shop.at("dispatch", SendShipment(opened, opened), "dispatcher")
    return opened


def on_a_pallet(shop: Shop) -> tuple[str, list[str]]:
    lot = boxes(shop)
    there = pallet(shop, shop.item(lot, 7))
    return lot, [f"{shown(shop.item(lot, 7))} is on pallet {shown(there)}"]


def in_the_row_of_a_pallet(shop: Shop) -> tuple[str, list[str]]:
    lot = boxes(shop)
    there = pallet(shop, shop.item(lot, 7), shop.item(lot, 11), closed=False)
    return lot, [f"tems 7 to 9 of {shown(lot)} are on pallet {shown(there)}"]


def on_a_pallet_that_left(shop: Shop) -> tuple[str, list[str]]:
    lot = boxes(shop)
    there = pallet(shop, shop.item(lot, 7))
    gone = shipment(shop, there, left=True)
    return lot, [f"{shown(shop.item(lot, 7))} is on pallet {shown(there)}, on shipment {shown(gone)}"]


def on_a_shipment(shop: Shop) -> tuple[str, list[str]]:
    lot = boxes(shop)
    return lot, [f"{shown(shop.item(lot, 7))} is on shipment {shown(shipment(shop, shop.item(lot, 7)))}"]


def on_two(shop: Shop) -> tuple[str, list[str]]:
    lot = boxes(shop)
    gone = shipment(shop, shop.item(lot, 9))
    there = shipment(shop, pallet(shop, shop.item(lot, 6)))
    return lot, [
        f"{shown(shop.item(lot, 9))} is on shipment {shown(gone)}",
        f"{shown(shop.item(lot, 6))} is on pallet ",
        f", on shipment {shown(there)}",
    ]


def spoiled(shop: Shop) -> tuple[str, list[str]]:
    return boxes(shop, 7), ["not recorded as standing here: 7 never packed."]


def tipped_out(shop: Shop) -> tuple[str, list[str]]:
    lot = boxes(shop, 9)
    shop.at("packing", BringBack(shop.item(lot, 6), "torn", shop.item(lot, 7), weight=49_000))
    return lot, ["not recorded as standing here: 6 to 7 used up or tipped out, 9 never packed."]


ELSEWHERE = [
    on_a_pallet,
    in_the_row_of_a_pallet,
    on_a_pallet_that_left,
    on_a_shipment,
    on_two,
    spoiled,
    tipped_out,
]


def packed(shop: Shop, lot: str) -> Callable[[], Any]:
    carrier = shop.at("packing", OpenPallet()).numbers[0]
    return lambda: shop.at("packing", PutOn(carrier, shop.item(lot, 5), shop.item(lot, 9)))


def shipped(shop: Shop, lot: str) -> Callable[[], Any]:
    other = shop.at("dispatch", OpenShipment("tamarind"), "dispatcher").numbers[0]
    load = LoadShipment(other, shop.item(lot, 5), shop.item(lot, 9))
    return lambda: shop.at("dispatch", load, "dispatcher")


@pytest.mark.parametrize("door", [packed, shipped])
@pytest.mark.parametrize("elsewhere", ELSEWHERE)
def test_boxes_5_to_9_are_refused_where_some_are_elsewhere(
    shop: Shop, elsewhere: Callable[..., Any], door: Callable[..., Any]
) -> None:
    lot, said = elsewhere(shop)
    act = door(shop, lot)
    before = shop.house.ask(head)
    with pytest.raises(Refused) as refused:
        act()
    assert all(words in refused.value.what for words in said), refused.value.what
    assert shop.house.ask(head) == before
    shop.closes()


@pytest.mark.parametrize("elsewhere", [on_a_pallet, on_a_pallet_that_left, on_a_shipment])
def test_a_box_that_is_elsewhere_goes_onto_no_machine(shop: Shop, elsewhere: Callable[..., Any]) -> None:
    lot, [said] = elsewhere(shop)
    before = shop.house.ask(head)
    with pytest.raises(Refused) as refused:
        shop.at("tumbler_1", LoadInput(shop.item(lot, 7), product="tumbled_25x50"))
    assert said in refused.value.what
    assert shop.house.ask(head) == before


def test_a_lot_of_which_some_is_on_a_pallet_goes_onto_no_machine(shop: Shop) -> None:
    lot, [said] = in_the_row_of_a_pallet(shop)
    with pytest.raises(Refused) as refused:
        shop.at("tumbler_1", LoadInput(lot, product="tumbled_25x50"))
    assert said.replace("7 to 9", "7 to 11") in refused.value.what


def test_a_single_box_in_hand_may_come_from_another_pallet(shop: Shop) -> None:
    lot = boxes(shop)
    there = pallet(shop, shop.item(lot, 6), shop.item(lot, 7))
    answer = shop.at("packing", PutOn(shop.at("packing", OpenPallet()).numbers[0], shop.item(lot, 7)))
    assert f"Pallet {shown(there)} is open again" in answer.say
    shop.closes()


def test_what_has_happened_already_is_recorded_and_in_question(shop: Shop) -> None:
    lot, [said] = on_a_pallet(shop)
    carrier = shop.at("packing", OpenPallet()).numbers[0]
    row = PutOn(carrier, shop.item(lot, 5), shop.item(lot, 9))
    answer = shop.at("packing", row, already=True, supervisor=shop.house.people["supervisor"])
    assert ("5 items" in answer.say, answer.verdict) == (True, "in_question")
    assert [said in one.reason for one in shop.house.ask(open_questions)] == [True]
    shop.closes()


def test_a_closed_pallet_of_which_a_box_is_tipped_out_is_open_again(shop: Shop) -> None:
    lot = boxes(shop)
    there = pallet(shop, shop.item(lot, 7), shop.item(lot, 8))
    said = shop.at("packing", BringBack(shop.item(lot, 7), "torn")).say
    assert f"Pallet {shown(there)} is open again: destroy its label." in said
    assert shop.house.ask(find_carrier, there).state == "open"
    shop.at("packing", Undo())
    assert shop.house.ask(find_carrier, there).state == "closed"


def test_one_whose_last_box_goes_is_emptied(shop: Shop) -> None:
    lot = boxes(shop)
    there = pallet(shop, shop.item(lot, 7))
    said = shop.at("packing", BringBack(shop.item(lot, 7), "torn")).say
    assert f"Nothing is left on pallet {shown(there)}: destroy its label." in said
    assert shop.house.ask(find_carrier, there).state == "emptied"
