"""Is everything found, from a box back to its coils and from a coil to every customer?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from houses import House, a_house
from lineage_shape import check_lineage
from lotroot.dispatch.handling import LoadShipment, OpenShipment, ReturnGoods, SendShipment
from lotroot.errors import Unknown, Unreadable
from lotroot.holds.handling import PlaceHold, ReleaseHold
from lotroot.identity.showing import shown
from lotroot.moving.pallets import ClosePallet, EmptyCarrier, OpenPallet, PutOn, Restack, TakeOff
from lotroot.moving.places import MoveGoods
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.tracing import as_json, find, origins, siblings, story, trace
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path))
    yield opened
    opened.house.database.close()


def traced(house: House, number: str, direction: str = "up") -> dict[str, Any]:
    """The lineage as programs get it, checked against the contract."""
    found = as_json(house.ask(trace, number, direction))
    check_lineage(found)
    return found


def parts(found: dict[str, Any]) -> dict[str, dict[str, int]]:
    return {one["lot"]: one["part"] for one in found["lots"]}


def boxed(shop: Shop, *counts: int) -> tuple[list[str], str]:
    """Two coils' nails in the hopper one after the other, so many boxes made of each; coils and boxes."""
    coils, lot = [], ""
    for place, count in enumerate(counts):
        coil = shop.coil(heat=f"HEAT {place}")
        coils.append(coil)
        stripper = shop.drawn(coil, 640_000)[0]
        shop.at("draw_1", CloseRun(), answers={"left-1": "off"})
        nails = shop.nails(stripper, 620_000)
        shop.at("nail_1", CloseRun(), answers={"left-1": "off"})
        shop.tumbled(nails, 600_000)
        pan = LoadInput(shop.pan("pan_18"), product="box_25x50")
        shop.at("packing", pan)
        lot = shop.at("packing", MakeOutput(count=count)).numbers[0]
    return coils, lot


def palletised(shop: Shop, lot: str, first: int, last: int) -> str:
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, first), shop.item(lot, last)))
    shop.at("packing", ClosePallet(pallet))
    return pallet


