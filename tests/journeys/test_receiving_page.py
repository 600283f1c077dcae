"""Does a receiver get a coil labelled by scanning its tag in any order, and a delivery by its list?"""

import io
import re
from pathlib import Path

import pytest
from houses import House, a_house
from lotroot.genealogy.lots import find_lot
from lotroot.holds.reach import held_by
from lotroot.ledger.book import head
from lotroot.receiving.receipts import details_due, source_of
from terminals import Terminal
from werkzeug.test import TestResponse


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


def test_done_takes_their_weight_and_same_again_keeps_the_rest(house: House, receiver: Terminal) -> None:
    for code in ("HH71204", "S1", "2Q2014KG", "DONE", "SAME AGAIN"):
        receiver.scan(code)
    assert house.ask(find_lot, lots(house)[0]).how == "theirs"
    assert receiver.context["heat"] == "H71204"
    assert "supplier_number" not in receiver.context


def test_in_an_emergency_one_key_gives_a_number(house: House, receiver: Terminal) -> None:
    assert receiver.scan("EMERGENCY")["verdict"] == "accepted", receiver.last
    assert len(house.ask(details_due)) == 1


def test_a_weight_before_product_and_supplier_are_known_is_no_weight(house: House) -> None:
    terminal = Terminal(house).at("receiving").on("receiving")
    terminal.badge("receiver")
    before = house.ask(head)
    assert terminal.scan("DONE")["verdict"] == "refused"
    assert "Choose them above" in str(terminal.last)
    assert house.ask(head) == before


def form(terminal: Terminal, address: str, page: str, **fields: object) -> TestResponse:
    """Send a form of a page with the key it gave."""
    key = re.findall(r'name="key" value="(\w+)"', terminal.client.get(page).text)[0]
    data = {"csrf_token": terminal.token(page), "key": key, **fields}
    return terminal.client.post(address, data=data, content_type="multipart/form-data")


def test_the_form_takes_a_photo_a_certificate_and_a_hold(house: House, receiver: Terminal) -> None:
    told = {"what": "receipt", "product": "rod_55", "supplier": "bellmead", "supplier_number": "B9"}
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
    assert source.heats == "H1; H2"
    assert house.ask(held_by, number)


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


LIST = "Coil no;Heat;Product;Weight kg\nA1;H1;Wire rod 5.5 mm;2014,5\nA2;H1;Wire rod 5.5 mm;1998\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_a_packing_list_is_shown_first_and_then_recorded_whole(
    house: House, receiver: Terminal, encoding: str
) -> None:
    sent = {"list": (io.BytesIO(LIST.encode(encoding)), "list.csv"), "supplier": "bellmead"}
    more = {"product": "rod_55", "number": "BM-77"}
    before = house.ask(head)
    shown = form(receiver, "/receiving/list", "/receiving/list", **sent, **more)
    assert "2 014.5" in shown.text.replace("\u202f", " "), shown.text
    assert house.ask(head) == before
    digest = re.findall(r'name="file" value="(\w{64})"', shown.text)[0]
    kept = {"supplier": "bellmead", "file": digest, **more}
    answer = form(receiver, "/receiving/list/record", "/receiving/list", **kept)
    assert answer.status_code == 303, answer.text
    assert len(lots(house)) == 2


def test_a_bad_row_is_named_and_nothing_is_recorded(house: House, receiver: Terminal) -> None:
    bad = LIST.replace("1998", "heavy")
    sent = {"list": (io.BytesIO(bad.encode()), "list.csv"), "supplier": "bellmead", "product": "rod_55"}
    shown = form(receiver, "/receiving/list", "/receiving/list", **sent)
    assert "heavy" in shown.text
    assert "Record all" not in shown.text
    assert lots(house) == []
