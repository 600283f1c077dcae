"""Does a receiver get a coil labelled by scanning its tag in any order, and a delivery by its list?"""

import io
import re
from pathlib import Path

import plants
import pytest
from houses import House, a_house
from lotroot.genealogy.lots import find_lot
from lotroot.holds.reach import held_by
from lotroot.identity import Command
from lotroot.labelling.handling import PrintAgain
from lotroot.ledger.book import head
from lotroot.plant.adopted import current_plant
from lotroot.receiving.commands import ReserveNumbers
from lotroot.receiving.receipts import certificates_awaited, details_due, source_of
from offices import form
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


@pytest.fixture
def receiver(house: House) -> Terminal:
    terminal = Terminal(house).at("receiving").on("receiving")
    terminal.badge("receiver")
    terminal.context = {"product": "rod_55", "supplier": "bellmead"}
    return terminal


def lots(house: House) -> list[str]:
    return re.findall(r"C26\d{8}", " ".join(str(row["lot"]) for row in house.status()["source"]))


def test_the_barcodes_of_a_tag_are_read_in_any_order_and_our_weight_records_it(
    house: House, receiver: Terminal
) -> None:
    for code in ("HH71204", "SBR-4411", "KPO-1180", "2Q2014KG"):
        assert receiver.scan(code)["verdict"] == "accepted", receiver.last
    assert receiver.scan("2009,5")["verdict"] == "accepted", receiver.last
    (number,) = lots(house)
    row, source = house.ask(find_lot, number), house.ask(source_of, number)
    assert (row.amount, row.how) == (2_009_500, "weighed")
    assert (source.supplier_number, source.heats, source.order_number) == ("BR-4411", "H71204", "PO-1180")
    assert source.mass_theirs == 2_014_000


def test_a_barcode_that_does_not_say_what_it_is_is_asked_about(house: House, receiver: Terminal) -> None:
    assert receiver.answer("COIL7788X", "supplier_number")["verdict"] in ("accepted", "asked_done")
    assert receiver.context["supplier_number"] == "COIL7788X"
    receiver.scan("NOT ON TAG")
    assert receiver.scan("2010")["verdict"] == "accepted", receiver.last


def test_a_barcode_may_be_the_paint_batch(house: House, receiver: Terminal) -> None:
    receiver.answer("P-1188", "paint_batch")
    assert receiver.context["paint_batch"] == "P-1188"
    receiver.scan("NOT ON TAG")
    assert receiver.scan("2010")["verdict"] == "accepted", receiver.last
    assert house.ask(source_of, lots(house)[-1]).paint_batch == "P-1188"
    assert "paint_batch" not in receiver.context, "the next coil may be of another"


def test_done_takes_their_weight_and_only_same_again_brings_the_heat_back(
    house: House, receiver: Terminal
) -> None:
    for code in ("HH71204", "S1", "2Q2014KG", "DONE"):
        receiver.scan(code)
    assert house.ask(find_lot, lots(house)[0]).how == "theirs"
    assert "heats" not in receiver.context
    receiver.scan("SAME AGAIN")
    assert receiver.context["heats"] == ["H71204"]
    assert "supplier_number" not in receiver.context


def test_another_heat_after_a_receipt_is_the_heat_of_the_next_coil_alone(
    house: House, receiver: Terminal
) -> None:
    for code in ("HH71204", "2014", "HH71205", "2009"):
        assert receiver.scan(code)["verdict"] == "accepted", receiver.last
    assert [house.ask(source_of, lot).heats for lot in lots(house)] == ["H71204", "H71205"]


def test_a_second_heat_on_one_tag_is_asked_about_and_both_are_kept(house: House, receiver: Terminal) -> None:
    receiver.scan("HH71204")
    assert receiver.scan("HH71204")["verdict"] == "already"
    receiver.answer("HH71205", "second")
    receiver.scan("2010")
    assert house.ask(source_of, lots(house)[0]).heats == "H71204; H71205"


