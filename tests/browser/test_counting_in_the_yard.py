"""Does a receiver count a yard on a hand-held by scans alone, and a supervisor settle it with buttons?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.measure import CONTROLS, boxes
from browser.wedge import scan, shown, verdict
from houses import House, a_house
from lotroot.accounts.badges import badge_of
from lotroot.counting.counts import waiting_differences
from lotroot.identity.showing import shown as for_people
from lotroot.moving.pallets import OpenPallet, PutOn
from lotroot.moving.places import MoveGoods
from lotroot.production.making import MakeOutput
from lotroot.stock.standing import standings
from playwright.sync_api import Page, expect
from served import served
from shop import Shop

HAND_HELD = (390, 844)
THUMB = 48


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


@pytest.fixture
def address(house: House) -> Iterator[str]:
    with served(house.database, house.door) as found:
        yield found


def on_duty(page: Page, house: House, address: str, station: str, who: str) -> Page:
    page.goto(f"{address}/signin")
    page.click(f"button[value={station}]")
    page.goto(f"{address}/count")
    scan(page, str(house.ask(badge_of, house.people[who])))
    verdict(page, "accepted")
    return page


def scanned(page: Page, text: str, state: str) -> str:
    """Scan a text as a wedge types it, and wait for its own verdict."""
    page.locator("[data-part=scan]").evaluate("part => { part.dataset.verdict = 'none'; }")
    scan(page, text)
    verdict(page, state)
    return shown(page)


def breaches(page: Page) -> dict[str, Any]:
    """What axe finds wrong, controls too low for a thumb, and how far the page scrolls sideways."""
    found = [one["id"] for one in Axe().run(page).response["violations"]]
    low = [one["what"] for one in boxes(page, f"{CONTROLS}, summary, nav a") if one["height"] < THUMB]
    sideways = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    return {"axe": found, "low": low, "sideways": max(sideways, 0)}


NO_BREACH = {"axe": [], "low": [], "sideways": 0}


def test_a_yard_is_counted_on_a_hand_held_and_settled_on_it(open_tab, house: House, address: str) -> None:
    shop = Shop(house)
    here, missing, light, stray = (shop.coil() for _ in range(4))
    house.post(MoveGoods(stray, shop.place("rack_a")), "dispatcher")
    page = on_duty(open_tab(f"{address}/signin", HAND_HELD), house, address, "receiving", "receiver")
    scanned(page, shop.place("coil_yard"), "accepted")
    expect(page.locator("[data-part=next]")).to_contain_text("Coil yard: 0 of 3 seen")
    for text, state in ((here, "accepted"), (here, "already"), (stray, "accepted"), (light, "accepted")):
        scanned(page, text, state)
    scanned(page, "1950", "accepted")
    expect(page.locator("#count-progress h2")).to_have_text("Coil yard: 2 of 3 seen")
    expect(page.locator("#count-progress tbody th")).to_have_text([for_people(missing)])
    assert breaches(page) == NO_BREACH
    scanned(page, "DONE", "ask")
    assert "1 missing, 1 in the wrong place, 1 of another weight" in scanned(page, "YES", "asked_done")

    on_duty(page, house, address, "laboratory", "supervisor")
    page.goto(f"{address}/counts")
    page.locator("tbody a", has_text="Coil yard").click()
    assert breaches(page) == NO_BREACH
    page.locator("select[name=reason]").select_option("not_found")
    page.get_by_role("button", name="Write it off").click()
    page.get_by_role("button", name="Move it here").click()
    page.get_by_role("button", name="Take what was found").click()
    expect(page.get_by_text("Nothing waits")).to_be_visible()
    assert breaches(page) == NO_BREACH
    assert house.ask(waiting_differences) == []
    yard = shop.place("coil_yard")
    stands = {
        lot: [(row.spot, row.amount) for row in house.ask(standings, lot)] for lot in (missing, light, stray)
    }
    assert stands == {missing: [], light: [(yard, 1_950_000)], stray: [(yard, 2_000_000)]}
    shop.closes()


def test_the_number_of_a_pallet_to_look_for_is_whole_on_a_hand_held(
    open_tab, house: House, address: str
) -> None:
    shop = Shop(house)
    shop.in_the_hopper()
    lot = shop.at("packing", MakeOutput(count=2)).numbers[0]
    pallet = shop.at("packing", OpenPallet(shop.place("pack_floor"))).numbers[0]
    shop.at("packing", PutOn(pallet, shop.item(lot, 1), shop.item(lot, 2)))
    page = on_duty(open_tab(f"{address}/signin", HAND_HELD), house, address, "receiving", "receiver")
    scanned(page, shop.place("pack_floor"), "accepted")
    expect(page.locator("#count-progress .lot")).to_contain_text(for_people(pallet))
    frame = page.locator("#count-progress .table-frame")
    width, room = frame.evaluate("table => [table.scrollWidth, table.clientWidth]")
    assert width <= room
    assert breaches(page) == NO_BREACH
