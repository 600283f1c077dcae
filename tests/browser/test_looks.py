"""Can pages be read and pressed in gloves, glare and noise, by everybody?

Numbers: target sizes after Colle and Hiszem 2004 and WCAG 2.2 (2.5.8); letter sizes after NUREG-0700
1.3.1 (22 minutes of arc); contrast after NUREG-0700 and WCAG 2.2 (1.4.3, 1.4.11);
colours after ISO 3864-1 clause 4.2.
"""

import colorsys
import io
import itertools
import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import HAND_HELD, PANEL
from browser.measure import (
    boxes,
    colours_outside,
    edge_contrasts,
    font_sizes,
    ring_contrast,
    sideways,
    text_contrasts,
)
from browser.scripted import ASKED, Floor
from browser.wedge import scan, verdict
from PIL import Image, ImageChops, ImageStat
from playwright.sync_api import Page

SHEET = Path(__file__).resolve().parents[2] / "trace/lotroot/web/static/lotroot.css"
VERDICTS = {
    "accepted": "R2600012383",
    "already": "R2600012480",
    "refused": "P2600021017",
    "held": "N2600031009",
    "ask": ASKED,
}
PLAIN_MARK = """() => {
    const plain = new CSSStyleSheet();
    plain.replaceSync(".verdict-mark { background: #fff !important; color: #000 !important; }");
    document.adoptedStyleSheets = [plain];
}"""
FOUR = ["accepted", "already", "refused", "held"]
SIZES = pytest.mark.parametrize("size", [PANEL, HAND_HELD], ids=["panel", "hand-held"])

# Viénot, Brettel and Mollon 1999, red-green blindness as a mix of linear r, g, b; written from memory.
RED_GREEN_BLIND = {
    "protan": (0.11238, 0.88762, 0.0, 0.11238, 0.88762, 0.0, 0.00401, -0.00401, 1.0),
    "deutan": (0.29275, 0.70725, 0.0, 0.29275, 0.70725, 0.0, -0.02234, 0.02234, 1.0),
}


def each_verdict(page: Page):
    """Bring the page into each state in turn, the question last."""
    for state, text in VERDICTS.items():
        scan(page, text)
        verdict(page, state)
        yield state


def too_low(pairs: list[tuple[float, str]], least: float) -> list[tuple[float, str]]:
    assert pairs
    return [(round(value, 2), what) for value, what in pairs if value < least]


@pytest.mark.in_ci
@pytest.mark.parametrize(("kind", "least"), [("station", 7), ("yard", 15)])
def test_words_and_edges_stand_out_in_every_state(open_tab, floor: Floor, kind: str, least: float) -> None:
    page = open_tab(f"{floor.address}/station?kind={kind}")
    assert too_low(text_contrasts(page), least) == []
    for state in each_verdict(page):
        assert too_low(text_contrasts(page), least) == [], state
        assert too_low(edge_contrasts(page), 3) == [], state
        assert ring_contrast(page) >= 3, state


@pytest.mark.parametrize("path", ["/office", "/form"])
def test_words_and_edges_stand_out_on_other_pages(open_tab, floor: Floor, path: str) -> None:
    page = open_tab(floor.address + path)
    if path == "/form":
        page.get_by_role("button", name="Record").click()
    assert too_low(text_contrasts(page), 7) == []
    assert too_low(edge_contrasts(page), 3) == []