def test_undo_forgets_the_last_barcode_of_a_tag_and_records_nothing(house: House, receiver: Terminal) -> None:
    before = house.ask(head)
    receiver.scan("HH71204")
    receiver.scan("SBR-4411")
    assert "BR-4411 is forgotten" in receiver.scan("UNDO")["say"]
    assert (receiver.context["heats"], receiver.context.get("supplier_number")) == (["H71204"], None)
    assert house.ask(head) == before


def test_a_number_far_from_the_weight_on_the_tag_is_asked_about(house: House, receiver: Terminal) -> None:
    receiver.scan("HH71204")
    receiver.scan("2Q2014KG")
    receiver.answer("88123", "supplier_number")
    assert receiver.context["supplier_number"] == "88123"
    assert receiver.scan("2010")["verdict"] == "accepted", receiver.last


def test_a_weight_of_nothing_is_refused_in_words_without_the_books_unit(receiver: Terminal) -> None:
    receiver.scan("HH71204")
    refused = receiver.scan("0 kg")
    assert refused["verdict"] == "refused", refused
    assert "in g" not in str(refused["detail"]), refused["detail"]


def test_one_key_holds_what_is_in_hand_or_what_was_just_received(house: House, receiver: Terminal) -> None:
    for code in ("HH71204", "HOLD look_again", "2014", "HH71205", "2009"):
        receiver.scan(code)
    first, second = lots(house)
    assert house.ask(held_by, first)
    assert not house.ask(held_by, second)
    assert receiver.scan("HOLD look_again")["verdict"] == "accepted", receiver.last
    assert house.ask(held_by, second)
    assert receiver.scan("HOLD look_again")["verdict"] == "already"


def test_undo_does_not_release_a_hold_and_says_who_does(house: House, receiver: Terminal) -> None:
    for code in ("HH71204", "2014", "HOLD look_again"):
        receiver.scan(code)
    assert receiver.scan("UNDO")["verdict"] == "refused", receiver.last
    assert "QA" in str(receiver.last)
    assert house.ask(held_by, lots(house)[0])


def test_undo_after_another_copy_of_a_label_is_answered(house: House, receiver: Terminal) -> None:
    for code in ("HH71204", "2014"):
        receiver.scan(code)
    house.post(PrintAgain(lots(house)[0], "torn"), "receiver", station="receiving")
    assert receiver.scan("UNDO")["verdict"] in ("refused", "accepted"), receiver.last


def test_a_certificate_to_follow_is_said_once_for_a_delivery(house: House, receiver: Terminal) -> None:
    for code in ("CERTIFICATE", "HH71204", "2014", "HH71205", "2009"):
        receiver.scan(code)
    assert len(house.ask(certificates_awaited)) == 2


def test_goods_are_received_with_a_label_that_was_kept_ready(house: House, receiver: Terminal) -> None:
    (number,) = house.post(ReserveNumbers(letter="C", count=1), "supervisor").numbers
    for code in (number, "HH71204", "2014"):
        assert receiver.scan(code)["verdict"] == "accepted", receiver.last
    assert lots(house) == [number]


def test_in_an_emergency_one_key_gives_a_number(house: House, receiver: Terminal) -> None:
    assert receiver.scan("EMERGENCY")["verdict"] == "accepted", receiver.last
    assert len(house.ask(details_due)) == 1
    shown = receiver.last["fragments"]["received-last"]
    assert "details due" in shown
    assert "kg" not in shown, "it does not weigh nothing"


@pytest.fixture
def newcomer(house: House) -> Terminal:
    """A receiver at a page that nobody has told anything yet."""
    terminal = Terminal(house).at("receiving").on("receiving")
    terminal.badge("receiver")
    return terminal


def test_what_nobody_has_told_is_asked_by_numbers_and_done_records_nothing_before(
    house: House, newcomer: Terminal
) -> None:
    before = house.ask(head)
    assert newcomer.scan("DONE")["question"]["id"] == "product"
    told = {"product": "rod_55"}
    assert newcomer.scan("DONE", answers=told)["question"]["id"] == "supplier"
    told["supplier"] = "bellmead"
    assert newcomer.scan("DONE", answers=told)["question"]["id"] == "heat"
    assert house.ask(head) == before


