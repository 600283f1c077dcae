"""Can a supervisor or QA put right, from a number's page, whatever was recorded wrongly about it?"""

import re
from pathlib import Path

import pytest
from houses import House
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.dispatch.shipments import find_shipment
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.identity.showing import shown
from lotroot.plant.adopted import current_plant
from lotroot.production.loading import EndInput
from lotroot.production.runs import find_run
from lotroot.receiving.receipts import source_of
from offices import an_office_house, office, sent
from shop import Shop
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def corrected(terminal: Terminal, number: str, what: str, **form: str) -> str:
    """Send one correction's form; what the page says then."""
    return sent(terminal, f"/lots/{number}/correct/{what}", f"/lots/{number}/correct", **form)


def a_run(house: House, lot: str) -> str:
    return str(house.ask(find_lot, lot).run)


def test_an_amount_is_corrected_in_the_unit_the_plant_shows(house: House) -> None:
    coil = Shop(house).coil(amount=2_000_000)
    page = corrected(
        office(house, "supervisor"), coil, "amount", amount="2010,5", amount_words="scale misread"
    )
    assert "Recorded." in page
    assert "Put right later" in page, "the story tells the correction apart"
    assert house.ask(find_lot, coil).amount == 2_010_500


@pytest.mark.parametrize("typed", ["", "two tons", "1.2.3", "-5"])
def test_an_amount_that_is_none_is_refused_beside_its_field_and_kept(house: House, typed: str) -> None:
    coil = Shop(house).coil(amount=2_000_000)
    page = corrected(office(house, "supervisor"), coil, "amount", amount=typed, amount_words="found later")
    assert "<title>Error: " in page
    assert 'id="error-amount"' in page
    assert f'value="{typed}"' in page
    assert house.ask(find_lot, coil).amount == 2_000_000


def test_a_receipt_keeps_what_was_left_as_it_was(house: House) -> None:
    coil = Shop(house).coil(heat="A100")
    terminal = office(house, "qa")
    page = terminal.client.get(f"/lots/{coil}/correct").text
    fields = dict(re.findall(r'name="(receipt_\w+)" type="text" value="([^"]*)"', page))
    form = {**fields, "receipt_product": "rod_55", "receipt_supplier": "nordhavn", "receipt_heats": "A101"}
    corrected(terminal, coil, "receipt", **form)
    source = house.ask(source_of, coil)
    assert (source.heats, source.supplier, source.certificate) == ("A101", "nordhavn", "to follow")
    again = corrected(terminal, coil, "receipt", **form)
    assert "is recorded so already" in again


def test_a_wrong_coil_is_replaced_stays_doubted_and_is_confirmed(house: House) -> None:
    shop = Shop(house)
    wrong, right = shop.coil(heat="A100"), shop.coil(heat="B200")
    wire = shop.drawn(wrong, 400_000)[0]
    supervisor = office(house, "supervisor")
    page = corrected(supervisor, a_run(house, wire), "input", input_load="1", input_lot=shown(right))
    assert shown(right) in page
    assert "<span>doubted</span>" in supervisor.client.get(f"/lots/{wire}").text
    qa = office(house, "qa")
    sent(qa, f"/lots/{wire}/confirm", f"/lots/{wire}")
    links = house.ask(links_of, house.ask(find_lot, wire).id, True)
    assert [link.parent_number for link in links] == [right]
    assert "<span>doubted</span>" not in qa.client.get(f"/lots/{wire}").text


def test_output_time_tool_and_worker_of_a_run_are_corrected(house: House) -> None:
    shop = Shop(house)
    wire = shop.drawn(shop.coil(), 400_000)[0]
    run, qa = a_run(house, wire), office(house, "qa")
    corrected(qa, run, "output", output="1", output_own="410")
    assert house.ask(find_lot, wire).amount == 410_000
    corrected(qa, run, "time", time_of="output-1", time_at="2026-11-02T06:00")
    [made] = house.ask(find_run, run).outputs
    assert made.ended == 1_793_613_600_000_000, "six in the morning at the plant is ten UTC"
    dies = next(code for code, one in house.ask(current_plant).resources.items() if one.kind == "die_set")
    page = corrected(qa, run, "tool", tool_was="", tool_now=dies)
    assert f"was worked with {house.ask(current_plant).resources[dies].name}." in page
    assert [use.thing for use in house.ask(find_run, run).uses] == [house.thing("resource", dies)]
    page = corrected(qa, run, "worker", worker=house.people["treater"])
    assert "was worked by The treater." in page, "people are told by their names"
    assert house.ask(find_run, run).row.person == house.people["treater"]


def test_a_coil_that_was_marked_ended_did_not_end(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    wire = shop.drawn(coil, 400_000)[0]
    shop.at("draw_1", EndInput())
    run = a_run(house, wire)
    corrected(office(house, "qa"), run, "mark", mark_load="1", mark_ended="no")
    assert [one.ended_at for one in house.ask(find_run, run).inputs] == [None]


def test_a_shipment_went_to_another_customer(house: House) -> None:
    shop = Shop(house)
    wire = shop.drawn(shop.coil(), 400_000)[0]
    number = shop.at("dispatch", OpenShipment("tamarind", "PO 7"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(number, wire), "dispatcher")
    shop.at("dispatch", SendShipment(number, number), "dispatcher")
    page = corrected(office(house, "qa"), number, "customer", customer="osprey", customer_order="PO 7")
    assert "Osprey" in page
    assert house.ask(find_shipment, number).row.customer == "osprey"


def test_a_posting_is_taken_back_or_what_stands_in_the_way_is_named(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    wire = shop.drawn(coil, 400_000)[0]
    supervisor = office(house, "supervisor")
    offered = _postings(supervisor, wire)
    page = corrected(supervisor, wire, "void", void=offered[0])
    assert "taken back" in page
    assert house.ask(find_lot, wire).voided
    assert "destroy its label" in supervisor.client.get(f"/lots/{wire}").text
    stuck = _postings(supervisor, coil)[-1]
    assert "has been used since" in corrected(supervisor, coil, "void", void=stuck)


def test_who_may_correct_nothing_is_told_who_does(house: House) -> None:
    coil = Shop(house).coil()
    operator = office(house, "dispatcher")
    page = operator.client.get(f"/lots/{coil}/correct").text
    assert "The right amount" not in page
    refused = operator.post(f"/lots/{coil}/correct/amount", key="k" * 32, amount="1", amount_words="no")
    assert refused.status_code == 403
    manager = office(house, "manager")
    assert "Your roles correct nothing here" in manager.client.get(f"/lots/{coil}/correct").text


def test_there_is_no_other_correction_and_no_such_lot(house: House) -> None:
    coil = Shop(house).coil()
    qa = office(house, "qa")
    assert qa.post(f"/lots/{coil}/correct/everything", key="k" * 32).status_code == 404
    assert qa.client.get("/lots/C2600099925/correct").status_code == 404
    assert qa.client.get("/lots/nonsense/correct").status_code in (404, 422)


def _postings(terminal: Terminal, number: str) -> list[str]:
    """The postings that a page offers to take back, the latest first."""
    page = terminal.client.get(f"/lots/{number}/correct").text
    part = page.split('name="void"')[1].split("</select>")[0]
    return re.findall(r'<option value="(\d+)"', part)