def sent(shop: Shop, customer: str, *numbers: str) -> str:
    shipment = shop.at("dispatch", OpenShipment(customer), "dispatcher").numbers[0]
    for number in numbers:
        shop.at("dispatch", LoadShipment(shipment, number), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    return shipment


def test_a_box_leads_to_its_coil_and_no_other(shop: Shop) -> None:
    coils, lot = boxed(shop, 24, 20)
    found = traced(shop.house, shop.item(lot, 3))
    sources = {one["lot"] for one in found["lots"] if one["source"]}
    assert sources == {coils[0]}
    assert (found["asked"], found["unit"], found["amount"]) == ("item", "g", 25_000)
    assert [one["depth"] for one in found["lots"]] == [0, 1, 2, 3, 4]
    assert sum(one["part"]["steel"] for one in found["lots"] if one["source"] or one["gap"]) == 25_000


def test_a_coil_leads_to_its_boxes_where_they_stand_and_who_has_them(shop: Shop) -> None:
    coils, lot = boxed(shop, 24, 20)
    mine, mixed = palletised(shop, lot, 1, 20), palletised(shop, lot, 21, 40)
    shipment = sent(shop, "tamarind", mine)
    found = traced(shop.house, coils[0], "down")
    assert parts(found)[lot] == {"steel": 600_000}
    assert found["shipments"] == [
        {
            "shipment": shipment,
            "customer": "tamarind",
            "carriers": [mine],
            "amount": 500_000,
            "unit": "g",
            "part": {"steel": 500_000},
            "least": {"steel": 500_000},
            "most": {"steel": 500_000},
            "bound": {"steel": "exact"},
            "returned": 0,
        }
    ]
    # Four boxes of this coil stand here, and sixteen behind the border that could hold some of it.
    here = {one["place"]: one for one in found["on_hand"] if one["lot"] == lot}
    assert here[shop.place("pack_floor")]["part"] == {"steel": 100_000}
    of_the_other = traced(shop.house, coils[1], "down")
    assert of_the_other["shipments"] == []
    assert parts(of_the_other)[lot] == {"steel": 500_000}
    assert traced(shop.house, mixed)["amount"] == 500_000


def test_a_pallet_is_what_is_on_it_and_afterwards_what_was(shop: Shop) -> None:
    coils, lot = boxed(shop, 24, 20)
    pallet = palletised(shop, lot, 21, 30)
    found = traced(shop.house, pallet)
    assert (found["lot"], found["asked"], found["amount"], found["unit"]) == (pallet, "carrier", 250_000, "g")
    assert {one: parts(found)[one]["steel"] for one in coils} == {coils[0]: 100_000, coils[1]: 150_000}
    became = shop.at("packing", Restack((pallet,))).numbers[0]
    assert parts(traced(shop.house, pallet)) == parts(traced(shop.house, became)) == parts(found)
    shipment = sent_closed(shop, became)
    assert parts(traced(shop.house, became)) == parts(traced(shop.house, shipment)) == parts(found)
    assert traced(shop.house, shipment)["asked"] == "shipment"
    shop.at("dispatch", ReturnGoods(became, "wet"), "dispatcher")
    shop.at("packing", TakeOff(shop.item(lot, 21)))
    assert traced(shop.house, became)["amount"] == 225_000
    shop.at("packing", TakeOff(shop.item(lot, 22), to=shop.item(lot, 30)))
    assert parts(traced(shop.house, became)) == parts(found), "as it was when it was last filled"


def sent_closed(shop: Shop, pallet: str) -> str:
    shop.at("packing", ClosePallet(pallet))
    return sent(shop, "osprey", pallet)


def test_what_came_back_is_told_beside_what_left(shop: Shop) -> None:
    coils, lot = boxed(shop, 24)
    one, other = palletised(shop, lot, 1, 10), palletised(shop, lot, 11, 20)
    shipment = sent(shop, "tamarind", one, other)
    shop.at("dispatch", ReturnGoods(other, "wet"), "dispatcher")
    found = traced(shop.house, coils[0], "down")
    [left] = found["shipments"]
    assert (left["shipment"], left["amount"], left["returned"]) == (shipment, 500_000, 250_000)
    assert left["carriers"] == sorted([one, other])
    back = [entry for entry in found["on_hand"] if entry["lot"] == lot]
    assert sum(entry["amount"] for entry in back) == 350_000
    [box] = traced(shop.house, shop.item(lot, 12), "down")["shipments"]
    assert (box["amount"], box["returned"]) == (25_000, 25_000)


def test_a_shipment_that_has_not_left_is_a_place(shop: Shop) -> None:
    coils, lot = boxed(shop, 24)
    pallet = palletised(shop, lot, 1, 24)
    shipment = shop.at("dispatch", OpenShipment("tamarind"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, pallet), "dispatcher")
    found = traced(shop.house, coils[0], "down")
    assert found["shipments"] == []
    assert [one["place"] for one in found["on_hand"] if one["lot"] == lot] == [shipment]


def test_a_run_is_what_it_made_and_one_that_makes_nothing_new_what_went_through(shop: Shop) -> None:
    coil = shop.coil()
    strippers = shop.drawn(coil, 500_000, 300_000)
    run = shop.house.ask(trace, strippers[0], "up").lots[0].lot.run
    found = traced(shop.house, run)
    assert (found["asked"], found["amount"]) == ("run", 800_000)
    assert parts(found)[coil] == {"steel": 800_000}
    batch = shop.at("furnace", LoadInput(strippers[1])).numbers[1]
    assert [one["lot"] for one in traced(shop.house, batch)["lots"]] == [strippers[1], coil]
    assert traced(shop.house, batch, "down")["on_hand"][0]["place"] == shop.house.thing("station", "furnace")


def test_a_run_that_made_nothing_yet_has_no_lineage(shop: Shop) -> None:
    run = shop.at("draw_1", LoadInput(shop.coil())).numbers[1]
    found = traced(shop.house, run)
    assert (found["lots"], found["amount"], found["unit"]) == ([], 0, "g")


def test_a_pan_of_part_of_a_lot_asks_for_that_part(shop: Shop) -> None:
    stripper = shop.drawn(shop.coil(), 900_000)[0]
    lot = shop.nails(stripper, 400_000)
    more = shop.at("nail_1", MakeOutput(weight=300_000, carrier=shop.pan("pan_16"))).numbers[0]
    found = traced(shop.house, shop.pan("pan_17"))
    assert (found["lots"][0]["lot"], found["amount"]) == (lot, 400_000)
    assert parts(traced(shop.house, shop.pan("pan_16")))[more] == {"steel": 300_000}


def test_goods_on_a_carrier_that_stands_nowhere_known_are_still_on_hand(shop: Shop) -> None:
    coil = shop.coil()
    lot = shop.nails(shop.drawn(coil, 900_000)[0], 400_000)
    standing = {one["lot"]: one for one in traced(shop.house, coil, "down")["on_hand"]}
    assert (standing[lot]["place"], standing[lot]["amount"]) == (shop.pan("pan_17"), 400_000)


def test_pieces_of_several_kinds_on_one_pallet_are_asked_for_in_grams(shop: Shop) -> None:
    """Mesh is counted and has a mass beside it, barbed wire is weighed: together they are weighed."""
    _, boxes = boxed(shop, 10)
    sheets = shop.coil("coil_40x914", 5_000_000)
    shop.at("roll_1", LoadInput(sheets, product="sheet_c76"))
    bundles = shop.at("roll_1", MakeOutput(count=2)).numbers[0]
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(boxes, 1)))
    shop.at("packing", PutOn(pallet, shop.item(bundles, 1)))
    found = traced(shop.house, pallet)
    one_bundle = 50 * 8_609_880 // 1_000
    assert (found["unit"], found["amount"]) == ("g", 25_000 + one_bundle)
    assert sum(one["part"]["steel"] for one in found["lots"] if one["source"]) == found["amount"]
    alone = traced(shop.house, shop.item(bundles, 1))
    assert (alone["unit"], alone["amount"], parts(alone)[sheets]) == ("pcs", 50, {"steel": 50})


