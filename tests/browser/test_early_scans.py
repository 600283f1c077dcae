"""Is a scan kept that comes before the page's scripts have been fetched?"""

from browser.scripted import Floor
from browser.wedge import in_field
from playwright.sync_api import Page, Route

LOT = "R2600012383"


def test_a_scan_before_the_scripts_are_there_is_sent_once_they_are(open_tab, floor: Floor) -> None:
    station: Page = open_tab(f"{floor.address}/station")
    waiting: list[Route] = []

    def held_back(route: Route) -> None:
        waiting.append(route)

    station.route("**/scan.js", held_back)
    station.goto(f"{floor.address}/station", wait_until="commit")
    station.wait_for_selector("#scan-field")
    station.evaluate("document.getElementById('scan-field').focus()")
    for text in (LOT, "DONE"):
        station.keyboard.type(text)
        station.keyboard.press("Enter")
    assert floor.script.texts == []
    while not waiting:
        station.wait_for_timeout(20)
    waiting[0].continue_()
    for _ in range(100):
        if len(floor.script.texts) == 2:
            break
        station.wait_for_timeout(50)
    assert floor.script.texts == [LOT, "DONE"]
    assert in_field(station)
    assert station.url.endswith("/station")
