"""Are an emergency form, a pad and a scanner test worked in a browser by scanner and digit keys alone?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import HAND_HELD, PANEL, OpenTab
from browser.measure import sideways
from browser.wedge import in_field, scan, shown, verdict
from floor_work import lay
from goods_by_hand import by_hand
from houses import House, a_house
from keyboards import ARRIVALS
from lotroot.accounts.badges import badge_of
from lotroot.genealogy.lots import find_lot
from lotroot.identity import Command
from lotroot.identity.scanner_codes import CODES
from lotroot.pads.listing import pads_given
from lotroot.production.loading import LoadInput
from lotroot.receiving.commands import ReserveNumbers
from playwright.sync_api import Page, expect
from served import served

SIZES = pytest.mark.parametrize(
    "size",
    [pytest.param(PANEL, marks=pytest.mark.in_ci, id="panel"), pytest.param(HAND_HELD, id="hand-held")],
)


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        made = a_house(tmp_path)
        yield made
        made.database.close()


@pytest.fixture
def address(house: House) -> Iterator[str]:
    with served(house.database, house.door) as found:
        yield found


def badge(house: House, who: str) -> str:
    return str(house.ask(badge_of, house.people[who]))


def a_night(house: House) -> tuple[tuple[str, ...], str]:
    """A pad, a rod on the machine since six in the morning, and it is evening."""
    station = house.thing("station", "draw_1")
    rod = lay(house, "rod_55", 2_000_000)
    numbers = house.post(ReserveNumbers(letter="R", count=12, keeper=station), "supervisor").numbers
    load = LoadInput(rod, payoff="1", process="wire_drawing", product="wire_25")
    house.post(load, "operator", station=station)
    house.clock.forward(hours=13)
    return numbers, rod


def signed_in(open_tab: OpenTab, address: str, size: tuple[int, int]) -> Page:
    page = open_tab(f"{address}/signin", size)
    page.click("button[value=draw_1]")
    page.wait_for_url("**/station")
    return page


def holds_up(page: Page) -> None:
    """No breach of accessibility, no sideways scroll."""
    assert Axe().run(page).response["violations"] == []
    assert sideways(page) == 0


@SIZES
def test_a_form_is_entered_by_scans_and_digits_alone(
    open_tab: OpenTab, house: House, address: str, size: tuple[int, int]
) -> None:
    labels, rod = a_night(house)
    page = signed_in(open_tab, address, size)
    page.goto(f"{address}/catchup")
    scan(page, badge(house, "operator"))
    verdict(page, "accepted")
    for label, time, weight in ((labels[0], "0730", "486"), (labels[1], "0810", "488,5")):
        for text in (label, time, weight):
            scan(page, text)
            verdict(page, "accepted")
            assert in_field(page)
    assert [house.ask(find_lot, label).amount for label in labels[:2]] == [486_000, 488_500]
    assert house.ask(find_lot, labels[0]).product == "wire_25"
    scan(page, labels[0])
    verdict(page, "already")
    assert "is entered: 486" in shown(page)
    scan(page, labels[2])
    verdict(page, "accepted")
    scan(page, Command.NEXT.code)
    verdict(page, "accepted")
    scan(page, rod)
    verdict(page, "refused")
    holds_up(page)


@SIZES
def test_a_pad_is_made_and_looked_through(
    open_tab: OpenTab, house: House, address: str, size: tuple[int, int]
) -> None:
    page = signed_in(open_tab, address, size)
    scan(page, badge(house, "supervisor"))
    verdict(page, "accepted")
    page.goto(f"{address}/emergency")
    expect(page.locator("#field-what")).to_have_value("draw_1:R")
    page.get_by_role("button", name="Set the numbers aside").click()
    expect(page.get_by_text("20 not returned")).to_be_visible()
    page.get_by_text("Not returned: 20").click()
    page.locator("input[name=numbers]").first.check()
    page.get_by_role("button", name="They are destroyed").click()
    expect(page.get_by_text("1 destroyed, 19 not returned")).to_be_visible()
    assert len(house.ask(pads_given)[0].of("destroyed")) == 1
    holds_up(page)


def scan_well(page: Page, text: str, suffix: tuple[str, ...], says: str) -> None:
    """Scan until it is said: a machine so busy that a code comes in two halves is scanned at again."""
    found = page.locator("#scanner-found")
    for _ in range(4):
        scan(page, text, suffix)
        try:
            expect(found).to_contain_text(says)
        except AssertionError:
            continue
        return
    expect(found).to_contain_text(says)


@pytest.mark.in_ci
@SIZES
def test_a_scanner_is_tried_with_each_suffix(open_tab: OpenTab, address: str, size: tuple[int, int]) -> None:
    page = signed_in(open_tab, address, size)
    page.goto(f"{address}/scanner")
    found = page.locator("#scanner-found")
    scan_well(page, CODES["bars"], ("Enter",), "Enter follows each code")
    expect(found).to_contain_text("QR: not read yet")
    scan_well(page, ARRIVALS["German"](CODES["qr"]), ("Tab",), "Tab follows each code")
    expect(found).to_contain_text("country or keyboard to German")
    expect(found).to_contain_text("Bars: read")
    scan_well(page, ARRIVALS["US, Caps Lock"](CODES["bars"]), (), "Nothing follows the code")
    expect(found).to_contain_text("Caps Lock is on")
    assert page.evaluate("document.activeElement.id") == "field-text"
    page.keyboard.type(CODES["bars"], delay=100)
    page.keyboard.press("Enter")
    expect(found).to_contain_text("looks typed by hand")
    holds_up(page)
