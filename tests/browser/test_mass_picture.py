"""Is the picture of a day's mass read in a real browser: words clear of shapes, by keys and by pointer?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from browser.wedge import scan, verdict
from lotroot.database import Database
from lotroot.demo.practice import people
from lotroot.posting.door import Door
from playwright.sync_api import Page, expect
from served import served

[MANAGER] = [one.badge for one in people() if one.key == "ada"]
PANEL, HAND_HELD = (1280, 800), (390, 844)
DAYS = [f"day=2026-11-{day:02}" for day in (9, 10, 11, 12, 13, 16, 17, 18, 19, 20)]
DAYS.append("from=2026-11-09&to=2026-11-20")
FACES = ('"DejaVu Sans"', "serif", '"Liberation Sans"')
"""The first is as wide as any that a browser may fall back to."""

OVER = """(face) => {
    const found = [];
    for (const picture of document.querySelectorAll("svg.mass")) {
        const texts = [...picture.querySelectorAll("text")];
        for (const one of texts) one.style.fontFamily = face;
        const room = picture.viewBox.baseVal;
        const boxes = texts.map((one) => [one.textContent, one.getBBox()]);
        const shapes = [...picture.querySelectorAll(".band, .bar")].map((one) => [one, one.getBBox()]);
        boxes.forEach(([words, box], place) => {
            const right = box.x + box.width, low = box.y + box.height - 4;
            const outside = box.x < 0 || box.y < 0 || right > room.width || low > room.height;
            if (outside) found.push([words, "outside"]);
            boxes.slice(place + 1).forEach(([other, next]) => {
                const across = box.x < next.x + next.width && next.x < right;
                const down = box.y + 4 < next.y + next.height - 4 && next.y + 4 < low;
                if (across && down) found.push([words, other]);
            });
            const near = shapes.filter(([, next]) => box.x - 3 < next.x + next.width && next.x < right + 3
                && box.y - 3 < next.y + next.height && next.y < low + 3).map(([shape]) => shape);
            for (let x = box.x; x <= right; x += 3) for (const y of [box.y + 4, (box.y + low) / 2, low]) {
                const at = new DOMPoint(x, y);
                const hit = near.find((shape) => shape.isPointInFill(at) || shape.isPointInStroke(at));
                if (hit) { found.push([words, hit.parentNode.textContent]); return; }
            }
        });
    }
    return found;
}"""
"""Words that stand over a bar, a band or other words, or reach beyond the picture, with letters in a face.

A line's box has room above and below its letters, 4 px of which belong to nobody.
"""


@pytest.fixture(scope="module")
def demo(demo_database: Database) -> Iterator[str]:
    with served(demo_database, Door(demo_database)) as address:
        yield address


def at_the_desk(page: Page, address: str) -> Page:
    page.goto(f"{address}/signin")
    page.click("button[value=laboratory]")
    page.goto(f"{address}/station")
    scan(page, MANAGER)
    verdict(page, "accepted")
    return page


@pytest.mark.in_ci
def test_words_stand_over_nothing_whatever_the_face(open_tab, demo: str) -> None:
    page = at_the_desk(open_tab(f"{demo}/signin", bypass_csp=True), demo)
    for day in DAYS:
        page.goto(f"{demo}/mass?{day}")
        assert {face: page.evaluate(OVER, face) for face in FACES} == {face: [] for face in FACES}, day


def test_words_that_do_stand_over_a_bar_are_seen(open_tab, demo: str) -> None:
    page = at_the_desk(open_tab(f"{demo}/signin", bypass_csp=True), demo)
    page.goto(f"{demo}/mass?day=2026-11-12")
    assert page.evaluate(OVER, FACES[0]) == []
    page.evaluate("document.querySelector('.mass .step text').setAttribute('dy', 40)")
    assert page.evaluate(OVER, FACES[0]) != []


def test_keys_and_pointer_tell_a_bar_and_a_press_lists_its_runs(open_tab, demo: str) -> None:
    page = at_the_desk(open_tab(f"{demo}/signin"), demo)
    page.goto(f"{demo}/mass?day=2026-11-12")
    said = page.locator("[data-part=mass-said]")
    page.locator(".picture").focus()
    page.keyboard.press("Tab")
    expect(said).to_contain_text("Rod coil, from stock: 7")
    ring = page.evaluate("getComputedStyle(document.activeElement.querySelector('.reach')).strokeWidth")
    assert ring == "3px"
    page.locator(".mass a.step").first.hover()
    expect(said).to_contain_text("Wire drawing: 7")
    page.locator(".mass a.scrap").first.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("table", name="Runs behind: Scrap")).to_be_visible()


@pytest.mark.in_ci
@pytest.mark.parametrize("size", [PANEL, HAND_HELD])
def test_the_picture_scrolls_in_its_frame_and_not_the_page(
    open_tab, demo: str, size: tuple[int, int]
) -> None:
    page = at_the_desk(open_tab(f"{demo}/signin", size), demo)
    page.goto(f"{demo}/mass?day=2026-11-12")
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") == 0
    assert page.evaluate(
        "[...document.querySelectorAll('.picture')].some((one) => one.scrollWidth > one.clientWidth)"
    )


@pytest.mark.in_ci
def test_the_page_itself_prints_the_whole_width_of_its_picture(open_tab, demo: str, tmp_path: Path) -> None:
    page = at_the_desk(open_tab(f"{demo}/signin"), demo)
    page.goto(f"{demo}/mass?day=2026-11-12")
    page.emulate_media(media="print")
    frame, drawn = (page.locator(one).first.bounding_box() for one in (".picture", "svg.mass"))
    assert drawn["width"] <= frame["width"] + 1
    expect(page.locator("form.mass-days")).to_be_hidden()
