"""Do pallets get built, moved and shipped by scan, and is what is wrong refused in words to act on?"""

from pathlib import Path

import pytest
from houses import House, a_house
from lotroot.dispatch.shipments import find_shipment, latest_shipments
from lotroot.holds.handling import PlaceHold
from lotroot.ledger.book import head
from lotroot.production.making import MakeOutput
from lotroot.stock.carriers import carriers_at, find_carrier
from lotroot.stock.standing import at_spot
from shop import Shop
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def boxes(shop: Shop, count: int = 12) -> str:
    """A lot of boxes on the packing floor; returns its number."""
    shop.in_the_hopper(1_000_000)
    return shop.at("packing", MakeOutput(count=count)).numbers[0]


def packer(house: House) -> Terminal:
    terminal = Terminal(house).at("packing").on("packing")
    terminal.badge("operator")
    return terminal


def opened(terminal: Terminal) -> str:
    """Open a pallet by scan and go where the page goes."""
    answer = terminal.scan("NEXT")
    number = answer["goto"].split("=")[1]
    terminal.context = {"carrier": number}
    return str(number)


def pallet(house: House, shop: Shop, lot: str, *serials: int) -> str:
    terminal = packer(house)
    number = opened(terminal)
    for serial in serials:
        assert terminal.scan(shop.item(lot, serial))["verdict"] == "accepted", terminal.last
    house.clock.forward(minutes=1)
    assert terminal.scan("DONE")["verdict"] == "accepted", terminal.last
    return number


def dispatcher(house: House) -> Terminal:
    terminal = Terminal(house).at("dispatch").on("shipment")
    terminal.badge("dispatcher")
    return terminal


def shipment(house: House, terminal: Terminal, customer: str = "tamarind") -> str:
    """Open a shipment by the form and choose it by its sheet."""
    terminal.post(
        "/shipment", key=f"shipment-form-{customer}-of-a-test", customer=customer, order_number="PO 7"
    )
    number = str(house.ask(latest_shipments)[0].number)
    assert terminal.scan(number)["verdict"] == "accepted", terminal.last
    return number


def test_a_pallet_is_built_of_single_boxes_and_of_rows(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    terminal = packer(house)
    number = opened(terminal)
    terminal.scan(shop.item(lot, 1))
    for text in ("ROW", shop.item(lot, 3), shop.item(lot, 9)):
        assert terminal.scan(text)["verdict"] == "accepted", terminal.last
    on_it = [(row.first, row.last) for row in house.ask(at_spot, number)]
    assert on_it == [(1, 1), (3, 9)]
    assert terminal.scan(shop.item(lot, 4))["verdict"] == "already"
    terminal.scan("PART")
    terminal.scan(shop.item(lot, 5))
    assert [(row.first, row.last) for row in house.ask(at_spot, number)] == [(1, 1), (3, 4), (6, 9)]


def test_boxes_without_a_pallet_say_what_to_scan_first(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    before = house.ask(head)
    terminal = packer(house)
    assert terminal.scan(shop.item(lot, 1))["verdict"] == "refused"
    assert "NEXT" in str(terminal.last)
    assert house.ask(head) == before


def test_a_shipment_leaves_when_its_sheet_is_scanned_once_more(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    built = pallet(house, shop, lot, 1, 2, 3)
    terminal = dispatcher(house)
    number = shipment(house, terminal)
    assert terminal.scan(built)["verdict"] == "accepted", terminal.last
    assert terminal.scan(built)["verdict"] == "already"
    assert terminal.scan(number)["verdict"] == "accepted", terminal.last
    assert house.ask(find_shipment, number).row.state == "left"
    assert house.ask(find_carrier, built).state == "shipped"
    paper = terminal.client.get(f"/shipment/{number}/paper").text
    assert "75.0" in paper
    assert "Tamarind Hardware" in paper


def test_the_number_said_counts_pallets_and_what_is_on_none_one_by_one(house: House, shop: Shop) -> None:
    """A dispatcher who counts the boxes on the truck must hear the same number."""
    lot = boxes(shop)
    built = pallet(house, shop, lot, 1, 2, 3)
    terminal = dispatcher(house)
    shipment(house, terminal)
    said = [terminal.scan(text)["say"] for text in (built, shop.item(lot, 5), shop.item(lot, 4))]
    assert [one.rpartition(", ")[2] for one in said] == ["1 now.", "2 now.", "3 now."]
    terminal.scan("ROW")
    terminal.scan(shop.item(lot, 7))
    assert terminal.scan(shop.item(lot, 9))["say"].endswith("6 now.")


def test_what_is_wrong_is_refused_before_it_is_on_the_truck(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    open_one = opened(packer(house))
    held = pallet(house, shop, lot, 1)
    good = pallet(house, shop, lot, 2)
    house.post(PlaceHold("brittle", lot, 1, 1), "qa")
    terminal = dispatcher(house)
    number = shipment(house, terminal)
    assert terminal.scan(held)["verdict"] == "held"
    assert "brittle" in str(terminal.last)
    assert terminal.scan(open_one)["verdict"] == "refused"
    assert "is still open" in str(terminal.last)
    assert terminal.scan(good)["verdict"] == "accepted", terminal.last
    other = shipment(house, terminal, "osprey")
    assert other != number
    assert terminal.scan(good)["verdict"] == "refused"
    assert "is on shipment" in str(terminal.last)


def test_goods_come_back_with_a_reason_and_wait_for_checks(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    built = pallet(house, shop, lot, 1)
    terminal = dispatcher(house)
    number = shipment(house, terminal)
    terminal.scan(built)
    terminal.scan(number)
    form = {"number": built, "reason": "faulty", "place": "quarantine"}
    answer = terminal.post("/shipment/returns", key="r" * 32, **form)
    assert answer.status_code == 303, answer.text
    there = house.thing("place", "quarantine")
    assert [row.number for row in house.ask(carriers_at, there)] == [built]
    again = shipment(house, terminal, "osprey")
    assert again
    assert terminal.scan(built)["verdict"] == "held"


def test_things_are_moved_by_a_place_and_then_the_things(house: House, shop: Shop) -> None:
    coil = shop.coil()
    terminal = Terminal(house).at("receiving").on("moving")
    terminal.badge("receiver")
    assert terminal.scan(coil)["verdict"] == "refused"
    place = house.thing("place", "rack_a")
    terminal.scan(place)
    assert terminal.scan(coil)["verdict"] == "accepted", terminal.last
    assert terminal.scan(coil)["verdict"] == "already"
    assert [row.lot for row in house.ask(at_spot, place)] == [coil]
    assert "Scan what stands here" in str(terminal.scan(house.thing("place", "rack_b")))


def test_two_pallets_are_restacked_onto_a_new_one(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    old = [pallet(house, shop, lot, 1), pallet(house, shop, lot, 2)]
    terminal = packer(house)
    for text in ("STACK", *old, "DONE"):
        house.clock.forward(minutes=1)
        assert terminal.scan(text)["verdict"] == "accepted", terminal.last
    new = str(terminal.last["goto"]).split("=")[1]
    assert {row.first for row in house.ask(at_spot, new)} == {1, 2}
    assert house.ask(find_carrier, old[0]).became == new
