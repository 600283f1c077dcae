"""Is a complaint kept as it was made, whatever could be read of the label, and led to its goods?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from houses import a_house
from lotroot.complaints.candidates import MOST, candidates
from lotroot.complaints.cases import cases, complaints_of, find_case
from lotroot.complaints.facts import complaint, entry
from lotroot.complaints.handling import AddToComplaint, CloseComplaint, OpenComplaint
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.errors import NotAllowed, Refused, Unknown, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import number_from
from lotroot.ledger.book import events_naming, keep_file
from lotroot.ledger.canonical import canonical
from lotroot.ledger.codec import encode
from lotroot.moving.pallets import ClosePallet, OpenPallet, PutOn
from lotroot.production.making import MakeOutput
from lotroot.tracing import trace
from shop import Shop

WORDS = "The nails break when hammered"


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    opened = Shop(a_house(tmp_path))
    yield opened
    opened.house.database.close()


def boxes(shop: Shop, count: int = 6) -> str:
    shop.in_the_hopper()
    return shop.at("packing", MakeOutput(count=count)).numbers[0]


def complain(shop: Shop, *numbers: str, **more: Any) -> str:
    command = OpenComplaint(WORDS, numbers, **{"customer": "tamarind", **more})
    return shop.house.post(command, "qa").numbers[0]


def test_a_complaint_gets_a_number_and_keeps_the_customers_words(shop: Shop) -> None:
    lot = boxes(shop)
    box = shop.item(lot, 3)
    answer = shop.house.post(
        OpenComplaint(WORDS, (box,), customer="tamarind", quantity="2 boxes"), "dispatcher"
    )
    case = answer.numbers[0]
    assert case.startswith("X")
    assert f"of {box[:1]}26-" in answer.say
    found = shop.house.ask(find_case, case)
    assert (found.row.words, found.row.customer, found.row.quantity) == (WORDS, "tamarind", "2 boxes")
    assert (found.row.state, found.row.person) == ("open", shop.house.people["dispatcher"])
    assert [(row.number, row.lot) for row in found.numbers] == [(box, lot)]
    shop.closes()


def test_from_the_box_complained_of_to_the_coil_and_back_to_whom_it_went(shop: Shop) -> None:
    """Coil, stripper, nail lot, tumbled lot, boxes, pallet, shipment, complaint, coil."""
    lot = boxes(shop)
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 1), shop.item(lot, 6)))
    shop.at("packing", ClosePallet(pallet))
    sent = shop.at("dispatch", OpenShipment("osprey"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(sent, pallet), "dispatcher")
    shop.at("dispatch", SendShipment(sent, sent), "dispatcher")
    case = complain(shop, shop.item(lot, 2), customer="osprey")
    [named] = shop.house.ask(find_case, case).numbers
    up = shop.house.ask(trace, named.number, "up")
    coils = [one.lot.number for one in up.lots if one.source]
    assert len(coils) == 1
    down = shop.house.ask(trace, coils[0], "down")
    assert [(one.shipment, one.customer) for one in down.shipments] == [(sent, "osprey")]
    shop.closes()


def test_a_label_nobody_can_read_whole_is_kept_as_read(shop: Shop) -> None:
    lot = boxes(shop)
    part = lot[5:9]
    case = complain(shop, read=f"N26-…{part}")
    assert shop.house.ask(find_case, case).row.read == f"N26-…{part}"
    assert lot in shop.house.ask(candidates, part)
    shop.house.post(AddToComplaint(case, numbers=(lot,)), "qa")
    assert [row.number for row in shop.house.ask(find_case, case).numbers] == [lot]
    shop.closes()


@pytest.mark.parametrize(
    "part",
    [lambda lot: lot[5:9], lambda lot: lot[:7].lower(), lambda lot: f"{lot[:1]}26-{lot[3:9]}-{lot[9:]}"],
)
def test_part_of_a_number_leads_to_it(shop: Shop, part: Any) -> None:
    lot = boxes(shop)
    assert lot in shop.house.ask(candidates, part(lot))


def test_a_heat_leads_to_its_coils_and_a_box_to_its_lot(shop: Shop) -> None:
    coil = shop.coil(heat="Z 77-4")
    assert shop.house.ask(candidates, "z 77-4") == [coil]
    lot = boxes(shop)
    assert shop.house.ask(candidates, shop.item(lot, 2)) == [lot]
    with pytest.raises(Unreadable):
        shop.house.ask(candidates, "qq?")


def test_no_more_candidates_are_shown_than_a_person_can_look_through(shop: Shop) -> None:
    for _ in range(MOST + 3):
        shop.coil()
    found = shop.house.ask(candidates, "C26")
    assert len(found) == MOST
    assert found[0] > found[-1], "the latest first"


def test_a_complaint_names_several_numbers_each_once(shop: Shop) -> None:
    lot = boxes(shop)
    coil = shop.coil()
    case = complain(shop, shop.item(lot, 1), shop.item(lot, 1), coil)
    shop.house.post(AddToComplaint(case, "also box 2", numbers=(shop.item(lot, 2), coil)), "qa")
    found = shop.house.ask(find_case, case)
    assert sorted(row.number for row in found.numbers) == sorted([shop.item(lot, 1), shop.item(lot, 2), coil])
    assert [row.of for row in shop.house.ask(complaints_of, lot)] == [shop.item(lot, 1), shop.item(lot, 2)]
    assert [row.number for row in shop.house.ask(complaints_of, shop.item(lot, 2))] == [case]
    assert shop.house.ask(complaints_of, shop.item(lot, 4)) == []
    with pytest.raises(Refused, match="nothing new"):
        shop.house.post(AddToComplaint(case, numbers=(coil,)), "qa")
    shop.closes()


def test_pallets_shipments_and_runs_are_complained_of_too(shop: Shop) -> None:
    lot = boxes(shop)
    pallet = shop.at("packing", OpenPallet()).numbers[0]
    sent = shop.at("dispatch", OpenShipment("osprey"), "dispatcher").numbers[0]
    run = shop.house.ask(find_lot, lot).run
    case = complain(shop, pallet, sent, run)
    assert {row.number for row in shop.house.ask(find_case, case).numbers} == {pallet, sent, run}
    assert [row.number for row in shop.house.ask(complaints_of, sent)] == [case]


def test_a_file_stays_with_the_case(shop: Shop) -> None:
    case = complain(shop)
    with pytest.raises(Unknown, match="was not kept"):
        shop.house.post(AddToComplaint(case, file="0" * 64), "qa")
    with shop.house.database.writing() as connection:
        sha = keep_file(connection, "nail.jpg", "image/jpeg", b"a photograph")
    shop.house.post(AddToComplaint(case, "the photograph", sha), "qa")
    entries = shop.house.ask(find_case, case).entries
    assert [(row.kind, row.words, row.file) for row in entries] == [
        ("opened", WORDS, ""),
        ("added", "the photograph", sha),
    ]
    shop.closes()


def test_a_case_is_closed_with_an_answer_and_opens_again_when_more_comes(shop: Shop) -> None:
    case = complain(shop)
    other = complain(shop)
    with pytest.raises(Unreadable, match="answer to the customer is missing"):
        shop.house.post(CloseComplaint(case, " "), "qa")
    shop.house.post(CloseComplaint(case, "Two boxes replaced"), "manager")
    assert [row.number for row in shop.house.ask(cases)] == [other, case]
    assert [row.number for row in shop.house.ask(cases, only_open=True)] == [other]
    with pytest.raises(Refused, match="was closed") as again:
        shop.house.post(CloseComplaint(case, "Two boxes replaced"), "qa")
    assert again.value.word == "already"
    answer = shop.house.post(AddToComplaint(case, "the new ones break as well"), "qa")
    assert answer.say.endswith("It is open again.")
    row = shop.house.ask(find_case, case).row
    assert (row.state, row.answer, row.closed) == ("open", "Two boxes replaced", None)
    shop.closes()


def test_whom_to_call_back_is_kept_outside_the_chain(shop: Shop) -> None:
    case = complain(shop, contact="Ines Alleyne, 555-0142")
    assert shop.house.ask(find_case, case).contact == "Ines Alleyne, 555-0142"
    assert shop.house.ask(find_case, complain(shop)).contact == ""
    facts = [canonical(encode(one.event)) for one in shop.house.ask(events_naming, case)]
    assert [text for text in facts if "Alleyne" in text] == []
    assert "Alleyne" not in str(shop.house.rows(complaint) + shop.house.rows(entry))


@pytest.mark.parametrize(
    ("command", "error"),
    [
        (OpenComplaint(" "), Unreadable),
        (OpenComplaint(WORDS, customer="nobody"), Unknown),
        (OpenComplaint(WORDS, ("N2600999901",)), Unreadable),  # its check digits do not fit
        (OpenComplaint(WORDS, (str(number_from("R2600012383")),)), Unknown),
        (AddToComplaint("X2600000166", "more"), Unknown),
        (CloseComplaint("X2600000166", "done"), Unknown),
    ],
)
def test_what_is_missing_or_unknown_is_sent_back(shop: Shop, command: Any, error: type[Exception]) -> None:
    with pytest.raises(error):
        shop.house.post(command, "qa")
    assert shop.house.rows(complaint) == []


def test_a_person_or_a_place_is_no_goods(shop: Shop) -> None:
    for number in (shop.house.people["operator"], shop.place("coil_yard")):
        with pytest.raises(Unreadable, match="no goods"):
            complain(shop, number)


def test_operators_do_not_answer_customers(shop: Shop) -> None:
    with pytest.raises(NotAllowed):
        shop.house.post(OpenComplaint(WORDS), "operator")
