"""Does a preview show a label as it would print, say what will not fit or is missing, and leave no trace?"""

import io
import re
from pathlib import Path
from urllib.parse import quote

import plants
import pytest
from houses import House, a_house
from label_pictures import LAYOUTS
from licensed import FOR_EUROPE, FOR_OSPREY, boxed, licensed, pallet_of
from lotroot.accounts.badges import badge_of
from lotroot.accounts.firms import SetCustomerItem
from lotroot.holds.handling import PlaceHold
from lotroot.identity import make
from lotroot.labelling.tables import print_job
from lotroot.ledger.book import head
from lotroot.moving.units import sscc_of
from PIL import Image
from shop import Shop
from terminals import Terminal

MM_PER_INCH = 25.4


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> House:
    return a_house(tmp_path_factory.mktemp("previews"), licensed(FOR_OSPREY))


@pytest.fixture(scope="module")
def goods(house: House) -> dict[str, str]:
    """One of everything that has a label."""
    shop = Shop(house)
    lot = boxed(shop)
    pallet = pallet_of(shop, lot)
    numbers = {job["number"][0]: job["number"] for job in house.rows(print_job)}
    return {
        **numbers,
        "lot": lot,
        "item": shop.item(lot, 2),
        "pallet": pallet,
        "open": pallet_of(shop, lot, 4, 5, close=False),
        "place": shop.place("rack_a"),
        "pan": shop.pan("pan_17"),
        "sscc": f"(00){house.ask(sscc_of, pallet)}",
    }


@pytest.fixture(scope="module")
def desk(house: House) -> Terminal:
    return Terminal(house).at("laboratory")


def shown_for(desk: Terminal, layout: str, number: str, **more: str) -> str:
    asked = "".join(f"&{name.strip('_')}={quote(value)}" for name, value in more.items())
    answer = desk.client.get(f"/layouts?layout={layout}&number={quote(number)}{asked}")
    assert answer.status_code == 200
    return answer.text


def picture_of(desk: Terminal, page: str) -> Image.Image:
    found = re.search(r'src="(/layouts/preview.png[^"]+)"', page)
    assert found, page
    return Image.open(io.BytesIO(desk.client.get(found[1].replace("&amp;", "&")).data))


def test_the_page_lists_every_layout_with_size_and_resolutions(desk: Terminal) -> None:
    page = desk.client.get("/layouts").text
    for name, layout in LAYOUTS.items():
        width, height = (round(side * MM_PER_INCH / layout.dpi) for side in (layout.width, layout.height))
        row = page[page.index(f'role="rowheader">{name}</th>') :]
        row = row[: row.index("</tr>")]
        assert f"{width} × {height} mm" in row.replace("\u00a0", " ")
        assert ", ".join(map(str, layout.resolutions)) in row
    assert "wax and resin" in page, "the stock and ribbon that a layout states"


@pytest.mark.parametrize(
    ("layout", "of"),
    [
        *(("coil", "C"), ("part_coil", "C"), ("stripper", "R"), ("lot", "lot"), ("item", "item")),
        *(("lumber", "lot"), ("pallet", "pallet"), ("pallet", "open"), ("pallet_gs1", "pallet")),
        *(("run", "U"), ("place", "place"), ("place", "pan"), ("pallet", "lot"), ("pallet_gs1", "sscc")),
    ],
)
def test_any_layout_previews_any_goods_at_each_of_its_resolutions(
    desk: Terminal, goods: dict[str, str], layout: str, of: str
) -> None:
    for dpi in LAYOUTS[layout].resolutions:
        page = shown_for(desk, layout, goods[of], dpi=str(dpi))
        image = picture_of(desk, page)
        assert image.mode == "1"
        assert round(image.info["dpi"][0]) == dpi
        strip = round(6 * dpi / MM_PER_INCH)
        asked = LAYOUTS[layout]
        assert image.width == pytest.approx(asked.width * dpi / asked.dpi, abs=1)
        assert image.height == pytest.approx(asked.height * dpi / asked.dpi + strip, abs=2)
        top = image.convert("L").crop((0, 0, image.width, strip))
        black = top.tobytes().count(0)
        assert black > 0.7 * top.width * top.height, "the strip that says it is a preview"
        assert "preview, not a label" in page


