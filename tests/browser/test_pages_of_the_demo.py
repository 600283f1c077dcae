"""Do all pages of the demo plant hold up in a real browser: no breach of accessibility, no sideways scroll?

The first test also makes the picture in README, so that it never shows what the program is not.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.measure import CONTROLS, boxes
from browser.wedge import scan, verdict
from lotroot.complaints.facts import complaint as complaint_table
from lotroot.database import Database
from lotroot.demo.practice import people
from lotroot.dispatch.facts import shipment
from lotroot.genealogy.tables import lot
from lotroot.identity import ItemNumber, number_from
from lotroot.plant.facts import thing
from lotroot.posting.door import Door
from lotroot.production.tables import bin_weighing, run
from lotroot.stock.tables import carrier
from playwright.sync_api import Page, expect
from served import served
from sqlalchemy import select

ROOT = Path(__file__).resolve().parents[2]
PANEL, HAND_HELD = (1280, 800), (390, 844)
PAGES = (
    "/",
    "/practice",
    "/station",
    "/receiving",
    "/receiving/list",
    "/moving",
    "/tares",
    "/packing",
    "/shipment",
    "/count",
    "/catchup",
)
OFFICE = (
    *("/morning", "/holds", "/complaints", "/tray", "/queue", "/printers", "/layouts", "/emergency"),
    *("/scanner", "/people", "/firms/osprey", "/plant", "/tables", "/tables/nails", "/tables/plant-limits"),
    *("/counts", "/bins", "/figures", "/reckon", "/reckon/barbed?product=barbed_25_20"),
    *("/reckon/slitting?coil=1250&strips=4x412", "/factors", "/factors/barbed_25_20"),
)
THUMB = 48
"""px; a press with a bare thumb at a desk's page in the hand."""
LOTS_ALIKE = "CFGLRS"
"""Families whose story shows nothing that no other family's does."""
ALIKE = re.compile(
    f"/lots/[{LOTS_ALIKE}]|/compare[?]q=nonsense|/met$|/checks$|/complaints/new[?]number=26|/find.*nothing"
)
"""Pages that another of the list is a fuller one of."""
BADGES = {one.key: one.badge for one in people()}


@pytest.fixture(scope="module")
def house(demo_database: Database) -> Database:
    return demo_database


_DAYS = "from=2026-11-09&to=2026-11-20"
YIELDS = (
    f"/yields?{_DAYS}&by=heat&known=2026-11-18T12:00",
    f"/yields/runs?{_DAYS}&process=nail_making",
    f"/yields/changes?{_DAYS}&known=2026-11-18T12:00",
    f"/yields/scrap?{_DAYS}",
    f"/yields/missing?{_DAYS}",
    "/yields/months",
    "/yields?by=nothing+of+the+kind",
)


@pytest.fixture(scope="module")
def demo(house: Database) -> Iterator[str]:
    with served(house, Door(house)) as address:
        yield address


@pytest.fixture(scope="module")
def stories(house: Database) -> tuple[str, ...]:
    """A story page of every family of numbers, an item's, and what stands beside them."""
    with house.reading() as connection:
        tables = (lot.c.number, run.c.number, carrier.c.number, shipment.c.number)
        numbers = sorted(one for column in tables for one in connection.scalars(select(column)))
        boxes = connection.scalars(select(lot.c.number).where(lot.c["items"] > 0)).first()
    last_of_each = {number[0]: number for number in numbers}
    boxed = ItemNumber(number_from(boxes), 1)
    found = [f"/lots/{number}" for number in (*last_of_each.values(), boxed)]
    corrections = [f"{one}/correct" for one in found if one[6] in "CDU"]
    complaint = connected(house, complaint_table.c.number)
    desk = (f"/complaints/{complaint}", f"/complaints/new?number={boxed}", "/complaints/new?number=26")
    causes = (
        f"/compare?q={last_of_each['N']}%0A{boxed}",
        "/compare?q=nonsense",
        "/met?other=H71204",
        "/met",
        "/gaps",
        *YIELDS,
        "/mass?day=2026-11-18&of=g.step.slitting",
    )
    die_set = connected(house, thing.c.number, thing.c.code == "dies_25_b")
    dies = ("/dies", f"/dies/{die_set}", "/dies?rod=5.5&wire=12+BWG", "/dies?rod=5.5&wire=12")
    throwing = connected(house, run.c.station)
    bins = (
        f"/bins/{connected(house, bin_weighing.c.event)}",
        f"/figures/runs?what=closed&station={throwing}&first=2026-11-09&last=2026-11-20",
    )
    checks = (f"{found[0]}/check", "/checks", f"/checks?number={boxed}")
    return (
        *found,
        *corrections,
        *desk,
        *causes,
        *dies,
        *bins,
        *checks,
        f"/layouts?layout=pallet&number={last_of_each['P']}&for=osprey",
        f"/layouts?layout=pallet_gs1&number={boxed}",
        "/find?q=26",
        "/find?q=nothing+of+the+kind",
        "/health",
    )


def connected(house: Database, wanted: Any, *where: Any) -> str:
    """The first of a column."""
    with house.reading() as connection:
        return str(connection.scalars(select(wanted).where(*where)).first())


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


