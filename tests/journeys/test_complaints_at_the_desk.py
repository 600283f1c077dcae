"""Can somebody with a customer on the telephone take a complaint down, see its origin, and stop the rest?"""

import io
import re
from pathlib import Path

import pytest
from houses import House
from lotroot.complaints.cases import cases, find_case
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.holds.reach import held_by
from lotroot.identity.showing import shown
from lotroot.labelling.printed import labels_of
from lotroot.production.making import MakeOutput
from lotroot.worker import drain
from offices import an_office_house, office, sent
from shop import Shop
from terminals import Terminal
from werkzeug.datastructures import FileStorage

PNG = b"\x89PNG\r\n\x1a\n" + bytes(40)
PDF = b"%PDF-1.7 a letter"


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def taken(terminal: Terminal, **form: str) -> str:
    """A complaint is taken down; its number."""
    sent(terminal, "/complaints", "/complaints/new", **{"words": "they break", **form})
    return str(terminal.house.ask(cases)[0].number)


def shipped(shop: Shop, lot: str) -> str:
    number = shop.at("dispatch", OpenShipment("osprey"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(number, lot), "dispatcher")
    shop.at("dispatch", SendShipment(number, number), "dispatcher")
    return number


def test_a_scanned_label_shows_its_origin_before_a_word_is_typed(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil(heat="A100")
    first, second = shop.drawn(coil, 480_000, 470_000)
    shipped(shop, first)
    desk = office(house, "qa").on("complaints")
    gone = desk.scan(first)
    assert gone["goto"] == f"/complaints/new?number={first}"
    page = desk.client.get(gone["goto"]).text
    for told in (shown(coil), "A100", "Drawing machine 1", "The operator", shown(second), "100.0"):
        assert told in page
    assert re.search(r'<option value="osprey" selected', page), "the customer the goods went to"
    assert house.ask(cases) == [], "nothing is recorded before it is said"


def test_looking_a_label_up_does_not_prove_it_seen_on_the_goods(house: House) -> None:
    coil = Shop(house).coil()
    drain(house.door)
    desk = office(house, "qa")
    for page in ("complaints", "find"):
        desk.on(page).scan(coil)
    assert [row.proved for row in house.ask(labels_of, coil)] == [None]
    desk.on("checks").scan(coil)
    assert [row.proved for row in house.ask(labels_of, coil)] != [None]


@pytest.mark.parametrize("read", ["smeared, ends in 4?", "???", "N26-…", "ü" * 70])
def test_what_nobody_can_read_is_kept_as_it_was_read(house: House, read: str) -> None:
    number = taken(office(house, "dispatcher"), number=read)
    assert house.ask(find_case, number).row.read == read


def test_without_a_label_what_left_to_the_customer_is_listed(house: House) -> None:
    shop = Shop(house)
    number = shipped(shop, shop.drawn(shop.coil(), 480_000)[0])
    desk = office(house, "qa")
    page = desk.client.get(f"/complaints/{taken(desk, customer='osprey')}").text
    assert "Nothing was read of the label." in page
    assert f'href="/lots/{number}"' in page
    page = desk.client.get(f"/complaints/{taken(desk, customer='tamarind')}").text
    assert "What left to" not in page


def test_part_of_a_number_offers_what_it_may_be_and_one_press_chooses(house: House) -> None:
    shop = Shop(house)
    coils = [shop.coil(), shop.coil()]
    desk = office(house, "qa")
    offered = desk.client.get("/complaints/new?number=C26").text
    assert all(shown(coil) in offered for coil in coils)
    number = taken(desk, number="C26")
    page = desk.client.get(f"/complaints/{number}").text
    assert "It may be one of these" in page
    sent(desk, f"/complaints/{number}/more", f"/complaints/{number}", number=coils[0])
    assert [row.number for row in house.ask(find_case, number).numbers] == [coils[0]]


@pytest.mark.parametrize(
    ("cut", "meant"),
    [(15, "item"), (16, "item"), (14, "lot"), (12, "lot")],  # its check pair is missing, or its serial too
)
def test_a_box_read_without_the_end_of_its_number_is_found(house: House, cut: int, meant: str) -> None:
    shop = Shop(house)
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=10)).numbers[0]
    item = shop.item(lot, 7)
    number = item if meant == "item" else lot
    desk = office(house, "qa")
    found = desk.client.get("/find", query_string={"q": item[:cut]})
    assert found.headers["Location"] == f"/lots/{number}"
    complaint = taken(desk, number=item[:cut])
    assert [row.number for row in house.ask(find_case, complaint).numbers] == [number]