def test_a_coil_is_received_by_its_barcodes_one_number_and_answers_of_one_digit(
    house: House, newcomer: Terminal
) -> None:
    for code in ("HH71204", "SBR-4411"):
        assert newcomer.scan(code)["verdict"] == "accepted", newcomer.last
    told: dict[str, str] = {}
    for choice in ("rod_55", "bellmead"):
        question = newcomer.scan("2010", answers=told)["question"]
        assert len(question["choices"]) <= 9
        assert choice in [one["code"] for one in question["choices"]]
        told[question["id"]] = choice
    assert newcomer.scan("2010", answers=told)["verdict"] == "asked_done", newcomer.last
    source = house.ask(source_of, lots(house)[0])
    assert (source.supplier, source.supplier_number, source.heats) == ("bellmead", "BR-4411", "H71204")
    assert newcomer.context["product"] == "rod_55", "the next piece of the delivery is not asked about"


@pytest.mark.parametrize(
    ("codes", "number"),
    [
        ((), "2010"),  # the first number of a tag
        (("HH71204",), "88123"),  # nothing is expected, and it is long
        (("HH71204", "2Q2014KG"), "88"),  # far below what the tag says
        (("HH71204", "2Q2014KG"), "8812"),  # far above
    ],
)
def test_a_number_that_may_be_one_of_the_tag_is_asked_about_before_the_product(
    newcomer: Terminal, codes: tuple[str, ...], number: str
) -> None:
    for code in codes:
        newcomer.scan(code)
    assert newcomer.scan(number)["question"]["id"] == "tag-part"


def test_a_long_number_near_the_weight_on_the_tag_is_our_weight(newcomer: Terminal) -> None:
    for code in ("HH71204", "2Q12014KG"):
        newcomer.scan(code)
    assert newcomer.scan("12010")["question"]["id"] == "product"


@pytest.mark.parametrize(("times", "asked"), [(2, True), (5, False)])
def test_how_far_off_a_weight_may_be_is_the_plants_own(tmp_path: Path, times: int, asked: bool) -> None:
    house = a_house(tmp_path, plants.demo_text().replace("far_off = 3 ", f"far_off = {times} "))
    terminal = Terminal(house).at("receiving").on("receiving")
    terminal.badge("receiver")
    terminal.context = {"product": "rod_55", "supplier": "bellmead"}
    for code in ("HH71204", "2Q2014KG"):
        terminal.scan(code)
    assert (terminal.scan("900")["question"]["id"] == "tag-part") is asked


def test_every_product_can_be_reached_by_choosing_further_ones(house: House, newcomer: Terminal) -> None:
    found, told = set(), {}
    while True:
        question = newcomer.scan("PRODUCT", answers=told)["question"]
        codes = [one["code"] for one in question["choices"]]
        found |= set(codes)
        if "further" not in codes:
            break
        told[question["id"]] = "further"
    assert found - {"further"} == set(house.ask(current_plant).products)


def test_what_came_last_from_a_supplier_is_offered_first(house: House, receiver: Terminal) -> None:
    for code in ("coil_40x1250", "HH71204", "5000"):
        receiver.scan(code)
    choices = receiver.scan("PRODUCT")["question"]["choices"]
    assert choices[0]["code"] == "coil_40x1250"


def test_coils_are_offered_first_where_a_heat_was_read(house: House, receiver: Terminal) -> None:
    receiver.scan("HH71204")
    plant = house.ask(current_plant)
    choices = receiver.scan("PRODUCT")["question"]["choices"]
    first = plant.product(choices[0]["code"])
    assert plant.kind(first.kind).letter == "C"


@pytest.mark.parametrize(
    "command", [Command.NOT_ON_TAG, Command.CERTIFICATE, Command.PRODUCT, Command.SUPPLIER, Command.EMERGENCY]
)
def test_every_code_of_the_command_sheet_for_receiving_is_understood(
    receiver: Terminal, command: Command
) -> None:
    assert receiver.scan(command.code)["verdict"] in ("accepted", "ask")


