"""Does nothing take goods from under a run or a shipment, so that both still close?"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from houses import a_house
from lotroot.dispatch.handling import LoadShipment, OpenShipment, ReturnGoods, SendShipment, UnloadShipment
from lotroot.errors import Refused
from lotroot.holds.reach import held_by
from lotroot.moving.pallets import ClosePallet, EmptyCarrier, OpenPallet, PutOn, Restack, TakeOff
from lotroot.moving.places import MoveGoods
from lotroot.production.blocks import PrintBlock
from lotroot.production.bringing_back import BringBack
from lotroot.production.loading import LoadInput
from lotroot.production.packing import PackItems
from lotroot.production.parting import SplitLot
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path))
    yield opened
    opened.house.database.close()


class Load(NamedTuple):
    """Boxes 1 to 8, without 5, on a pallet on a shipment; boxes 9 to 12 stand by."""

    shop: Shop
    lot: str
    pallet: str
    shipment: str

    def box(self, serial: int) -> str:
        return self.shop.item(self.lot, serial)


def loaded(shop: Shop, *, sent: bool = False) -> Load:
    shop.in_the_hopper()
    lot = shop.at("packing", PrintBlock(12)).numbers[0]
    shop.at("packing", PackItems(shop.item(lot, 1), shop.item(lot, 12), (5,)))
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 1), shop.item(lot, 4)))
    shop.at("packing", PutOn(pallet, shop.item(lot, 6), shop.item(lot, 8)))
    shop.at("packing", ClosePallet(pallet))
    shipment = shop.at("dispatch", OpenShipment("osprey"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, pallet), "dispatcher")
    if sent:
        shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    return Load(shop, lot, pallet, shipment)


TAKING = [
    pytest.param(lambda load: MoveGoods(load.box(2), load.shop.place("rack_a")), id="move a box"),
    pytest.param(lambda load: MoveGoods(load.pallet, load.shop.place("rack_a")), id="move the pallet"),
    pytest.param(lambda load: TakeOff(load.box(2)), id="take a box off"),
    pytest.param(lambda load: Restack((load.pallet,)), id="re-stack"),
    pytest.param(lambda load: EmptyCarrier(load.pallet), id="empty"),
    pytest.param(lambda load: BringBack(load.box(2), "torn"), id="tip out"),
    pytest.param(
        lambda load: PutOn(load.shop.at("packing", OpenPallet()).numbers[0], load.box(2)), id="put elsewhere"
    ),
]


@pytest.mark.parametrize("sent", [False, True], ids=["loaded", "left"])
@pytest.mark.parametrize("taking", TAKING)
def test_what_is_on_a_shipment_is_taken_off_there_first(
    shop: Shop, taking: Callable[[Load], Any], sent: bool
) -> None:
    load = loaded(shop, sent=sent)
    command = taking(load)
    before = shop.house.status()
    with pytest.raises(Refused) as refused:
        shop.at("packing", command)
    assert (
        f"{load.shipment[:3]}-{load.shipment[3:9]}" in refused.value.what or "has left" in refused.value.what
    )
    assert shop.house.status() == before


def test_taken_off_the_shipment_a_pallet_may_be_moved_again(shop: Shop) -> None:
    load = loaded(shop)
    shop.at("dispatch", UnloadShipment(load.shipment, load.pallet), "dispatcher")
    shop.at("packing", MoveGoods(load.pallet, shop.place("rack_a")))
    shop.at("packing", Restack((load.pallet, load.pallet)))
    shop.closes()


def test_returned_boxes_are_tipped_out_and_stay_awaiting_checks(shop: Shop) -> None:
    load = loaded(shop, sent=True)
    shop.at("dispatch", ReturnGoods(load.pallet, "faulty"), "dispatcher")
    child = shop.at("packing", BringBack(load.box(1), "torn", weight=24_000)).numbers[0]
    assert [one.kind for one in shop.house.ask(held_by, child)] == ["checks"]
    assert shop.house.ask(held_by, load.lot, 9, 12) == [], "the boxes that stayed are free"
    shop.closes()


@pytest.mark.parametrize(
    "taking",
    [
        lambda shop, coil: MoveGoods(coil, shop.place("coil_yard")),
        lambda shop, coil: TakeOff(coil),
        lambda shop, coil: SplitLot(coil, 1_000),
    ],
    ids=["move", "take off", "divide"],
)
def test_a_loaded_coil_is_taken_off_its_machine_first(shop: Shop, taking: Callable[..., Any]) -> None:
    coil = shop.coil()
    shop.drawn(coil, 500_000)
    with pytest.raises(Refused, match=r"on a machine|does not stand here"):
        shop.at("draw_1", taking(shop, coil))
    shop.closes()


def test_nails_in_a_pan_that_was_sent_are_not_loaded(shop: Shop) -> None:
    nails = shop.nails(shop.drawn(shop.coil(), 500_000)[0], 100_000)
    shipment = shop.at("dispatch", OpenShipment("osprey"), "dispatcher").numbers[0]
    shop.at("packing", ClosePallet(shop.pan("pan_17")))
    shop.at("dispatch", LoadShipment(shipment, shop.pan("pan_17")), "dispatcher")
    with pytest.raises(Refused, match="is shipped"):
        shop.at("tumbler_1", LoadInput(nails, product="tumbled_25x50"))