def test_a_box_read_with_a_wrong_digit_at_its_end_leads_to_its_lot(house: House) -> None:
    shop = Shop(house)
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=10)).numbers[0]
    wrong = shop.item(lot, 7)[:15] + shop.item(lot, 8)[15:]
    page = office(house, "qa").client.get(f"/lots/{wrong}").text
    assert "damaged or mistyped" in page
    assert f'href="/lots/{lot}"' in page


def test_an_ambiguous_label_added_later_is_asked_about_and_what_was_typed_stays(house: House) -> None:
    shop = Shop(house)
    coils = [shop.coil(), shop.coil()]
    desk = office(house, "qa")
    number = taken(desk, number=coils[0])
    page = sent(
        desk, f"/complaints/{number}/more", f"/complaints/{number}", number="C26", words="came by letter"
    )
    assert "may be 2 numbers" in page
    assert "came by letter</textarea>" in page
    assert len(house.ask(find_case, number).entries) == 1


def test_pages_and_photographs_come_back_byte_for_byte_and_never_run(house: House) -> None:
    desk = office(house, "qa")
    number = taken(desk, number=Shop(house).coil())
    html = b"<script>alert(1)</script>"
    files = [("box.png", PNG), ("letter.pdf", PDF), ("x.png", html)]
    sending = {
        "csrf_token": desk.token(),
        "key": "p" * 32,
        "words": "three pages",
        "file": [FileStorage(io.BytesIO(content), name, content_type="image/png") for name, content in files],
    }
    answer = desk.client.post(f"/complaints/{number}/more", data=sending, content_type="multipart/form-data")
    assert answer.status_code == 303, answer.text
    entries = house.ask(find_case, number).entries
    assert sorted(row.words for row in entries if row.file) == ["", "", "three pages"]
    page = desk.client.get(f"/complaints/{number}").text
    assert len(re.findall(r"<img class=.kept-picture", page)) == 1, (
        "only what proves to be a picture is shown"
    )
    for row in entries:
        if row.file:
            saved = desk.client.get(f"/files/{row.file}")
            shows = desk.client.get(f"/files/{row.file}?show=1")
            assert saved.data in (PNG, PDF, html)
            assert saved.headers["Content-Disposition"].startswith("attachment")
            assert "sandbox" in saved.headers["Content-Security-Policy"]
            assert (shows.headers["Content-Type"] == "image/png") == (saved.data == PNG)
    assert desk.client.get(f"/files/{'0' * 64}").status_code == 404
    assert Terminal(house).client.get(f"/files/{entries[1].file}").status_code == 401


def test_the_source_or_only_the_lot_is_held_with_one_press(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    first, second = shop.drawn(coil, 480_000, 470_000)
    desk = office(house, "qa")
    number = taken(desk, number=first)
    page = desk.client.get(f"/complaints/{number}").text
    assert f"Hold {shown(coil)} and all that was made of it" in page
    assert f"Hold only {shown(first)}" in page
    sent(desk, f"/complaints/{number}/hold", f"/complaints/{number}", lot=first)
    assert house.ask(held_by, first)
    assert not house.ask(held_by, second)
    sent(desk, f"/complaints/{number}/hold", f"/complaints/{number}", lot=coil)
    assert house.ask(held_by, second)
    assert "Hold C26" not in desk.client.get(f"/complaints/{number}").text


def test_it_is_closed_with_an_answer_and_more_opens_it_again(house: House) -> None:
    desk = office(house, "qa")
    number = taken(desk, number=Shop(house).coil(), customer="osprey", contact="Store manager")
    page = sent(desk, f"/complaints/{number}/close", f"/complaints/{number}", answer="")
    assert "The answer to the customer is missing." in page
    page = sent(desk, f"/complaints/{number}/close", f"/complaints/{number}", answer="replaced")
    assert "<span>closed</span>" in page
    assert "Store manager" in page
    sent(desk, f"/complaints/{number}/more", f"/complaints/{number}", words="a second box too")
    assert house.ask(find_case, number).row.state == "open"


def test_a_complaint_is_opened_by_its_own_number_however_it_is_written(house: House) -> None:
    desk = office(house, "qa")
    number = taken(desk, number=Shop(house).coil())
    assert desk.client.get(f"/complaints/{shown(number)}").location == f"/complaints/{number}"
    assert desk.client.get(f"/lots/{shown(number)}").location == f"/complaints/{number}"
    assert desk.on("find").scan(number)["goto"] == f"/complaints/{number}"
    assert desk.client.get("/complaints/X2600099955").status_code == 404
