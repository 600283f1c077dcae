"""Does a label for a customer follow their layout and code, carry our number, and name nobody of us?"""

import json
import re
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from houses import House, a_house
from licensed import FOR_EUROPE, FOR_OSPREY, GTIN, boxed, licensed, pallet_of
from lotroot.accounts.firms import ChangeParty, SetCustomerItem
from lotroot.accounts.people import everybody
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.errors import NotAllowed, Refused, Unknown
from lotroot.identity import make
from lotroot.identity.gs1_scans import parts_scanned
from lotroot.labelling.asking import PrintForCustomer
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.rendering import texts_read_back
from lotroot.labelling.tables import print_job
from lotroot.ledger.names import name_of
from lotroot.moving.pallets import ClosePallet, PutOn
from lotroot.moving.units import sscc_of
from lotroot.work import LabelRequest
from offices import office, sent
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path, licensed(FOR_OSPREY, FOR_EUROPE))


def queued(house: House) -> Any:
    job = house.rows(print_job)[-1]
    return SimpleNamespace(**{**job, "told": json.loads(job["fields"])})


def test_a_plant_without_a_prefix_prints_no_gs1_text_at_all(tmp_path: Path) -> None:
    house = a_house(tmp_path)
    shop = Shop(house)
    pallet_of(shop, boxed(shop))
    for job in house.rows(print_job):
        assert "gs1" not in job["fields"]
        assert not re.search(r"\(\d\d\)\d", job["fields"])


def test_a_closed_pallet_tells_its_sscc_and_its_uniform_content(house: House) -> None:
    shop = Shop(house)
    lot = boxed(shop)
    pallet = pallet_of(shop, lot)
    told = queued(house).told
    sscc = house.ask(sscc_of, pallet)
    assert told["gs1"] == f"(00){sscc}"
    assert told["gs1_content"] == f"(02){GTIN}(10){lot}(37)3"
    assert queued(house).layout == "pallet", "nobody has said whose it is"


def test_an_items_label_tells_gtin_day_and_lot(house: House) -> None:
    shop = Shop(house)
    lot = boxed(shop)
    told = next(json.loads(job["fields"]) for job in house.rows(print_job) if job["number"] == lot)
    assert told["gs1"] == f"(01){GTIN}(11)261102(10){lot}"


def test_a_pallet_of_two_products_tells_its_sscc_alone(house: House) -> None:
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop), close=False)
    shop.at("packing", PutOn(pallet, shop.coil(heat="B7")))
    shop.at("packing", ClosePallet(pallet))
    told = queued(house).told
    assert told["gs1"] == f"(00){house.ask(sscc_of, pallet)}"
    assert "gs1_content" not in told


def test_a_pallet_for_a_customer_prints_in_their_layout_and_reads_back(house: House) -> None:
    shop = Shop(house)
    house.post(SetCustomerItem("osprey", "box_25x50", "OB-4711"))
    pallet = pallet_of(shop, boxed(shop))
    say = shop.at("packing", PrintForCustomer(pallet, "osprey")).say
    assert say.endswith("for Osprey Building Supplies is printed.")
    job = queued(house)
    assert job.layout == "pallet_gs1"
    assert job.told["customer"] == "Osprey Building Supplies"
    assert job.told["customer_item"] == "Your item OB-4711"
    assert job.told["mark"] == "LABEL", "it says something else than the one before: no copy"
    for dpi in (203, 300):
        read = texts_read_back(job, dpi=dpi)
        assert {pallet, f"{pallet}K{job.copy}"} < set(read)
        parts = dict(part for one in read for part in parts_scanned(one if one[0] != "0" else f"]C1{one}"))
        assert parts["00"] == house.ask(sscc_of, pallet)
        assert parts["37"] == "3"


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("", "Your item OB-4711"),
        ("pl", "Państwa artykuł OB-4711"),
        ("pt-BR", "Seu artigo OB-4711"),
        ("fi", "Your"),
    ],
)
def test_their_code_stands_behind_words_of_their_language(house: House, language: str, words: str) -> None:
    shop = Shop(house)
    house.post(SetCustomerItem("osprey", "box_25x50", "OB-4711"))
    if language:
        house.post(ChangeParty("osprey", "BB", "", language))
    pallet = pallet_of(shop, boxed(shop))
    shop.at("packing", PrintForCustomer(pallet, "osprey"))
    assert queued(house).told["customer_item"].startswith(words)
    assert texts_read_back(queued(house))


def test_a_copy_of_a_customers_label_is_for_the_same_customer(house: House) -> None:
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop))
    shop.at("packing", PrintForCustomer(pallet, "osprey"))
    shop.at("packing", PrintAgain(pallet, "Torn"))
    job = queued(house)
    assert (job.layout, job.told["for"]) == ("pallet_gs1", "osprey")


def test_a_market_chooses_for_all_its_customers(house: House) -> None:
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop))
    with pytest.raises(Refused, match="No layout is chosen for Tamarind"):
        shop.at("packing", PrintForCustomer(pallet, "tamarind"))
    house.post(ChangeParty("tamarind", "TT", "EU", "nl"))
    shop.at("packing", PrintForCustomer(pallet, "tamarind"))
    assert queued(house).layout == "pallet_gs1"


