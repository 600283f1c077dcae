"""Do holds, this morning, the label tray, people and the plant show and do what the office needs?"""

import io
import re
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from houses import House
from label_pictures import pdf_text
from lotroot.accounts.badges import badge_of
from lotroot.accounts.handling import SetPin
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.errors import Refused
from lotroot.genealogy.lots import find_lot
from lotroot.holds.handling import PlaceHold, SettleQuestion
from lotroot.holds.reach import held_by
from lotroot.identity.showing import shown
from lotroot.ledger import book
from lotroot.ledger.names import name_of
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.loading import EndInput, LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.questions import open_questions
from lotroot.receiving.commands import ReceiveLot
from lotroot.voiding.handling import Undo
from lotroot.worker import drain
from offices import PIN, an_office_house, office, sent
from PIL import Image
from shop import Shop
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def test_qa_holds_a_coil_by_its_label_and_releases_it_with_a_pin(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    wire = shop.drawn(coil, 400_000)[0]
    qa = office(house, "qa")
    held = sent(qa, "/holds", "/holds", number=shown(coil), reason="brittle", words="brittle at bending")
    assert "Recorded." in held
    assert "brittle at bending" in held
    assert "and 1 lot made of it" in held
    (hold,) = house.ask(held_by, wire)
    released = sent(qa, f"/holds/{hold.hold}/release", "/holds", number=coil, words="bend test passed")
    assert "Nothing is held." in released
    assert house.ask(held_by, wire) == []


def keyed(desk: Terminal, page: str, address: str, **form: str) -> Any:
    """The answer to a form of a page, before any PIN."""
    key = re.search(r'name="key" value="(\w+)"', desk.client.get(page).text)
    assert key
    return desk.post(address, key=key[1], **form)


def test_a_pin_is_asked_for_by_name_of_what_it_records_and_what_cannot_be_is_said_before(
    house: House,
) -> None:
    desk = office(house, "administrator")
    head = house.ask(book.head)
    asked = keyed(desk, "/people", "/people", name="Meg Sandiford", roles="manager")
    page = desk.client.get(asked.location).text
    assert "To be recorded: Meg Sandiford works here now, as manager." in page
    assert "autofocus" in page
    assert house.ask(book.head) == head  # it was tried, and nothing of it kept
    assert "Meg Sandiford" not in desk.client.get("/people").text
    wrong = keyed(desk, "/people", "/people", name="Meg Sandiford")
    assert wrong.status_code == 422
    assert 'id="error-roles"' in wrong.text
    assert 'value="Meg Sandiford"' in wrong.text


def test_a_hold_says_whom_to_call_and_how_much_they_have(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    wire = shop.drawn(coil, 400_000)[0]
    shipment = shop.at("dispatch", OpenShipment("tamarind"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, wire), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    held = sent(office(house, "qa"), "/holds", "/holds", number=shown(coil), reason="brittle")
    assert re.search(r"Has left to Tamarind[^(]*\(400\s?kg of it\)\.", held)


def test_the_holds_can_be_read_after_a_coil_held_at_once_was_taken_back(house: House) -> None:
    shop = Shop(house)
    told = ReceiveLot(
        product="rod_55", supplier="nordhavn", amount=1_000_000, heats=("A",), hold_reason="brittle"
    )
    shop.at("receiving", told, "receiver")
    shop.at("receiving", Undo(), "receiver")
    page = office(house, "qa").client.get("/holds")
    assert page.status_code == 200
    assert "Place a hold" in page.text


def test_a_hold_of_nothing_known_says_what_to_do_and_changes_nothing(house: House) -> None:
    qa = office(house, "qa")
    answer = sent(qa, "/holds", "/holds", words="looks odd")
    assert "A hold must name what it stops." in answer
    assert "Nothing is held." in answer


def test_qa_holds_boxes_from_the_first_label_to_the_last(house: House) -> None:
    shop = Shop(house)
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=6)).numbers[0]
    other = shop.coil()
    qa = office(house, "qa")
    form = {"number": shop.item(lot, 2), "reason": "brittle"}
    wrong = sent(qa, "/holds", "/holds", **form, to=other)
    assert "A range runs from one item to another of the same lot." in wrong
    assert shop.item(lot, 2) in wrong, "what was scanned is kept"
    last_first = {**form, "number": shop.item(lot, 4)}
    held = sent(qa, "/holds", "/holds", **last_first, to=shop.item(lot, 2))
    assert f"{shown(lot)}, items 2 to 4, is on hold: Brittle." in held
    story = qa.client.get(f"/lots/{lot}").text
    assert "on hold: Brittle (items 2 to 4)</option>" in story
    assert "items 2 to 4" in story.partition("Held through")[2].partition("</table>")[0], "not all of it"
    assert [n for n in range(1, 7) if house.ask(held_by, lot, n, n)] == [2, 3, 4]


@pytest.mark.parametrize("typed", ["abc", "L2600000199", "T2600000160"])
def test_a_number_that_is_none_is_told_on_the_form_with_what_was_typed(house: House, typed: str) -> None:
    qa = office(house, "qa")
    answer = sent(qa, "/holds", "/holds", number=typed, words="odd")
    assert "Not recorded yet." in answer
    assert 'value="odd"' in answer
    assert "Nothing is held." in answer


def test_a_heat_nobody_knows_holds_nothing_unless_it_is_meant_for_later(house: House) -> None:
    Shop(house).coil(heat="A100")
    qa = office(house, "qa")
    slip = {"heat": "A1000", "words": "brittle"}
    answer = sent(qa, "/holds", "/holds", **slip)
    assert "No lot here is of heat A1000; nothing is on hold." in answer
    assert 'value="A1000"' in answer
    assert "Nothing is held." in qa.client.get("/holds").text
    assert "Heat A1000, no lot here yet, is on hold" in sent(qa, "/holds", "/holds", **slip, later="1")
    assert "on hold: brittle, heat A1000" in qa.client.get("/morning").text
    assert "Heat a100, 1 lot here, is on hold" in sent(qa, "/holds", "/holds", heat="a100", words="brittle")


def test_no_reason_is_chosen_beforehand_for_a_hold_or_a_release(house: House) -> None:
    coil = Shop(house).coil()
    qa = office(house, "qa")
    assert "The reason is missing." in sent(qa, "/holds", "/holds", number=coil)
    house.post(PlaceHold("odd", coil), "qa")
    (hold,) = house.ask(held_by, coil)
    page = sent(qa, f"/holds/{hold.hold}/release", "/holds", number=coil, reason="")
    assert "The reason is missing." in page, "it is asked for before the PIN"
    assert len(house.ask(held_by, coil)) == 1


def test_this_morning_lists_what_waits_and_a_supervisor_settles_it(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    shop.at("draw_1", LoadInput(coil, product="wire_25"))
    house.post(PlaceHold("brittle", coil), "qa")
    supervisor = office(house, "supervisor")
    page = supervisor.client.get("/morning").text
    assert "brittle" in page
    assert "Drawing machine 1" in page
    for question in house.ask(open_questions):
        sent(supervisor, f"/morning/questions/{question.event}", "/morning", words="looked at")
    assert "Nothing is in question." in supervisor.client.get("/morning").text


@pytest.mark.parametrize(
    ("told", "kept"),
    [
        ({"why": "Weighed wrongly"}, "Weighed wrongly"),
        ({"words": " scale  was off "}, "scale was off"),
        ({"why": "Weighed wrongly", "words": "scale was off"}, "Weighed wrongly: scale was off"),
        # nobody has said anything: it stays in question
        ({}, ""),
        ({"words": "   "}, ""),
    ],
)
def test_a_question_is_settled_with_all_that_was_said_and_never_with_nothing(
    house: House, told: dict[str, str], kept: str
) -> None:
    shop = Shop(house)
    coil = shop.coil()
    shop.at("draw_1", LoadInput(coil, product="wire_25"))
    shop.at("draw_1", MakeOutput(weight=1_000_000), answers={"amount-1000000": "yes"})
    shop.at("draw_1", CloseRun(), answers={"left-1": "ended"})
    supervisor = office(house, "supervisor")
    question = house.ask(open_questions)[0]
    said = sent(supervisor, f"/morning/questions/{question.event}", "/morning", **told)
    assert (f"Settled: {kept}" if kept else "Nobody has said what was found") in said
    assert (question in house.ask(open_questions)) == (not kept)


def test_of_two_who_settle_the_same_question_the_second_is_told_who_was_first_and_keeps_the_list(
    house: House,
) -> None:
    shop = Shop(house)
    shop.at("draw_1", LoadInput(shop.coil(), product="wire_25"))
    shop.at("draw_1", MakeOutput(weight=1_000_000), answers={"amount-1000000": "yes"})
    shop.at("draw_1", CloseRun(), answers={"left-1": "ended"})
    question = house.ask(open_questions)[0]
    supervisor = office(house, "supervisor")
    key = re.findall(r'name="key" value="(\w+)"', supervisor.client.get("/morning").text)[0]
    house.post(SettleQuestion(question.event, "Weighed wrongly"), "qa")
    said = supervisor.post(f"/morning/questions/{question.event}", key=key, words="not found").text
    assert f"{shown(question.subject)} was settled already at" in said
    assert f"by {house.ask(name_of, house.people['qa'])}: Weighed wrongly" in said
    assert "<h1>This morning</h1>" in said
    with pytest.raises(Refused, match="no question of this morning"):
        house.post(SettleQuestion(1, "not found"), "supervisor")


def test_enter_in_the_field_of_a_question_gives_no_reason_that_nobody_pressed(house: House) -> None:
    shop = Shop(house)
    shop.at("draw_1", LoadInput(shop.coil(), product="wire_25"))
    shop.at("draw_1", MakeOutput(weight=1_000_000), answers={"amount-1000000": "yes"})
    shop.at("draw_1", CloseRun(), answers={"left-1": "ended"})
    page = office(house, "supervisor").client.get("/morning").text
    form = page.partition('action="/morning/questions/')[2].partition("</form>")[0]
    first = re.findall(r"<button[^>]*>", form)[0]
    assert "name=" not in first, "a browser presses the first button of a form on Enter"


def test_this_morning_names_what_is_held_and_what_differs_in_words_of_the_plant(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil(amount=500_000)
    wire = shop.drawn(coil, 400_000)[0]
    house.post(PlaceHold("brittle", wire), "qa")
    shop.at("draw_1", EndInput(), basis="from memory")
    shop.at("draw_1", CloseRun())
    page = office(house, "supervisor").client.get("/morning").text.replace("\u202f", " ")
    assert f'<a class="lot" href="/lots/{wire}"' in page
    assert "100 kg" in page
    differences = page.partition("Differences of the last day")[2].partition("</table>")[0]
    assert "Which way" in differences
    assert not re.search(r"<th[^>]*>\s*</th>", differences), (
        "a column without a head is no column to a reader"
    )
    assert f"{shown(wire)}</a> Drawn wire 2.50 mm" in page
    assert "base units" not in page
    assert "EndInput" not in page


def test_this_morning_lists_what_qa_has_to_confirm(house: House) -> None:
    shop = Shop(house)
    wrong, right = shop.coil(), shop.coil(heat="B200")
    wire = shop.drawn(wrong, 400_000)[0]
    run = house.ask(find_lot, wire).run
    house.post(CorrectInput(run, 1, right), "supervisor")
    qa = office(house, "qa")
    assert f'href="/lots/{wire}#confirm"' in qa.client.get("/morning").text
    sent(qa, f"/lots/{wire}/confirm", f"/lots/{wire}")
    assert "No correction waits." in qa.client.get("/morning").text


def test_a_complaint_leads_from_part_of_a_number_to_the_coil_and_holds_it(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil(heat="A100")
    first, second = shop.drawn(coil, 480_000, 470_000)
    qa = office(house, "qa")
    page = sent(qa, "/complaints", "/complaints/new", number=shown(first)[4:], words="breaks at the bend")
    assert "breaks at the bend" in page
    number = re.findall(r"/complaints/(X\d{10})", page)[0]
    story = qa.client.get(f"/complaints/{number}").text
    for told in (shown(coil), "A100", "Drawing machine 1", shown(second), "The operator"):
        assert told in story
    held = sent(qa, f"/complaints/{number}/hold", f"/complaints/{number}", lot=coil)
    assert "held" in held
    assert house.ask(held_by, second)
    closed = sent(qa, f"/complaints/{number}/close", f"/complaints/{number}", answer="replaced")
    assert "replaced" in closed


def test_the_tray_shows_labels_and_prints_one_again_as_a_copy(house: House) -> None:
    coil = Shop(house).coil()
    drain(house.door)
    admin = office(house, "administrator")
    assert shown(coil) in admin.client.get("/tray").text
    sent(admin, "/tray/again", "/tray", number=coil, first="0", last="0", reason="Lost")
    drain(house.door)
    assert "Lost" in admin.client.get(f"/lots/{coil}#history").text
    assert "COPY 2" in admin.client.get("/tray").text


def test_the_administrator_adds_people_and_firms(house: House) -> None:
    admin = office(house, "administrator")
    page = sent(admin, "/people", "/people", name="Ines Vale", roles="operator")
    assert "Ines Vale" in page
    wrong = sent(admin, "/people", "/people", name="", roles="operator")
    assert "A person needs a name." in wrong
    page = sent(
        admin, "/firms", "/people", code="fernhill", firm="Fernhill Fencing", kind="customer", country="LC"
    )
    assert "Fernhill Fencing" in page
    badges = admin.client.get("/people/badges.pdf")
    assert badges.data[:5] == b"%PDF-", badges.text


def test_a_lost_badge_is_made_anew_and_printed_alone(house: House) -> None:
    admin = office(house, "administrator")
    operator = house.people["operator"]
    lost = house.ask(badge_of, operator)
    sent(admin, f"/people/{operator}/badge", "/people")
    new = house.ask(badge_of, operator)
    assert new != lost
    page = admin.client.get("/people").text
    assert f"/people/badges.pdf?person={operator}" in page
    alone = admin.client.get(f"/people/badges.pdf?person={operator}").data
    assert str(new) in pdf_text(alone)
    assert str(house.ask(badge_of, house.people["qa"])) not in pdf_text(alone)
    assert admin.client.get("/people/badges.pdf?person=H2600009999").status_code == 404


def test_who_has_no_pin_yet_is_seen_among_the_people(house: House) -> None:
    admin = office(house, "administrator")
    without = admin.client.get("/people").text.count("no PIN yet")
    house.post(SetPin(house.people["operator"]), secret="8520")
    assert admin.client.get("/people").text.count("no PIN yet") == without - 1


@pytest.mark.parametrize("page", ["/people", "/morning", "/holds", "/plant", "/tray", "/receiving"])
def test_no_two_fields_of_a_page_share_an_id_so_that_each_label_leads_to_its_own(
    house: House, page: str
) -> None:
    shop = Shop(house)
    for reason in ("brittle", "soft"):
        coil = shop.coil()
        house.post(PlaceHold(reason, coil), "qa")
        house.post(ReceiveLot(emergency=True), "receiver")
    drain(house.door)
    for who in ("administrator", "supervisor", "qa"):
        text = office(house, who).client.get(page).text
        led, ids = re.findall(r' for="([^"]+)"', text), re.findall(r' id="([^"]+)"', text)
        assert [one for one in led if ids.count(one) != 1 or led.count(one) != 1] == []


def test_others_see_people_but_may_not_change_them(house: House) -> None:
    operator = office(house, "operator")
    assert "Somebody new" not in operator.client.get("/people").text
    assert operator.client.get("/people/badges.pdf").status_code == 403
    refused = operator.post("/people", key="k" * 32, name="Ines Vale", roles="operator")
    assert refused.status_code == 403  # before any PIN is asked for
    assert "Your roles do not cover this." in refused.text


def test_the_plant_page_gives_sheets_and_the_text_in_force(house: House) -> None:
    admin = office(house, "administrator")
    page = admin.client.get("/plant").text
    assert "Wire drawing" in page
    assert "one after the other" in page
    assert "in_turn" not in page
    for address in ("/plant/commands.pdf", "/plant/things.pdf"):
        assert admin.client.get(address).data[:5] == b"%PDF-"
    assert b"[process.wire_drawing]" in admin.client.get("/plant/plant.toml").data
    wrong = sent(admin, "/plant", "/plant", text="name = 3")
    assert "Error" in wrong or "cannot" in wrong or "Expected" in wrong


def test_a_name_is_given_once_however_often_the_form_is_sent(house: House) -> None:
    admin = office(house, "administrator")
    key = "f" * 32
    for _ in range(3):
        asked = admin.post("/people", key=key, name="Ines Vale", roles="operator")
        admin.post(asked.location, pin=PIN)
    assert admin.client.get("/people").text.count(">Ines Vale</h2>") == 1


def test_a_label_in_the_tray_is_shown_as_it_was_printed_and_reads(house: House) -> None:
    coil = Shop(house).coil()
    drain(house.door)
    admin = office(house, "administrator")
    address = re.findall(r'src="(/labels/\d+\.png)', admin.client.get("/tray").text)[0]
    found = {
        symbol.text
        for symbol in zxingcpp.read_barcodes(Image.open(io.BytesIO(admin.client.get(address).data)))
    }
    assert found == {coil}
    assert admin.client.get(address.replace(".png", ".pdf")).data[:5] == b"%PDF-"
    assert admin.client.get("/labels/999999.png").status_code == 404
    assert Terminal(house).client.get(address).status_code == 401
