"""Does a receiver take a whole delivery by its packing list: seen first, then all of it or nothing?"""

import hashlib
import io
import re
from pathlib import Path

import pytest
from houses import House, a_house
from lotroot.ledger.book import head
from lotroot.receiving.receipts import source_of
from offices import form
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


@pytest.fixture
def receiver(house: House) -> Terminal:
    terminal = Terminal(house).on("receiving").at("receiving")
    terminal.badge("receiver")
    return terminal


def lots(house: House) -> list[str]:
    return [str(row["lot"]) for row in house.status()["source"]]


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


@pytest.mark.parametrize("how", ["to follow", "along"])
def test_a_delivery_comes_with_its_certificate_or_waits_for_it(
    house: House, receiver: Terminal, how: str
) -> None:
    sent = {"list": (io.BytesIO(LIST.encode()), "list.csv"), "supplier": "bellmead", "product": "rod_55"}
    shown = form(receiver, "/receiving/list", "/receiving/list", **sent)
    assert "The certificate is to follow" in shown.text
    digest = re.findall(r'name="file" value="(\w{64})"', shown.text)[0]
    paper = {"certificate": (io.BytesIO(b"%PDF-1.4"), "cert.pdf")}
    more = paper if how == "along" else {"certificate_follows": "yes"}
    form(receiver, "/receiving/list/record", "/receiving/list", supplier="bellmead", file=digest, **more)
    found = {house.ask(source_of, one).certificate for one in lots(house)}
    assert len(lots(house)) == 2
    assert found == {hashlib.sha256(b"%PDF-1.4").hexdigest() if how == "along" else "to follow"}


def test_a_bad_row_is_named_and_nothing_is_recorded(house: House, receiver: Terminal) -> None:
    bad = LIST.replace("1998", "heavy")
    sent = {"list": (io.BytesIO(bad.encode()), "list.csv"), "supplier": "bellmead", "product": "rod_55"}
    shown = form(receiver, "/receiving/list", "/receiving/list", **sent)
    assert "heavy" in shown.text
    assert "Record all" not in shown.text
    assert lots(house) == []


def test_a_list_tells_how_it_was_read_and_the_same_fault_of_many_rows_once(
    house: House, receiver: Terminal
) -> None:
    told = "Bellmead;;;\nColil no;Coil no;Colour;Weight kg\n1;A1;red;2014,5\n2;A2;red;1998\nTotal;;;4012,5\n"
    sent = {"list": (io.BytesIO(told.encode()), "june.csv"), "supplier": "bellmead"}
    shown = form(receiver, "/receiving/list", "/receiving/list", **sent).text.replace("\u202f", " ")
    assert "One thing must be mended" in shown
    assert "3, 4" in shown
    assert "Product: no such column" in shown
    assert "june.csv" in shown
    assert "Colour" in shown
    assert "4 012.5 kg, as the list&#39;s own total says" in shown


def test_a_list_is_not_read_before_somebody_says_who_sent_it(house: House, receiver: Terminal) -> None:
    sent = {"list": (io.BytesIO(LIST.encode()), "list.csv"), "supplier": "", "product": "rod_55"}
    answer = form(receiver, "/receiving/list", "/receiving/list", **sent)
    assert answer.status_code == 422
    assert 'href="#field-supplier"' in answer.text
    digest = re.findall(r'name="file" value="(\w{64})"', answer.text)[0]
    again = form(receiver, "/receiving/list", "/receiving/list", supplier="bellmead", file=digest)
    assert "Record all 2" in again.text, "the file need not be chosen twice"
