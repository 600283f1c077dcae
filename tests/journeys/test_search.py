"""Is whatever somebody knows of goods enough to find them: digits, a heat, an order, a firm's name?"""

from collections.abc import Callable
from pathlib import Path

import pytest
from houses import House
from lotroot.accounts.badges import badge_of
from lotroot.complaints.cases import cases
from lotroot.complaints.handling import OpenComplaint
from lotroot.dispatch.handling import OpenShipment
from lotroot.identity import ItemNumber, make, number_from
from lotroot.identity.showing import shown
from lotroot.production.making import MakeOutput
from lotroot.receiving.commands import ReceiveLot
from lotroot.voiding.handling import Undo
from lotroot.web.find import look_for
from offices import an_office_house, office
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def received(house: House, **told: str) -> str:
    command = ReceiveLot(product="rod_55", amount=2_000_000, supplier="nordhavn", heats=("Z 77",), **told)
    return Shop(house).at("receiving", command, "receiver").numbers[0]


@pytest.mark.parametrize(
    "asked",
    [
        pytest.param(lambda lot: lot, id="the number"),
        pytest.param(lambda lot: shown(lot).lower(), id="with hyphens, in small letters"),
        pytest.param(lambda lot: f"https://lots.example/t/{lot}", id="its QR"),
        pytest.param(lambda lot: lot[:9].lower(), id="the beginning of it"),
        pytest.param(lambda _: "z 77", id="its heat"),
        pytest.param(lambda _: "BE41", id="part of the supplier's number"),
        pytest.param(lambda _: "po-11", id="part of our order"),
        pytest.param(lambda _: "dn 5", id="the supplier's delivery"),
        pytest.param(lambda _: "Nordhavn St", id="part of the supplier's name"),
        pytest.param(lambda lot: lot[:9] + "00", id="a number with its check digits wrong"),
    ],
)
def test_one_thing_that_can_be_meant_opens_at_once(house: House, asked: Callable[[str], str]) -> None:
    lot = received(house, supplier_number="BE4199", order_number="PO-1188", delivery="DN 5")
    desk = office(house, "manager").on("find")
    gone = desk.scan(asked(lot))["goto"] if asked(lot)[-2:] != "00" else f"/find?q={asked(lot)}"
    if gone != f"/lots/{lot}":
        assert desk.client.get(gone).location == f"/lots/{lot}"


def test_a_customer_and_an_order_lead_to_their_shipments(house: House) -> None:
    shop = Shop(house)
    first = shop.at("dispatch", OpenShipment("osprey", "PO 9"), "dispatcher").numbers[0]
    second = shop.at("dispatch", OpenShipment("osprey", "PO 10"), "dispatcher").numbers[0]
    client = office(house, "dispatcher").client
    page = client.get("/find?q=osprey+build").text
    assert shown(first) in page
    assert shown(second) in page
    assert client.get("/find?q=PO+10").location == f"/lots/{second}"


def test_several_that_can_be_meant_are_listed_with_what_they_are(house: House) -> None:
    lots = [received(house, supplier_number=f"BE41{n}") for n in range(3)]
    page = office(house, "qa").client.get("/find?q=Z+77").text
    assert all(shown(lot) in page for lot in lots)
    assert "Wire rod 5.5 mm" in page
    assert "heat Z 77" in page


def test_a_word_of_a_product_lists_its_latest_lots_and_says_when_there_are_more(house: House) -> None:
    lots = [received(house, supplier_number=f"BE41{n}") for n in range(21)]
    client = office(house, "manager").client
    page = client.get("/find?q=wire+ROD+5").text
    assert shown(lots[-1]) in page
    assert shown(lots[0]) not in page
    assert "The latest 20." in page
    assert "Nothing known here" in client.get("/find?q=wire+rope").text
    assert "The latest 20." in client.get("/find?q=C26").text


