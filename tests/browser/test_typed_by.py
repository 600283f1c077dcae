"""Does the page tell a scale that types from fingers, also where the server is away?"""

import pytest
from browser.scripted import Floor
from browser.wedge import by_fingers, drained, scan, verdict
from playwright.sync_api import Page


@pytest.fixture
def station(open_tab, floor: Floor) -> Page:
    return open_tab(f"{floor.address}/station")


def told(floor: Floor) -> list[tuple[str, str]]:
    return [(post["text"], post["typed_by"]) for post in floor.script.posts]


# A burst comes in at the test driver's pace, which drops on a busy machine: one of five has to reach it.


def test_a_burst_is_a_scale_and_a_slow_number_a_hand(station: Page, floor: Floor) -> None:
    for _ in range(5):
        scan(station, "481.5")
    by_fingers(station, "480")
    by_fingers(station, "7")
    drained(station)
    assert ("481.5", "scale") in told(floor)
    assert told(floor)[5:] == [("480", "hand"), ("7", "hand")]


def test_every_end_of_a_burst_is_that_of_a_scale(station: Page, floor: Floor) -> None:
    for suffix in (("Tab",), ("Control+j",)):
        floor.script.posts.clear()
        for _ in range(5):
            scan(station, "481.5", suffix)
        drained(station)
        assert ("481.5", "scale") in told(floor), suffix


def test_a_number_pasted_or_ended_by_a_click_is_no_scale(station: Page, floor: Floor) -> None:
    station.locator("#scan-field").fill("480")
    station.get_by_role("button", name="Enter").click()
    drained(station)
    station.keyboard.type("481")
    station.get_by_role("button", name="Enter").click()
    drained(station)
    assert told(floor) == [("480", "hand"), ("481", "hand")]


def test_a_button_says_nothing_of_who_typed(station: Page, floor: Floor) -> None:
    station.get_by_role("button", name="Scan the demo coil").click()
    verdict(station, "ask")
    assert [by for _, by in told(floor)] == [""]


def test_a_burst_at_a_page_whose_focus_is_on_a_button_is_a_scale_too(station: Page, floor: Floor) -> None:
    for _ in range(5):
        station.locator("[data-part=sound]").focus()
        scan(station, "481.5")
    drained(station)
    assert ("481.5", "scale") in told(floor)
    assert {text for text, _ in told(floor)} == {"481.5"}


def test_a_scan_that_could_not_be_sent_still_says_who_typed_it(station: Page, floor: Floor) -> None:
    floor.stop()
    by_fingers(station, "480")
    verdict(station, "unsent")
    station.goto("about:blank")
    floor.start()
    station.goto(f"{floor.address}/station")
    drained(station)
    assert told(floor) == [("480", "hand")]