@pytest.mark.in_ci
def test_every_layout_answers_all_goods_with_a_picture_or_a_reason(
    desk: Terminal, goods: dict[str, str]
) -> None:
    pictured = set()
    for layout in LAYOUTS:
        for number in goods.values():
            page = shown_for(desk, layout, number)
            has_picture, has_reason = 'class="true-size"' in page, 'role="alert"' in page
            assert has_picture != has_reason, (layout, number)
            pictured |= {layout} if has_picture else set()
    assert pictured >= set(LAYOUTS) - {"badge"}


def test_a_preview_stands_at_its_true_size_on_the_page(desk: Terminal, goods: dict[str, str]) -> None:
    page = shown_for(desk, "pallet", goods["pallet"])
    found = re.search(r'width="(\d+)" height="(\d+)" alt="Preview', page)
    assert found
    assert (int(found[1]), int(found[2])) == (round(105 * 96 / 25.4), round(154 * 96 / 25.4))


def test_a_layout_for_two_sides_shows_both(desk: Terminal, goods: dict[str, str]) -> None:
    page = shown_for(desk, "pallet_gs1", goods["pallet"])
    assert page.count('class="true-size"') == LAYOUTS["pallet_gs1"].sides == 2


def test_looking_prints_nothing_and_records_nothing(
    house: House, desk: Terminal, goods: dict[str, str]
) -> None:
    before, jobs = house.ask(head), house.rows(print_job)
    for layout in LAYOUTS:
        shown_for(desk, layout, goods["pallet"], for_="osprey")
    assert house.ask(head) == before
    assert house.rows(print_job) == jobs


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        # the number
        (("pallet", "", {}), "Of which goods?"),
        (("pallet", str(make("P", 26, 999_998)), {}), "No carrier"),
        (("pallet", "R2600012384", {}), "check digits do not fit"),
        (("pallet", "nonsense", {}), "no code of ours"),
        (("pallet", "<script>", {}), "&lt;script&gt;"),
        (("pallet", str(make("X", 26, 1)), {}), ""),
        (("pallet", "9" * 300, {}), ""),
        # the layout
        (("none", "{pallet}", {}), "There is no label layout"),
        (("../coil", "{pallet}", {}), "There is no label layout"),
        (("pallet", "{pallet}", {"dpi": "72"}), "72"),
        (("pallet", "{pallet}", {"dpi": "many"}), "This is no resolution"),
        (("pallet", "{pallet}", {"for": "nobody"}), "No customer nobody"),
        # goods and layout do not go together
        (("pallet_gs1", "{lot}", {}), "needs what is not known of it: GS1 number"),
        (("pallet_gs1", "{open}", {}), "needs what is not known of it: GS1 number"),
        (("badge", "{pallet}", {}), "Badges are shown to nobody"),
        (("place", "{item}", {}), ""),
        (("lumber", "{item}", {}), ""),
    ],
)
def test_what_cannot_be_shown_is_said_in_words(
    desk: Terminal, goods: dict[str, str], asked: tuple[str, str, dict[str, str]], says: str
) -> None:
    layout, number, more = asked
    page = shown_for(desk, layout, number.format(**goods), **more)
    assert says in page
    assert "<script>" not in page.partition("<main")[2]
    assert "Traceback" not in page
    if says:
        assert 'class="true-size"' not in page


def test_a_badge_is_no_label_to_look_at(house: House, desk: Terminal) -> None:
    badge = str(house.ask(badge_of, house.people["qa"]))
    for text_of_it in (badge, house.people["qa"]):
        page = shown_for(desk, "badge", text_of_it)
        assert 'class="true-size"' not in page
    assert badge not in shown_for(desk, "pallet", badge).partition('id="preview"')[2]


def test_a_picture_that_cannot_be_is_a_404_that_says_why(desk: Terminal, goods: dict[str, str]) -> None:
    answer = desk.client.get(f"/layouts/preview.png?layout=pallet_gs1&number={goods['lot']}")
    assert answer.status_code == 404
    assert "GS1 number" in answer.text
    assert (
        desk.client.get(f"/layouts/preview.png?layout=pallet&number={goods['lot']}&side=3").status_code == 404
    )


