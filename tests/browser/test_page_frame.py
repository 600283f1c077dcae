"""Does the frame tell everybody where they are, who is on duty and what went wrong in a form?"""

import re

import pytest
from browser.scripted import CSP, Floor
from playwright.sync_api import Page, expect


@pytest.fixture
def form(open_tab, floor: Floor) -> Page:
    page = open_tab(f"{floor.address}/form")
    page.locator("#field-heat").fill("4471-B")
    page.get_by_role("button", name="Record").click()
    return page


def test_the_head_names_station_person_and_demo(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/station")
    head = page.get_by_role("banner")
    expect(head).to_contain_text("Nail machine 3")
    expect(head).to_contain_text("Ilse Brandt")
    expect(page.locator(".demo")).to_contain_text("invented data")
    expect(page.get_by_role("contentinfo")).to_contain_text("no safety system")
    page.goto(f"{floor.address}/station?nobody=1")
    expect(page.locator("#on-duty")).to_contain_text("scan your badge")


def test_the_first_stop_of_the_tab_key_skips_to_the_main_part(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/office")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="To the main part")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()


def test_a_form_with_errors_says_so_first(form: Page) -> None:
    expect(form).to_have_title(re.compile("^Error: Receive a coil"))
    summary = form.locator(".errors")
    expect(summary).to_be_focused()
    expect(summary).to_have_attribute("role", "alert")
    assert summary.locator("li").count() == 2
    expect(form.locator("#field-heat")).to_have_value("4471-B")  # what was typed stays


def test_each_error_leads_to_its_field_in_the_same_words(form: Page) -> None:
    for name in ("mass", "certificate"):
        link = form.locator(f'.errors a[href="#field-{name}"]')
        link.click()
        expect(form.locator(f"#field-{name}")).to_be_focused()
        expect(form.locator(f"#error-{name}")).to_have_text(link.inner_text())
    assert "error-mass" in (form.locator("#field-mass").get_attribute("aria-describedby") or "")


def test_numbers_are_typed_as_text_and_carry_their_unit(form: Page) -> None:
    field = form.locator("#field-mass")
    assert field.get_attribute("type") == "text"
    assert field.get_attribute("inputmode") == "decimal"
    expect(form.locator("#field-mass + .unit")).to_have_text("kg")


@pytest.mark.parametrize("width", [1280, 390])
def test_a_table_has_caption_heads_and_right_aligned_numbers(open_tab, floor: Floor, width: int) -> None:
    """The roles hold where a hand-held's style sheet turns rows into cards."""
    page = open_tab(f"{floor.address}/station", (width, 800))
    table = page.get_by_role("table", name="Nail lots of this run")
    assert table.get_by_role("columnheader").all_text_contents()[1] == "Weighed kg"
    assert table.get_by_role("rowheader").count() == 3
    aligned = table.locator("td.number").first.evaluate("(cell) => getComputedStyle(cell).textAlign")
    assert aligned == ("right" if width == 1280 else "left")


@pytest.mark.parametrize("path", ["/station", "/office", "/form"])
def test_pages_hold_no_script_or_style_of_their_own(open_tab, floor: Floor, path: str) -> None:
    """The policy has no unsafe-inline; a breach would be a console error, which `open_tab` refuses."""
    assert "unsafe" not in CSP
    html = open_tab("about:blank").request.get(floor.address + path).text()
    assert "<style" not in html
    assert re.findall(r"\s(?:style|on[a-z]+)=", html) == []
    assert all("src=" in tag or "application/json" in tag for tag in re.findall(r"<script[^>]*>", html))


def test_a_printed_page_leaves_out_what_only_a_screen_needs(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/station")
    page.emulate_media(media="print")
    for gone in (".scan", ".big", ".skip"):
        expect(page.locator(gone).first).to_be_hidden()
    for kept in (".demo", ".head", "table", ".caution"):
        expect(page.locator(kept).first).to_be_visible()