def test_a_name_that_fits_several_lots_says_so_and_lists_them(house: House) -> None:
    lots = [received(house, supplier_number=f"BE41{n}") for n in range(2)]
    answer = office(house, "qa").client.get("/lots/Z 77")
    assert answer.status_code == 422
    assert "2 lots are known as Z 77" in answer.text
    assert all(f'href="/lots/{lot}"' in answer.text for lot in lots)


@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        (str(make("C", 26, 999)), 404, "No lot C26-000999-"),
        ("C2600000121", 422, "its check digits do not fit"),
        (str(make("U", 26, 999)), 404, "No run"),
        ("hello", 422, "is no code of ours"),
        ("%", 422, "no code of ours"),
    ],
)
def test_a_number_that_is_none_says_why_and_offers_a_search(
    house: House, typed: str, status: int, said: str
) -> None:
    answer = office(house, "qa").client.get(f"/lots/{typed}")
    assert answer.status_code == status
    assert said in answer.text
    assert "Search" in answer.text


def test_a_label_that_was_taken_back_is_to_be_destroyed(house: House) -> None:
    shop = Shop(house)
    wire = shop.drawn(shop.coil(), 400_000)[0]
    shop.at("draw_1", Undo())
    desk = office(house, "qa")
    scanned = desk.on("find").scan(wire)
    assert scanned["verdict"] == "refused"
    assert "destroy its label" in scanned["say"]
    page = desk.client.get(f"/lots/{wire}").text
    assert "destroy its label" in page
    assert "Hold it" not in page


def test_a_machine_or_a_place_is_told_and_leads_nowhere(house: House) -> None:
    desk = office(house, "qa").on("find")
    place = desk.scan(house.thing("place", "wire_rack"))
    assert "goto" not in place
    assert "rack" in place["say"]
    assert (
        desk.client.get(f"/t/{house.thing('place', 'wire_rack')}", follow_redirects=True).status_code == 422
    )


def test_an_item_opens_and_one_that_was_never_made_says_so(house: House) -> None:
    shop = Shop(house)
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=4)).numbers[0]
    client = office(house, "qa").client
    assert "item 3" in client.get(f"/lots/{shop.item(lot, 3)}").text
    never = ItemNumber(number_from(lot), 9)
    answer = client.get(f"/lots/{never}")
    assert answer.status_code == 404
    assert "has no item 9" in answer.text


def test_an_item_weighs_what_it_weighs_not_what_its_row_does(house: House) -> None:
    shop = Shop(house)
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=4)).numbers[0]
    box, desk = shop.item(lot, 3), office(house, "qa").on("find")
    assert ", 25 kg, " in desk.scan(box)["say"].replace("\u202f", " ")
    assert ", 100 kg, " in desk.scan(lot)["say"].replace("\u202f", " ")
    page = desk.client.get(f"/lots/{box}").text
    assert "The whole lot" in page
    assert "The whole lot" not in desk.client.get(f"/lots/{lot}").text


def test_a_badge_is_never_looked_for_nor_shown(house: House) -> None:
    badge = str(house.ask(badge_of, house.people["qa"]))
    desk = office(house, "qa")
    client = desk.client
    assert badge[1:-1] not in str(desk.on("find").scan(badge[:-1]))
    for text in (badge, badge[:-1], f"{badge[:-1]}{(int(badge[-1]) + 1) % 10}"):
        for address in (f"/find?q={text}", f"/lots/{text}", f"/complaints/new?number={text}"):
            assert text[1:] not in client.get(address).text


def test_words_without_a_digit_find_no_complaint_by_its_number(house: House) -> None:
    house.post(OpenComplaint("It rusts."), "qa")
    with house.database.reading() as connection:
        [case] = cases(connection)
        assert look_for(connection, "wibble").complaints == []
        assert look_for(connection, case.number[3:]).complaints == [case]


def test_who_is_not_signed_in_finds_nothing(house: House) -> None:
    lot = received(house)
    desk = office(house, "qa")
    desk.client.delete_cookie("lotroot")
    for address in (f"/lots/{lot}", f"/find?q={lot}", "/checks", "/complaints", f"/lots/{lot}/lineage.csv"):
        assert desk.client.get(address).status_code == 401, address