def test_the_hold_command_asks_why(receiver: Terminal) -> None:
    receiver.answer(Command.HOLD.code, "look_again")
    assert receiver.context["hold_reason"] == "look_again"


def test_what_was_received_stands_on_the_page_at_once(house: House, receiver: Terminal) -> None:
    for code in ("HH71204", "2014"):
        receiver.scan(code)
    assert f"/lots/{lots(house)[0]}" in receiver.last["fragments"]["received-last"]


def test_another_supplier_does_not_take_over_the_order_of_the_one_before(receiver: Terminal) -> None:
    for code in ("HH71204", "KPO-1180", "2014", "nordhavn"):
        receiver.scan(code)
    assert "order_number" not in receiver.context
    assert receiver.context["supplier"] == "nordhavn"


def test_the_form_takes_a_photo_a_certificate_and_a_hold(house: House, receiver: Terminal) -> None:
    told = {"what": "receipt", "product": "rod_55", "supplier": "bellmead", "supplier_number": "B9"}
    told |= {"paint_batch": "P-1188"}
    files = {
        "photo": (io.BytesIO(b"\x89PNG not looked into"), "tag.png"),
        "certificate": (io.BytesIO(b"%PDF-1.7 as it came"), "cert.pdf"),
    }
    more = {"heats": "H1, H2", "amount": "2010", "hold_reason": "Look again", **files}
    answer = form(receiver, "/receiving/lot", "/receiving", **told, **more)
    assert answer.status_code == 303, answer.text
    (number,) = lots(house)
    source = house.ask(source_of, number)
    assert len(source.photo) == len(source.certificate) == 64
    assert (source.heats, source.paint_batch) == ("H1; H2", "P-1188")
    assert house.ask(held_by, number)
    assert "P-1188" in receiver.client.get(f"/lots/{number}").text


def test_an_emergency_receipt_gives_the_number_now_and_the_details_later(
    house: House, receiver: Terminal
) -> None:
    form(receiver, "/receiving/lot", "/receiving", what="emergency", product="rod_55")
    (due,) = house.ask(details_due)
    told = {"what": "complete", "lot": due.lot, "product": "rod_55", "supplier": "bellmead", "amount": "2000"}
    answer = form(receiver, "/receiving/lot", "/receiving", **told, heats="H5")
    assert answer.status_code == 303, answer.text
    assert not house.ask(details_due)


def test_a_wrong_amount_keeps_what_was_typed_and_says_what_fits(house: House, receiver: Terminal) -> None:
    before = house.ask(head)
    told = {"what": "receipt", "product": "rod_55", "supplier": "bellmead", "amount": "two tons"}
    answer = form(receiver, "/receiving/lot", "/receiving", **told, remark="rusty edge")
    assert answer.status_code == 422
    assert "rusty edge" in answer.text
    assert house.ask(head) == before


@pytest.mark.parametrize(
    ("told", "field"), [({"heats": "H 1"}, "supplier"), ({"supplier": "bellmead"}, "heats")]
)
def test_what_a_receipt_lacks_is_said_at_its_own_field(
    house: House, receiver: Terminal, told: dict[str, str], field: str
) -> None:
    more = {"product": "rod_55", "amount": "2010", "what": "receipt", **told}
    answer = form(receiver, "/receiving/lot", "/receiving", **more)
    assert answer.status_code == 422
    assert f'href="#field-{field}"' in answer.text
    assert f'id="error-{field}"' in answer.text
    assert lots(house) == []


@pytest.mark.parametrize("what", ["receipt", "stock"])
def test_a_form_without_a_product_is_refused_above_the_scan_field(
    house: House, receiver: Terminal, what: str
) -> None:
    answer = form(receiver, "/receiving/lot", "/receiving", what=what, product="", amount="2010")
    assert answer.status_code == 422, answer.text
    assert answer.text.index("Not recorded yet") < answer.text.index('id="scan-field"')
    assert lots(house) == []