def test_steel_and_pvc_are_two_streams_of_one_amount(shop: Shop) -> None:
    wire = shop.coil("galv_25", 1_000_000)
    compound = shop.coil("pvc_green", 200_000, heat="LOT 7")
    shop.at("coater", LoadInput(wire, payoff="W1", product="coated_25"))
    shop.at("coater", LoadInput(compound, payoff="H1"))
    coated = shop.at("coater", MakeOutput(weight=100_000, carrier=shop.pan("spool_01"))).numbers[0]
    found = parts(traced(shop.house, coated))
    assert found == {
        coated: {"steel": 88_300, "pvc": 11_700},
        wire: {"steel": 88_300},
        compound: {"pvc": 11_700},
    }
    assert parts(traced(shop.house, compound, "down"))[coated] == {"pvc": 11_700}
    shop.at("weaver_2", LoadInput(coated, payoff="1", process="chain_link_pvc", product="chain_50x33_pvc"))
    roll = shop.at("weaver_2", MakeOutput(weights=(58_000,))).numbers[0]
    woven = parts(traced(shop.house, roll))
    assert woven[wire] == {"steel": 58_000}
    assert woven[compound] == {"steel/pvc": 58_000}, "PVC of all the coated wire in it"


def test_a_treated_pack_is_wood_and_solution_each_a_whole(shop: Shop) -> None:
    pack = shop.coil("lumber_2x4x12", 294)
    solution = shop.coil("solution_ca", 1_000_000)
    shop.at("treating", LoadInput(pack), "treater")
    shop.at("treating", LoadInput(solution), "treater")
    treated = shop.at("treating", MakeOutput(of=pack, product="treated_2x4x12"), "treater").numbers[0]
    before = traced(shop.house, treated)
    assert parts(before)[treated] == {"wood": 294, "solution": 0}
    assert parts(before)[solution] == {"solution": 0}, "not known before something drained back"
    shop.at("treating", MakeOutput("drained", volume=700_000, product="solution_ca"), "treater")
    found = traced(shop.house, treated)
    assert (found["unit"], found["amount"]) == ("pcs", 294)
    assert parts(found)[pack] == {"wood": 294}
    assert parts(found)[solution] == {"solution": 300_000}
    assert parts(traced(shop.house, solution, "down"))[treated] == {"solution": 300_000}