def test_what_is_chosen_for_customers_is_listed_with_what_is_wrong(tmp_path: Path) -> None:
    lost = (
        FOR_OSPREY.replace("harbour", "lost").replace("pallet_gs1", "nothing").replace("osprey", "tamarind")
    )
    gone = FOR_OSPREY.replace("harbour", "gone").replace("osprey", "nobody")
    market = FOR_EUROPE.replace("pallet_gs1", "pallet")
    page = (
        Terminal(a_house(tmp_path, licensed(FOR_OSPREY, lost, gone, market)))
        .at("laboratory")
        .client.get("/layouts")
    )
    table = page.text.partition("Chosen for customers and markets")[2]
    rows = [
        re.findall(r"role=\"(?:rowheader|cell)\"[^>]*>([^<]+)<", row) for row in table.split("</tr>")[1:5]
    ]
    assert rows == [
        ["Osprey Building Supplies", "pallet", "pallet_gs1", "in use"],
        ["Tamarind Hardware", "pallet", "nothing", "There is no such layout: the usual label is printed."],
        ["nobody", "pallet", "pallet_gs1", "No customer nobody is known here."],
        ["all of market EU", "pallet", "pallet", "in use"],
    ]


LONG = "Galvanised common nails for treated lumber, umbrella head, diamond point, bright finish, in cartons"


def test_words_that_give_way_are_named_with_what_is_left_of_them(tmp_path: Path) -> None:
    plain = plants.demo_text()
    known = re.search(r'\[product\.rod_55\][^\[]*?name = "([^"]+)"', plain)
    assert known
    house = a_house(tmp_path, plain.replace(f'name = "{known[1]}"', f'name = "{LONG}"', 1))
    coil = Shop(house).coil(heat="HEAT-" + "7" * 60)
    page = shown_for(Terminal(house).at("laboratory"), "coil", coil)
    assert 'class="true-size"' in page, "it prints all the same"
    assert re.search(r"The heat is too long: “HEAT-7{60}” is shortened to “HEAT-7+…”", page)


def test_what_a_layout_has_no_place_for_is_named(desk: Terminal, goods: dict[str, str]) -> None:
    page = shown_for(desk, "pallet", goods["C"])
    assert 'class="true-size"' in page
    assert "heat" not in page.partition("no place for")[2].partition("</li>")[0]
    page = shown_for(desk, "pallet_gs1", goods["lot"])
    assert re.search(r"This layout has no place for: [^.<]*run", page)


def test_a_layout_without_a_place_for_a_hold_cannot_carry_held_goods(
    house: House, desk: Terminal, goods: dict[str, str]
) -> None:
    house.post(PlaceHold("bent", goods["C"]), "qa")
    page = shown_for(desk, "place", goods["C"])
    assert "This layout has no place for HELD, which must stand on the label." in page
    assert 'class="true-size"' not in page
    assert 'class="true-size"' in shown_for(desk, "coil", goods["C"])


def test_what_stands_in_a_square_alone_is_not_missed(desk: Terminal, goods: dict[str, str]) -> None:
    assert "Everything fits." in shown_for(desk, "pallet_gs1", goods["pallet"], **{"for": "osprey"})


def test_a_customers_code_stands_among_the_lines_that_are_good_to_have(
    house: House, desk: Terminal, goods: dict[str, str]
) -> None:
    house.post(SetCustomerItem("osprey", "box_25x50", "OB-4711"))
    page = shown_for(desk, "pallet", goods["pallet"], **{"for": "osprey"})
    assert "item code" not in page.partition('id="preview"')[2].partition("</section>")[0]
    page = shown_for(desk, "place", goods["pallet"], **{"for": "osprey"})
    assert "item code" not in page.partition("no place for")[2].partition("</li>")[0]


def test_a_pallet_for_a_customer_tells_that_their_name_has_no_place(
    desk: Terminal, goods: dict[str, str]
) -> None:
    page = shown_for(desk, "pallet", goods["pallet"], **{"for": "osprey"})
    assert "customer" in page.partition("no place for")[2].partition("</li>")[0]