@pytest.mark.parametrize(
    "kind", [*(pytest.param(kind, marks=pytest.mark.in_ci) for kind in ("floor", "stories")), "office"]
)
def test_axe_finds_no_breach_and_nothing_scrolls_sideways(
    open_tab, demo: str, stories: tuple[str, ...], kind: str, thorough: bool
) -> None:
    """On a panel and on a hand-held; in the quick profile axe sees them on the panel, and of pages that are
    alike one only.
    """
    page = signed_in(open_tab(f"{demo}/signin"), demo, "laboratory", "ada")
    wrong = {}
    for address in {"floor": PAGES, "office": OFFICE, "stories": stories}[kind]:
        if ALIKE.match(address) and not thorough:
            continue
        page.goto(demo + address)
        for width, height in (PANEL, HAND_HELD):
            page.set_viewport_size({"width": width, "height": height})
            looked = thorough or width == PANEL[0]
            found = Axe().run(page).response["violations"] if looked else []
            sideways = page.evaluate("document.documentElement.scrollWidth - innerWidth")
            if found or sideways > 0:
                wrong[address, width] = ([one["id"] for one in found], sideways)
    assert wrong == {}


WIDE = (
    *(f"/yields?{_DAYS}&by={by}" for by in ("process", "product", "station", "heat")),
    f"/yields?{_DAYS}&known=2026-11-12T12:00",
    f"/yields/runs?{_DAYS}",
    f"/yields/changes?{_DAYS}&known=2026-11-12T12:00",
)
"""The pages with the most columns of figures."""


def test_on_a_panel_no_column_of_a_table_of_figures_is_out_of_sight(open_tab, demo: str) -> None:
    page = signed_in(open_tab(f"{demo}/signin"), demo, "laboratory", "ada")
    cut = {}
    for address in WIDE:
        page.goto(demo + address)
        frames = page.locator(".table-frame").evaluate_all(
            "all => all.map((one) => [one.getAttribute('aria-label'), one.scrollWidth - one.clientWidth])"
        )
        assert frames
        cut |= {(address, name): more for name, more in frames if more > 0}
    assert cut == {}


def test_scrap_of_what_most_runs_threw_away_stands_first(open_tab, demo: str) -> None:
    page = signed_in(open_tab(f"{demo}/signin"), demo, "laboratory", "ada")
    page.goto(f"{demo}/yields/scrap?{_DAYS}")
    heads = page.locator("caption").all_inner_texts()
    assert heads == ["Scrap by reason: steel", "Scrap by reason: pvc"]


@pytest.mark.in_ci
def test_on_a_hand_held_every_page_is_pressed_by_a_thumb_and_its_scan_field_is_seen_at_once(
    open_tab, demo: str, stories: tuple[str, ...]
) -> None:
    page = signed_in(open_tab(f"{demo}/signin"), demo, "laboratory", "ada")
    page.set_viewport_size({"width": HAND_HELD[0], "height": HAND_HELD[1]})
    pressed = f"{CONTROLS}, summary, nav a"
    wrong: dict[str, Any] = {}
    alike = tuple(f"/lots/{letter}" for letter in LOTS_ALIKE)
    for address in (*PAGES, *OFFICE, *(one for one in stories if not one.startswith(alike))):
        page.goto(demo + address)
        low = [one["what"] for one in boxes(page, pressed) if one["height"] < THUMB]
        fields = [one["y"] for one in boxes(page, "#scan-field")]
        if low or any(top > HAND_HELD[1] / 2 for top in fields):
            wrong[address] = (low, fields)
    assert wrong == {}


def test_a_complaint_is_followed_by_clicks_to_its_coil(open_tab, demo: str) -> None:
    page = signed_in(open_tab(f"{demo}/signin"), demo, "laboratory", "quentin")
    page.goto(f"{demo}/complaints")
    page.click("main a.lot >> nth=0")
    expect(page.get_by_text("Where it came from")).to_be_visible()
    page.locator("main a.lot", has_text=re.compile("^C26")).first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(r"C26-\d{6}-\d\d"))
    assert re.search(r"C26-\d{6}-\d\d", page.locator("main").inner_text())


def test_qa_scans_a_box_in_search_and_holds_its_coil_from_the_story(open_tab, demo: str, stories) -> None:
    """Typed as a wedge scanner types; the story says at once that it is held."""
    boxed = next(one.removeprefix("/lots/") for one in stories if re.fullmatch(r"/lots/N\d{16}", one))
    page = signed_in(open_tab(f"{demo}/signin"), demo, "laboratory", "quentin")
    page.goto(f"{demo}/find")
    scan(page, boxed)
    page.wait_for_url(f"**/lots/{boxed}")
    page.locator("#origin ~ .table-frame a.lot").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(r"C26-"))
    page.get_by_text("Hold it, and all that was made of it").click()
    page.fill("#field-hold_words", "brittle at the bend test")
    page.get_by_role("button", name="Hold it", exact=True).click()
    expect(page.locator("h1 .tag").first).to_contain_text("on hold")
    expect(page.get_by_text("Recorded.", exact=True)).to_be_visible()
    page.goto(f"{demo}/find")
    scan(page, boxed)
    page.wait_for_url(f"**/lots/{boxed}")
    expect(page.locator("h1 .tag").first).to_contain_text("on hold")
    expect(page.get_by_role("table", name="Holds")).to_contain_text("brittle at the bend test")


def test_a_wrong_correction_leads_to_its_field_and_a_right_one_is_recorded(
    open_tab, demo: str, stories
) -> None:
    coil = next(one for one in stories if re.fullmatch(r"/lots/C\d{10}", one))
    page = signed_in(open_tab(f"{demo}/signin"), demo, "laboratory", "quentin")
    page.goto(f"{demo}{coil}/correct")
    page.locator("#amount summary").click()
    page.fill("#field-amount", "1.2.3")
    page.get_by_role("button", name="Record the correction").first.click()
    expect(page.locator(".errors")).to_be_focused()
    page.locator(".errors a").click()
    expect(page.locator("#field-amount")).to_be_focused()
    expect(page.locator("#field-amount")).to_have_value("1.2.3")
    page.fill("#field-amount", "1999,5")
    page.get_by_role("button", name="Record the correction").first.click()
    expect(page.get_by_text("Put right later")).to_be_visible()
