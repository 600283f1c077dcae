"""Is a lineage drawn so that everybody can read it: shapes with words, links, held lots marked, a table?"""

from contextlib import closing
from pathlib import Path
from xml.etree import ElementTree

import pypdfium2
import pytest
from houses import House
from lotroot.genealogy.lots import find_lot
from lotroot.holds.handling import PlaceHold
from lotroot.identity.showing import shown
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from offices import an_office_house, office
from shop import Shop

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def drawing(house: House, number: str, more: str = "") -> ElementTree.Element:
    answer = office(house, "qa").client.get(f"/lots/{number}/picture.svg{more}")
    assert answer.status_code == 200
    return ElementTree.fromstring(answer.data)


def titles(root: ElementTree.Element) -> dict[str, str]:
    """What each node says, by where it leads."""
    return {
        one.get("href", "").partition("#")[0]: one.find(f"{SVG}title").text for one in root.iter(f"{SVG}a")
    }


def test_both_sides_of_a_lot_are_drawn_and_each_leads_to_its_own_picture(house: House, shop: Shop) -> None:
    coil = shop.coil()
    lot, other = shop.drawn(coil, 500_000, 400_000)
    nails = shop.nails(lot, 300_000)
    said = titles(drawing(house, lot))
    assert set(said) == {f"/lots/{number}/picture" for number in (coil, lot, nails)}
    assert "asked for" in said[f"/lots/{lot}/picture"]
    assert "500 kg" in said[f"/lots/{lot}/picture"].replace("\u202f", " ")
    assert f"/lots/{other}/picture" in titles(drawing(house, coil))
    widths = [float(one.get("stroke-width", "0")) for one in drawing(house, coil).iter(f"{SVG}path")]
    assert max(widths) > min(widths)  # 500 kg and 400 kg of wire


def test_one_of_several_asked_lots_is_where_the_page_opens(house: House, shop: Shop) -> None:
    first, second = shop.drawn(shop.coil(), 500_000, 400_000)
    [run] = {house.ask(find_lot, lot).run for lot in (first, second)}
    root = drawing(house, run)
    assert len([one for one in root.iter(f"{SVG}a") if "asked" in one.get("class", "").split()]) == 2
    assert len([one for one in root.iter() if one.get("id") == "this"]) == 1


def test_a_held_lot_is_marked_by_line_and_word(house: House, shop: Shop) -> None:
    coil = shop.coil()
    lot = shop.drawn(coil, 500_000)[0]
    house.post(PlaceHold("brittle", coil), "qa")
    root = drawing(house, lot)
    assert all("held" in said for said in titles(root).values())
    assert all("held" in one.get("class", "").split() for one in root.iter(f"{SVG}a"))
    assert "HELD" in "".join(text.text for text in root.iter(f"{SVG}text"))


def test_the_page_has_the_picture_and_the_same_as_a_table(house: House, shop: Shop) -> None:
    coil = shop.coil()
    lot = shop.drawn(coil, 500_000)[0]
    page = office(house, "manager").client.get(f"/lots/{shown(lot).lower()}/picture").text
    assert "<svg" in page
    table = page.split("The same as a table", 1)[1]
    assert shown(coil) in table
    assert shown(lot) in table
    assert "style=" not in page.split("<svg")[1].split("</svg>")[0]
    story = office(house, "manager").client.get(f"/lots/{lot}").text
    assert f"/lots/{lot}/picture" in story


@pytest.mark.in_ci
def test_more_than_a_reader_takes_in_is_folded_and_unfolds(house: House, shop: Shop) -> None:
    coil = shop.coil(amount=20_000_000)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    for _ in range(151):
        shop.at("draw_1", MakeOutput(weight=100_000))
    root = drawing(house, coil)
    [fold] = [one for one in titles(root) if "unfold=" in one]
    assert f"151 lots of {shown(coil)}" in titles(root)[fold]
    whole = drawing(house, coil, fold.removeprefix(f"/lots/{coil}/picture"))
    assert len(titles(whole)) == 152
    assert len(titles(drawing(house, coil, "?unfold=<script>,fold-X"))) == 2


def test_the_picture_prints_on_one_page_with_readable_letters(house: House, shop: Shop) -> None:
    coil = shop.coil()
    lot = shop.drawn(coil, 500_000)[0]
    desk = office(house, "qa").client
    answer = desk.get(f"/lots/{lot}/picture.pdf")
    assert answer.data == desk.get(f"/lots/{lot}/picture.pdf").data
    with closing(pypdfium2.PdfDocument(answer.data)) as document:
        assert len(document) == 1
        width, height = document.get_page_size(0)
        assert (round(width), round(height)) == (842, 595)  # A4 lying (ISO 216), in points
        text = document[0].get_textpage().get_text_range()
    assert all(shown(number) in text for number in (coil, lot))
    assert "THIS" in text


@pytest.mark.parametrize(
    ("number", "status"), [("nonsense", 422), ("C2600000175", 422), ("{place}", 422), ("{person}", 422)]
)
def test_what_has_no_lineage_is_said(house: House, shop: Shop, number: str, status: int) -> None:
    known = {"place": shop.place("coil_yard"), "person": house.people["qa"]}
    for ending in ("", ".svg", ".pdf"):
        answer = office(house, "qa").client.get(f"/lots/{number.format(**known)}/picture{ending}")
        assert answer.status_code == status, answer.text[-600:]