def test_held_says_what_a_hold_reaches_and_a_release_lets_through(shop: Shop) -> None:
    coil = shop.coil(heat="BAD 1")
    stripper = shop.drawn(coil, 500_000)[0]
    nails = shop.nails(stripper, 200_000)
    held = shop.house.post(PlaceHold("brittle", heat="BAD 1"), "qa").numbers
    assert all(one["held"] for one in traced(shop.house, nails)["lots"])
    assert all(one["held"] for one in traced(shop.house, coil, "down")["lots"])
    shop.house.post(ReleaseHold(int(held[0]), stripper, "bends well"), "qa")
    assert {one["lot"]: one["held"] for one in traced(shop.house, nails)["lots"]} == {
        nails: False,
        stripper: False,
        coil: True,
    }


@pytest.mark.parametrize(
    ("typed", "error", "said"),
    [
        ("R2600099974", Unknown, "R26-000999-74"),
        ("U2600099924", Unknown, "U26-000999-24"),
        ("N26000012", Unreadable, "characters"),
        ("NOBODY KNOWS", Unreadable, "no code of ours"),
    ],
)
def test_what_nobody_gave_is_said_to_be_so(shop: Shop, typed: str, error: type[Exception], said: str) -> None:
    with pytest.raises(error, match=said):
        shop.house.ask(trace, typed, "up")


def test_a_place_a_person_and_a_name_of_several_are_no_goods(shop: Shop) -> None:
    one, other = shop.coil(heat="H 77"), shop.coil(heat="H 77")
    with pytest.raises(Unreadable, match="it is Coil yard"):
        shop.house.ask(trace, shop.place("coil_yard"), "up")
    with pytest.raises(Unreadable, match="person"):
        shop.house.ask(trace, shop.house.people["qa"], "up")
    with pytest.raises(Unreadable, match=f"{shown(one)}, {shown(other)}"):
        shop.house.ask(trace, "h 77", "up")
    alone = shop.coil(heat="H 78")
    assert traced(shop.house, " h 78 ")["lot"] == alone
    assert traced(shop.house, f" {shown(alone).lower()}")["lot"] == alone
    assert traced(shop.house, "pan_17")["lot"] == shop.pan("pan_17")


def test_what_was_emptied_or_moved_is_told_where_it_is(shop: Shop) -> None:
    coil = shop.coil()
    nails = shop.nails(shop.drawn(coil, 500_000)[0], 200_000)
    place = shop.place("pack_floor")
    shop.at("packing", MoveGoods(shop.pan("pan_17"), place))
    found = traced(shop.house, coil, "down")
    assert [one["place"] for one in found["on_hand"] if one["lot"] == nails] == [place]
    shop.at("packing", EmptyCarrier(shop.pan("pan_17")))
    assert [one for one in traced(shop.house, coil, "down")["on_hand"] if one["lot"] == nails] == []
    assert traced(shop.house, shop.pan("pan_17"))["amount"] == 200_000


def test_both_engines_answer_alike(database_url: str) -> None:
    shop = Shop(a_house(database_url))
    try:
        coils, lot = boxed(shop, 24, 20)
        shipment = sent(shop, "tamarind", palletised(shop, lot, 21, 30))
        shop.house.post(PlaceHold("brittle", coils[0]), "qa")
        up = traced(shop.house, shipment)
        assert {coil: parts(up)[coil]["steel"] for coil in coils} == {coils[0]: 100_000, coils[1]: 150_000}
        assert [one["held"] for one in traced(shop.house, coils[1], "down")["lots"]] == [False] * 4 + [True]
        assert shop.house.ask(story, shop.item(lot, 21)).holds[0].root.number == coils[0]
        assert len(shop.house.ask(origins, shipment).between) == 7
        [left] = shop.house.ask(siblings, shop.item(lot, 21)).shipments
        assert (left.shipment, left.amount) == (shipment, 225_000)
        assert [one.number for one in shop.house.ask(find, "heat 1")] == [coils[1]]
    finally:
        shop.house.database.close()
