"""Is an odd scan asked about once, and can the answer be scanned, typed or pressed?"""

import pytest
from browser.scripted import ASKED, Floor
from browser.wedge import in_field, scan, shown, verdict
from playwright.sync_api import Page, expect


@pytest.fixture
def asked(open_tab, floor: Floor) -> Page:
    page = open_tab(f"{floor.address}/station")
    scan(page, ASKED)
    verdict(page, "ask")
    return page


def test_a_question_shows_its_text_and_numbered_choices(asked: Page) -> None:
    assert "What is right?" in shown(asked)
    labels = [" ".join(text.split()) for text in asked.locator(".choice").all_inner_texts()]
    assert labels == [
        "1 1,940 kg is right",
        "2 Weigh again",
        "3 It holds two strippers",
        "0 Leave it: record nothing",
    ]
    assert in_field(asked)


@pytest.mark.parametrize("answer", ["0", "VX3038", "leave it", "answer 2"])
def test_while_a_question_is_open_the_next_step_is_to_answer_it(open_tab, floor: Floor, answer: str) -> None:
    page = open_tab(f"{floor.address}/station")
    step = page.locator("[data-part=next]")
    scan(page, ASKED)
    verdict(page, "ask")
    expect(step).to_have_text("Answer the question below")
    page.reload()
    expect(step).to_have_text("Answer the question below")
    scan(page, "R2600012383")
    verdict(page, "refused")
    expect(step).to_have_text("Answer the question below")
    scan(page, answer)
    expect(step).to_have_text("Scan the stripper")
    scan(page, "R2600012383")
    expect(step).to_have_text("Make nails, then scan DONE")


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("1", "AS-READ"),
        ("2", "AGAIN"),
        ("3", "YES"),
        ("YES", "YES"),
        ("yes", "YES"),
        ("as read", "AS-READ"),
        ("VX2262", "AGAIN"),
    ],
)
def test_a_choice_is_typed_or_scanned(asked: Page, floor: Floor, typed: str, code: str) -> None:
    scan(asked, typed)
    verdict(asked, "asked_done")
    first, second = floor.script.posts
    assert second["answers"] == {"odd-mass": code}
    assert second["key"] != first["key"]
    assert second["after"] == first["key"]
    assert [second[part] for part in ("text", "at", "context", "person")] == [
        first[part] for part in ("text", "at", "context", "person")
    ]
    expect(asked.locator("[data-part=choices]")).to_be_hidden()


def test_a_choice_is_pressed(asked: Page, floor: Floor) -> None:
    asked.get_by_role("button", name="Weigh again").click()
    verdict(asked, "asked_done")
    assert floor.script.posts[1]["answers"] == {"odd-mass": "AGAIN"}
    assert in_field(asked)


@pytest.mark.parametrize("typed", ["R2600012383", "4", "MAYBE"])
def test_anything_else_is_no_answer_and_the_question_stays(asked: Page, floor: Floor, typed: str) -> None:
    scan(asked, typed)
    verdict(asked, "refused")
    assert "no answer" in shown(asked)
    assert "What is right?" in shown(asked)
    scan(asked, "1")
    verdict(asked, "asked_done")
    assert floor.script.texts == [ASKED, ASKED]


def test_zero_leaves_the_scan_unrecorded(asked: Page, floor: Floor) -> None:
    scan(asked, "0")
    verdict(asked, "none")
    assert "Nothing was recorded." in shown(asked)
    scan(asked, "R2600012383")
    verdict(asked, "accepted")
    assert floor.script.texts == [ASKED, "R2600012383"]


def test_a_question_survives_a_reload_and_scans_behind_it_wait(asked: Page, floor: Floor) -> None:
    asked.reload()
    verdict(asked, "ask")
    scan(asked, "2")
    verdict(asked, "asked_done")
    assert [post["answers"] for post in floor.script.posts] == [{}, {"odd-mass": "AGAIN"}]


def test_a_scan_made_before_the_question_came_goes_out_after_its_answer(open_tab, floor: Floor) -> None:
    page = open_tab(f"{floor.address}/station")
    floor.script.delay = 0.4
    scan(page, ASKED)
    scan(page, "R2600012383")
    verdict(page, "ask")
    page.wait_for_timeout(300)
    assert floor.script.texts == [ASKED]
    scan(page, "1")
    verdict(page, "accepted")
    assert floor.script.texts == [ASKED, ASKED, "R2600012383"]