def test_the_focus_ring_is_seen_on_every_stop_of_the_tab_key(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/station")
    scan(page, VERDICTS["refused"])
    verdict(page, "refused")
    for _ in range(9):
        page.wait_for_timeout(30)
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement === document.body"):
            break
        assert ring_contrast(page) >= 3, page.evaluate("document.activeElement.outerHTML.slice(0, 80)")


@SIZES
def test_targets_on_stations_are_20_mm_on_panels_and_15_mm_full_width_on_hand_helds(
    open_tab, floor: Floor, size: tuple[int, int]
) -> None:
    """3.8 px a mm on a panel (96 an inch), 6.3 on a hand-held (160 an inch); gaps 3 mm."""
    page = open_tab(f"{floor.address}/station", size)
    scan(page, ASKED)
    verdict(page, "ask")
    tall, gap = (76, 11) if size == PANEL else (94, 18)
    big = boxes(page, ".big, .scan-field")
    assert [box for box in big if box["height"] < tall or box["width"] < 76] == []
    choices = boxes(page, ".choice")
    if size == HAND_HELD:
        assert [box for box in choices if box["width"] < 390 - 2 * 16] == []
    for one, other in itertools.combinations(boxes(page, ".choice, .scan-field"), 2):
        across = max(one["x"], other["x"]) - min(one["x"] + one["width"], other["x"] + other["width"])
        down = max(one["y"], other["y"]) - min(one["y"] + one["height"], other["y"] + other["height"])
        assert max(across, down) >= gap, (one["what"], other["what"])


@SIZES
@pytest.mark.parametrize("path", ["/station", "/station?kind=yard", "/office", "/form"])
def test_no_target_is_smaller_than_24_px(open_tab, floor: Floor, path: str, size: tuple[int, int]) -> None:
    """WCAG 2.5.8; links inside a sentence are excepted."""
    page = open_tab(floor.address + path, size)
    targets = "button, input:not([type=hidden]), select, textarea, a:not(p a, th a, td a, dd a)"
    assert [box for box in boxes(page, targets) if min(box["width"], box["height"]) < 24] == []


@pytest.mark.in_ci
@SIZES
def test_letters_are_large_enough_for_the_distance(open_tab, floor: Floor, size: tuple[int, int]) -> None:
    """A verdict's capitals for 3 m (100 px), a lot number for 1 m (34 px), other words for 0.7 m (24 px)."""
    page = open_tab(f"{floor.address}/station", size)
    for state in each_verdict(page):
        if state in FOUR:
            assert too_low(font_sizes(page, ".verdict-word"), 100) == [], state
        assert too_low(font_sizes(page, ".lot"), 34) == [], state
        assert too_low(font_sizes(page, "main *"), 24) == [], state
        assert sideways(page) == 0
        [word] = boxes(page, ".verdict-word")
        inside = page.evaluate("document.querySelector('.verdict-word').scrollWidth")
        assert inside <= word["width"] + 1, state


@pytest.mark.parametrize("kind", ["station", "yard"])
def test_no_letter_of_a_boxs_number_is_cut_off_on_a_hand_held(open_tab, floor: Floor, kind: str) -> None:
    page = open_tab(f"{floor.address}/station?kind={kind}", HAND_HELD)
    scan(page, "N2600008311000653")
    verdict(page, "accepted")
    number = page.locator(".verdict-say .whole")
    assert number.evaluate("one => one.scrollWidth - one.clientWidth") <= 0
    right_of = "one => one.getBoundingClientRect().right"
    assert number.evaluate(right_of) <= page.locator(".verdict-say").evaluate(right_of)


def pictures(page: Page, selector: str) -> dict[str, Image.Image]:
    """A picture of one part of the page for each of the four verdicts."""
    return {
        state: Image.open(io.BytesIO(page.locator(selector).screenshot())).convert("RGB")
        for state in each_verdict(page)
        if state in FOUR
    }


@pytest.mark.in_ci
@SIZES
@pytest.mark.parametrize("kind", ["station", "yard"])
def test_four_verdicts_are_told_apart_in_grey_by_word_and_light(
    open_tab, floor: Floor, size: tuple[int, int], kind: str
) -> None:
    page = open_tab(f"{floor.address}/station?kind={kind}", size)
    grey, words = {}, {}
    for state in each_verdict(page):
        if state not in FOUR:
            continue
        picture = Image.open(io.BytesIO(page.locator("[data-part=verdict]").screenshot()))
        grey[state] = ImageStat.Stat(picture.convert("L")).mean[0]
        words[state] = page.locator(".verdict-word").inner_text()
    assert len(set(words.values())) == 4
    for one, other in itertools.combinations(FOUR, 2):
        assert abs(grey[one] - grey[other]) > 12, (one, other, grey)


@pytest.mark.in_ci
@pytest.mark.parametrize("matrix", RED_GREEN_BLIND.values(), ids=RED_GREEN_BLIND.keys())
def test_four_verdicts_are_told_apart_by_the_red_green_blind(
    open_tab, floor: Floor, matrix: tuple[float, ...]
) -> None:
    page = open_tab(f"{floor.address}/station")
    rows = [matrix[place : place + 3] for place in (0, 3, 6)]
    flat = tuple(number for row in rows for number in (*row, 0.0))
    seen = {
        state: picture.resize((200, 60)).convert("RGB", flat)
        for state, picture in pictures(page, "[data-part=verdict]").items()
    }
    for one, other in itertools.combinations(FOUR, 2):
        difference = ImageStat.Stat(ImageChops.difference(seen[one], seen[other])).mean
        assert max(difference) > 15, (one, other)


def test_the_four_shapes_differ_in_outline_alone(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/station")
    page.evaluate(PLAIN_MARK)
    outlines = {
        state: picture.convert("L").resize((48, 48)).point(lambda level: 255 * (level > 127))
        for state, picture in pictures(page, "[data-part=shape] svg").items()
    }
    for one, other in itertools.combinations(FOUR, 2):
        differing = ImageStat.Stat(ImageChops.difference(outlines[one], outlines[other])).mean[0] / 255
        assert differing > 0.15, (one, other)


def is_red_or_orange(red: float, green: float, blue: float) -> bool:
    hue, lightness, saturation = colorsys.rgb_to_hls(red / 255, green / 255, blue / 255)
    return saturation > 0.25 and 0.08 < lightness < 0.95 and (hue * 360 < 45 or hue * 360 > 330)


def test_the_style_sheet_names_red_or_orange_for_cautions_only() -> None:
    """ISO 3864-1 clause 4.2 keeps these colours for safety."""
    found = [
        line.strip()
        for line in SHEET.read_text(encoding="utf-8").splitlines()
        for digits in re.findall(r"#([0-9a-f]{6})\b", line)
        if is_red_or_orange(*bytes.fromhex(digits))
    ]
    assert [line.split(":")[0] for line in found] == ["--caution"]
    assert not re.search(r"\b(red|orange|crimson|tomato|coral)\b\s*[;}]", SHEET.read_text(encoding="utf-8"))


@pytest.mark.in_ci
def test_pages_draw_red_or_orange_in_cautions_only(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/station")
    for state in each_verdict(page):
        assert [
            what for colour, what in colours_outside(page, ".caution") if is_red_or_orange(*colour)
        ] == [], state
    for path in ("/office", "/form"):
        page.goto(floor.address + path)
        assert [what for colour, what in colours_outside(page, ".caution") if is_red_or_orange(*colour)] == []
    [edge] = {
        tuple(colour)
        for colour, what in colours_outside(page, ".none")
        if "borderLeft" in what and "caution" in what
    }
    assert is_red_or_orange(*edge)


@pytest.mark.in_ci
@pytest.mark.parametrize(
    ("size", "scale"), [((320, 640), 1), ((640, 400), 2)], ids=["320 px", "1280 px at 200 %"]
)
@pytest.mark.parametrize("path", ["/station", "/office", "/form"])
def test_nothing_scrolls_sideways(
    open_tab, floor: Floor, path: str, size: tuple[int, int], scale: int
) -> None:
    """WCAG 1.4.10 and 1.4.4: at 200 % a 1280 px window is 640 CSS px wide."""
    page = open_tab(floor.address + path, size, device_scale_factor=scale)
    assert sideways(page) == 0
    if path == "/station":
        for state in each_verdict(page):
            assert sideways(page) == 0, state


def breaches(page: Page) -> str:
    return Axe().run(page).generate_snapshot()


@SIZES
def test_axe_finds_no_breach_on_a_station_in_any_state(
    open_tab, floor: Floor, size: tuple[int, int], thorough: bool
) -> None:
    """In the quick profile a hand-held is looked at before a scan and after a failed one only."""
    page = open_tab(f"{floor.address}/station", size)
    assert breaches(page) == ""
    for state in each_verdict(page) if thorough or size == PANEL else ():
        assert breaches(page) == "", state
    scan(page, "0")
    floor.script.status = 422
    scan(page, "B1")
    verdict(page, "unsent")
    assert breaches(page) == ""


@SIZES
def test_axe_finds_no_breach_on_other_pages(open_tab, floor: Floor, size: tuple[int, int]) -> None:
    page = open_tab(f"{floor.address}/office", size)
    assert breaches(page) == ""
    page.goto(f"{floor.address}/form")
    assert breaches(page) == ""
    page.get_by_role("button", name="Record").click()
    assert breaches(page) == ""


def test_nothing_moves_for_those_who_ask_for_stillness(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/station", reduced_motion="reduce")
    moving = """() => Array.from(document.querySelectorAll("*")).filter((node) => {
        const style = getComputedStyle(node);
        return style.animationName !== "none" || parseFloat(style.transitionDuration) > 0;
    }).length"""
    assert page.evaluate(moving) == 0