def test_a_pallet_on_a_shipment_is_its_customers(house: House) -> None:
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop))
    shipment = house.post(OpenShipment("osprey"), "dispatcher").numbers[0]
    house.post(LoadShipment(shipment, pallet), "dispatcher")
    house.post(PrintAgain(pallet, "Torn"), "dispatcher")
    assert queued(house).layout == "pallet_gs1"
    assert queued(house).told["for"] == "osprey"
    house.post(SendShipment(shipment, shipment), "dispatcher")


def test_goods_on_a_shipment_are_no_longer_for_whom_they_were_labelled_before(house: House) -> None:
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop))
    shop.at("packing", PrintForCustomer(pallet, "osprey"))
    shipment = house.post(OpenShipment("tamarind"), "dispatcher").numbers[0]
    house.post(LoadShipment(shipment, pallet), "dispatcher")
    house.post(PrintAgain(pallet, "Torn"), "dispatcher")
    assert (queued(house).told["for"], queued(house).layout) == ("tamarind", "pallet")


@pytest.mark.parametrize(
    ("command", "error", "says"),
    [
        (PrintForCustomer("{open}", "osprey"), Refused, "lacks a GS1 number"),
        (
            PrintForCustomer("{open}", "osprey", layout="nothing"),
            Refused,
            "no label layout",
        ),
        (PrintForCustomer("{open}", "nordhavn"), Unknown, "customer nordhavn"),
        (PrintForCustomer(str(make("P", 26, 999_999)), "osprey"), Unknown, "Nothing with the number"),
        (PrintForCustomer("{place}", "osprey"), Refused, "nothing a customer gets"),
        (PrintForCustomer("{lot}", "osprey", 9, 12), Exception, "has no items 9 to 12"),
    ],
)
def test_what_cannot_print_for_a_customer_is_said_before_anything_is_recorded(
    house: House, command: PrintForCustomer, error: type[Exception], says: str
) -> None:
    shop = Shop(house)
    lot = boxed(shop)
    names = {"open": pallet_of(shop, lot, close=False), "place": shop.place("rack_a"), "lot": lot}
    number = command.number.format(**names)
    before = house.status()
    with pytest.raises(error) as refusal:
        shop.at(
            "packing", PrintForCustomer(number, command.customer, command.first, command.last, command.layout)
        )
    assert says in str(refusal.value)
    assert house.status() == before


def test_a_choice_that_cannot_be_met_leaves_the_usual_label(tmp_path: Path) -> None:
    house = a_house(tmp_path, licensed(FOR_OSPREY.replace("pallet_gs1", "no_such_layout")))
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop))
    shipment = house.post(OpenShipment("osprey"), "dispatcher").numbers[0]
    house.post(LoadShipment(shipment, pallet), "dispatcher")
    house.post(PrintAgain(pallet, "Torn"), "dispatcher")
    assert queued(house).layout == "pallet"


def test_the_page_of_a_pallet_prints_it_for_the_customer_whose_shipment_it_is_on(house: House) -> None:
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop))
    desk = office(house, "dispatcher")
    page = sent(desk, f"/lots/{pallet}/customer", f"/lots/{pallet}", customer="tamarind", customer_layout="")
    assert "No layout is chosen for Tamarind Hardware and these goods." in page
    page = sent(desk, f"/lots/{pallet}/customer", f"/lots/{pallet}", customer="osprey", customer_layout="")
    assert "for Osprey Building Supplies is printed." in page
    assert queued(house).layout == "pallet_gs1"
    shipment = house.post(OpenShipment("tamarind"), "dispatcher").numbers[0]
    house.post(LoadShipment(shipment, pallet), "dispatcher")
    offered = desk.client.get(f"/lots/{pallet}").text.partition('name="customer"')[2]
    assert offered.index("Tamarind Hardware") < offered.index("Osprey Building Supplies")
    assert "Also known as" in desk.client.get(f"/lots/{pallet}").text, "its SSCC"
    assert 'name="customer"' not in office(house, "receiver").client.get(f"/lots/{pallet}").text


def test_a_receiver_prints_nothing_for_customers(house: House) -> None:
    shop = Shop(house)
    pallet = pallet_of(shop, boxed(shop))
    with pytest.raises(NotAllowed):
        house.post(PrintForCustomer(pallet, "osprey"), "receiver")


def test_no_label_of_goods_names_a_person(house: House) -> None:
    """Every job of a day's work, goods, carriers, runs and shipments, in every field there is."""
    shop = Shop(house)
    lot = boxed(shop)
    pallet = pallet_of(shop, lot)
    shipment = house.post(OpenShipment("osprey", "PO 7"), "dispatcher").numbers[0]
    house.post(LoadShipment(shipment, pallet), "dispatcher")
    for number in (lot, pallet, shipment):
        house.post(PrintAgain(number, "Torn"), "dispatcher")
    house.post(PrintForCustomer(pallet, "osprey"), "dispatcher")
    people = [row.number for row in house.ask(everybody)]
    secret = [*people, *(house.ask(name_of, number) for number in people)]
    jobs = house.rows(print_job)
    assert {job["number"][0] for job in jobs} >= {"C", "R", "N", "P", "D"}
    for job in jobs:
        assert [word for word in secret if word in job["fields"]] == [], job["layout"]


def test_a_layout_with_a_place_for_a_name_is_the_badges_alone() -> None:
    folder = Path(__file__).parents[2] / "templates" / "labels"
    named = {path.stem for path in folder.glob("*.toml") if "{name}" in path.read_text(encoding="utf-8")}
    assert named <= {"badge"}
    assert LabelRequest("P2600009959").told == {}
