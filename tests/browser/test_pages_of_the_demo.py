"""Do all pages of the demo plant hold up in a real browser: no breach of accessibility, no sideways scroll?

The first test also makes the picture in README, so that it never shows what the program is not.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.wedge import scan, verdict
from lotroot import house as program
from lotroot.database import Database
from lotroot.demo.build import build
from lotroot.demo.practice import people
from lotroot.posting.door import Door
from playwright.sync_api import Page, expect
from served import served

ROOT = Path(__file__).resolve().parents[2]
PANEL, HAND_HELD = (1280, 800), (390, 844)
SIZES = pytest.mark.parametrize("size", [PANEL, HAND_HELD], ids=["panel", "hand-held"])
PAGES = ("/", "/practice", "/station", "/receiving", "/receiving/list", "/moving", "/packing", "/shipment")
OFFICE = ("/morning", "/holds", "/complaints", "/tray", "/people", "/plant")
BADGES = {one.key: one.badge for one in people()}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    database = Database(f"sqlite:///{tmp_path_factory.mktemp('served') / 'demo.db'}")
    program.create(database)
    build(database, labels=False)
    with served(database, Door(database)) as address:
        yield address
    database.close()


def signed_in(page: Page, address: str, station: str, person: str) -> Page:
    """At a station of the demo, as one of its people."""
    page.goto(f"{address}/signin")
    page.click(f"button[value={station}]")
    page.goto(f"{address}/station")
    scan(page, BADGES[person])
    verdict(page, "accepted")
    return page


def test_an_operator_makes_a_stripper_by_typing_its_weight(open_tab, demo: str) -> None:
    page = signed_in(open_tab(f"{demo}/signin"), demo, "draw_1", "desmond")
    scan(page, "486.5")
    verdict(page, "accepted")
    expect(page.get_by_text("Drawn wire 2.50 mm").first).to_be_visible()
    picture = ROOT / "demo_seed" / "screenshot.png"
    if not picture.exists():
        page.screenshot(path=picture)
    scan(page, "UNDO")
    verdict(page, "accepted")
    expect(page.get_by_text("Taken back")).to_be_visible()


@SIZES
def test_axe_finds_no_breach_and_nothing_scrolls_sideways(open_tab, demo: str, size: tuple[int, int]) -> None:
    page = signed_in(open_tab(f"{demo}/signin", size), demo, "laboratory", "ada")
    wrong = {}
    for address in PAGES + OFFICE:
        page.goto(demo + address)
        found = Axe().run(page).response["violations"]
        sideways = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        if found or sideways > 0:
            wrong[address] = ([one["id"] for one in found], sideways)
    assert wrong == {}


def test_a_complaint_is_followed_by_clicks_to_its_coil(open_tab, demo: str) -> None:
    page = signed_in(open_tab(f"{demo}/signin"), demo, "laboratory", "quentin")
    page.goto(f"{demo}/complaints")
    page.click("main a.lot >> nth=0")
    expect(page.get_by_text("Where it came from")).to_be_visible()
    assert re.search(r"C26-\d{6}-\d\d", page.locator("main").inner_text())
