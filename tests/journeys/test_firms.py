"""Is what a customer wants on labels recorded once, shown where customers are kept, and read back of old?"""

from pathlib import Path

import pytest
from houses import House
from lotroot.accounts.firms import ChangeParty, SetCustomerItem
from lotroot.accounts.handling import AddParty
from lotroot.errors import NotAllowed, Refused, Unknown, Unreadable
from lotroot.ledger.events import revive
from lotroot.plant.adopted import customer_items, find_customer_item, party_or_none
from lotroot.plant.facts import PartyAdded, PartyChanged
from offices import an_office_house, office, sent


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def known(house: House, code: str) -> tuple[str, str, str, str]:
    row = house.ask(party_or_none, code)
    return (row.kind, row.country, row.market, row.language)


def test_a_firm_of_an_older_release_has_no_market_or_language() -> None:
    old = {"code": "tamarind", "kind": "customer", "country": "TT"}
    assert revive("PartyAdded", 1, old) == PartyAdded("tamarind", "customer", "TT", "", "")
    assert revive("PartyChanged", 1, old) == PartyChanged("tamarind", "customer", "TT", "", "")


def test_a_market_and_a_language_are_told_when_a_firm_is_added_or_later(house: House) -> None:
    house.post(AddParty("kasztan", "Kasztan Handel", "customer", "PL", "EU", "pl"))
    assert known(house, "kasztan") == ("customer", "PL", "EU", "pl")
    house.post(ChangeParty("osprey", "BB", "CARICOM", "en"), "dispatcher")
    assert known(house, "osprey") == ("customer", "BB", "CARICOM", "en")
    house.post(ChangeParty("nordhavn", "DK", "", "da"))
    assert known(house, "nordhavn") == ("supplier", "DK", "", "da")
    assert house.status() == house.rebuilt()


@pytest.mark.parametrize(
    ("command", "error", "says"),
    [
        (ChangeParty("osprey", "BB", "eu"), Unreadable, "market"),
        (ChangeParty("osprey", "BB", "E"), Unreadable, "market"),
        (ChangeParty("osprey", "BB", "EU", "Polish"), Unreadable, "language"),
        (ChangeParty("osprey", "BB", "EU", "PL"), Unreadable, "language"),
        (ChangeParty("osprey", "Barbados"), Unreadable, "country"),
        (ChangeParty("osprey", "BB"), Refused, "already"),
        (ChangeParty("nobody", "BB"), Unknown, "nobody"),
        (AddParty("kasztan", "Kasztan", "customer", "PL", "Europe!"), Unreadable, "market"),
        (SetCustomerItem("osprey", "box_25x51", "4711"), Unknown, "box_25x51"),
        (SetCustomerItem("nordhavn", "box_25x50", "4711"), Unknown, "customer nordhavn"),
        (SetCustomerItem("osprey", "box_25x50", "4" * 31), Unreadable, "item code"),
        (SetCustomerItem("osprey", "box_25x50", "a\x07b"), Unreadable, "character"),
        (SetCustomerItem("osprey", "box_25x50", " "), Refused, "already"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(
    house: House, command: object, error: type[Exception], says: str
) -> None:
    before = house.status()
    with pytest.raises(error) as refusal:
        house.post(command)
    assert says in str(refusal.value)
    assert house.status() == before


def test_an_operator_sets_no_customers_codes(house: House) -> None:
    with pytest.raises(NotAllowed):
        house.post(SetCustomerItem("osprey", "box_25x50", "4711"), "operator")


def test_a_customers_code_is_set_replaced_and_ended(house: House) -> None:
    for item in ("4711", "4712"):
        say = house.post(SetCustomerItem("osprey", "box_25x50", item), "dispatcher").say
        assert say.startswith("Osprey Building Supplies calls ")
        assert house.ask(find_customer_item, "osprey", "box_25x50") == item
    assert house.ask(find_customer_item, "tamarind", "box_25x50") == ""
    house.post(SetCustomerItem("osprey", "box_25x50", ""))
    assert house.ask(customer_items, "osprey") == []
    assert house.status() == house.rebuilt()


def test_the_page_of_a_firm_shows_and_changes_what_is_known(house: House) -> None:
    desk = office(house, "administrator")
    assert '<a href="/firms/osprey">Osprey Building Supplies</a>' in desk.client.get("/people").text
    page = sent(desk, "/firms/osprey", "/firms/osprey", country="BB", market="CARICOM", language="en")
    assert "What is known of Osprey Building Supplies is changed." in page
    page = sent(desk, "/firms/osprey/items", "/firms/osprey", product="box_25x50", item="OB-4711")
    assert "OB-4711</td>" in page
    assert ">CARICOM</td>" in desk.client.get("/people").text
    page = sent(desk, "/firms/osprey", "/firms/osprey", country="BB", market="caribbean", language="en")
    assert "This market cannot be used." in page
    assert 'value="caribbean"' in page, "what was typed stays"
    assert desk.client.get("/firms/nobody").status_code == 404


def test_who_may_not_change_a_firm_sees_it_all_the_same(house: House) -> None:
    desk = office(house, "qa")
    page = desk.client.get("/firms/osprey").text
    assert "BB" in page
    assert 'method="post" action="/firms/' not in page
