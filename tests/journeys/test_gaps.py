"""Is it told how trace-ready each shipment is, and every gap that stands in the way?"""

import csv
import io
from contextlib import closing
from pathlib import Path

import pytest
from family_by_hand import Family
from houses import House
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.genealogy.events import LotLink
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.receiving.commands import OpenStock
from lotroot.tracing.gaps import Beginning, first_posting_since, gaps_after
from lotroot.tracing.readiness import readiness
from offices import an_office_house, office
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def sent(shop: Shop, *lots: str) -> str:
    """A shipment that left with some lots."""
    shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
    for lot in lots:
        shop.at("dispatch", LoadShipment(shipment, lot), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    return shipment


def by_way(house: House, number: str) -> dict[str, int]:
    [one] = house.ask(readiness, number)
    return {way: amount for way, amount in one.by_way.items() if amount}


def drawn_and_closed(shop: Shop, coil: str, weight: int) -> str:
    lot = shop.drawn(coil, weight)[0]
    shop.at("draw_1", UnloadInput(remainder=1_000_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    return lot


def test_wire_weighed_off_one_coil_is_measured_all_the_way(house: House, shop: Shop) -> None:
    shipment = sent(shop, drawn_and_closed(shop, shop.coil(), 500_000))
    assert by_way(house, shipment) == {"measured": 500_000}
    [one] = house.ask(readiness, shipment)
    assert (one.permille("measured"), one.amount, one.visited) == (1000, 500_000, 2)


def test_the_page_names_the_customer_and_says_what_its_words_mean(house: House, shop: Shop) -> None:
    sent(shop, drawn_and_closed(shop, shop.coil(), 500_000))
    page = office(house, "manager").client.get("/gaps").text
    assert "Tamarind" in page
    assert "Bounded: goods were mixed" in page
    assert ">100.0<" in page
    assert ">0.0<" not in page


def test_what_lay_here_before_and_what_is_mixed_are_told_apart(house: House, shop: Shop) -> None:
    before = shop.at("receiving", OpenStock(product="rod_55", amount=2_000_000), "receiver").numbers[0]
    old = drawn_and_closed(shop, before, 300_000)
    assert by_way(house, sent(shop, old)) == {"before the system": 300_000}
    for pan in ("pan_17", "pan_18"):
        shop.nails(drawn_and_closed(shop, shop.coil(), 500_000), 100_000, pan)
        shop.asked(CloseRun(), "off", "nail_1")
    for pan in ("pan_17", "pan_18"):
        shop.at("tumbler_1", LoadInput(shop.pan(pan), product="tumbled_25x50"))
    shop.at("tumbler_1", MakeOutput(weight=190_000, carrier=shop.pan("pan_19")))
    shop.at("tumbler_1", CloseRun())
    found = by_way(house, shop.pan("pan_19"))
    assert sum(found.values()) == 190_000
    assert set(found) <= {"apportioned", "bounded"}


def test_a_lot_without_parents_and_a_weak_link_are_gaps() -> None:
    with closing(Family()) as family:
        orphan = family.lot("stripper", 500_000)
        coil = family.lot("rod", 1_000_000, source="received")
        weak = family.made(
            "stripper", 400_000, LotLink(coil, "rod", "steel", 400_000, 400_000, basis="estimated")
        )
        family.made("stripper", 400_000, LotLink(coil, "rod", "steel", 400_000, 400_000))
        found = gaps_after(family.connection, Beginning(0, 1, 0))
        assert [row.number for row in found.parentless] == [orphan]
        assert [(row.number, row.basis, row.links) for row in found.weak] == [(weak, "estimated", 1)]
        assert gaps_after(family.connection, Beginning(0, 1, None)).parentless == []


def test_a_late_entry_and_a_difference_are_on_the_page_and_in_the_files(house: House, shop: Shop) -> None:
    coil = shop.coil()
    shop.drawn(coil, 500_000)
    shop.at("draw_1", UnloadInput(remainder=1_450_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    late = house.clock.at
    house.clock.forward(hours=3)
    shop.at("draw_2", LoadInput(coil, product="wire_25", end="outer"), happened=late)
    desk = office(house, "manager").client
    page = desk.get("/gaps").text
    assert "1 difference." in page
    assert "1 late entry" in page
    rows = list(csv.DictReader(io.StringIO(desk.get("/gaps?format=csv").data.decode("utf-8-sig"))))
    assert [(row["number"], row["amount"]) for row in rows if row["gap"] == "difference"] == [(coil, "50000")]
    told = desk.get("/gaps?format=json").get_json()
    assert [one["basis"] for one in told["gaps"] if one["gap"] == "late entry"] == ["late"]
    house.clock.forward(days=3)
    assert "0 late entries, 0 differences" in desk.get("/gaps?days=2").text


@pytest.mark.parametrize("days", ["0", "-1", "many", "4000", "1.5"])
def test_days_that_are_none_are_said(house: House, days: str) -> None:
    answer = office(house, "manager").client.get(f"/gaps?days={days}")
    assert answer.status_code == 422
    assert "not a number of days" in answer.text


def test_the_first_posting_of_a_time_is_found_by_halving(house: House, shop: Shop) -> None:
    shop.coil()
    house.clock.forward(hours=1)
    since = house.clock.at
    shop.coil()
    last = house.ask(first_posting_since, since)
    assert house.ask(first_posting_since, 0) == 1
    assert house.ask(first_posting_since, since + 10**12) == last + 1
