"""Is the main job done in a real browser by somebody who only types what labels say, as a scanner does?

Nothing passes from one step to the next but the text a decoder reads from the label printed before.
Every scan is typed as a wedge scanner types it: all characters and Enter without a pause.
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from browser.wedge import by_fingers, scan, verdict
from eyes import Eyes
from houses import House, a_house
from lotroot.accounts.badges import badge_of
from lotroot.accounts.handling import SetPin
from lotroot.identity.showing import shown
from lotroot.receiving.receipts import source_of
from playwright.sync_api import Page, expect
from served import served
from terminals import Terminal
from wire import Wire

PIN = "4711"
SAID = """() => {
    const said = document.querySelector("[data-part=scan]")?.dataset.verdict;
    return ["accepted", "ask", "asked_done", "refused", "held", "already"].includes(said) && said;
}"""


class Tablet:
    """One tablet that is carried from station to station, and eyes for the labels."""

    def __init__(self, house: House, address: str, page: Page) -> None:
        self.house, self.address, self.page = house, address, page
        clerk = Terminal(house)
        clerk.client = Wire(address)
        clerk.at("laboratory").badge("administrator")
        self.eyes = Eyes(clerk)

    def at(self, station: str, who: str, page: str = "station") -> None:
        self.page.goto(f"{self.address}/signin")
        self.page.click(f"button[value={station}]")
        self.page.goto(f"{self.address}/{page}")
        scan(self.page, str(self.house.ask(badge_of, self.house.people[who])))
        verdict(self.page, "accepted")

    def scan(self, text: str) -> None:
        """Scan a text; where something is asked, the first choice is right."""
        said = self.answer(text)
        while said == "ask":
            said = self.answer("1")
        assert said in ("accepted", "asked_done"), (text, self.page.inner_text("main"))

    def count(self, pieces: int) -> None:
        """Type a number by hand: where boxes are counted and weighed, a scale's is a weight."""
        assert self.answer(str(pieces), by_fingers) == "accepted", self.page.inner_text("main")

    def answer(self, text: str, way: Callable[[Page, str], object] | None = None) -> str:
        """The verdict on a text that a scanner typed, or was typed another way."""
        part = self.page.locator("[data-part=scan]")
        part.evaluate("part => { part.dataset.verdict = 'none'; }")  # so that the next one is seen to come
        (way or scan)(self.page, text)
        said = self.page.wait_for_function(SAID)  # read at once: after NEXT the page goes elsewhere
        return str(said.json_value())

    def send(self, button: str) -> None:
        """Press the button of a form by keyboard alone."""
        self.page.get_by_role("button", name=button).focus()
        self.page.keyboard.press("Enter")
        self.page.wait_for_load_state()


@pytest.fixture
def tablet(open_tab, tmp_path: Path) -> Iterator[Tablet]:
    house = a_house(tmp_path)
    with served(house.database, house.door) as address:
        yield Tablet(house, address, open_tab(f"{address}/signin"))


def received(tablet: Tablet, product: str, *scans: str, letter: str = "C") -> str:
    tablet.at("receiving", "receiver", "receiving")
    for text in (product, "bellmead", *scans):
        tablet.scan(text)
    return tablet.eyes.label(letter)


def worked(tablet: Tablet, station: str, *scans: str, who: str = "operator") -> None:
    tablet.at(station, who)
    for text in scans:
        tablet.scan(text)


def left_with(tablet: Tablet, label: str) -> None:
    """A shipment to Tamarind leaves with what carries a label."""
    tablet.at("dispatch", "dispatcher", "shipment")
    form = tablet.page.locator("form[action='/shipment'][method=post]")
    form.locator("select[name=customer]").select_option("tamarind")
    tablet.send("Open it and print its sheet")
    expect(tablet.page.locator("[data-part=done]")).to_contain_text("Scan the first pallet")
    sheet = tablet.eyes.label("D")
    for text in (sheet, label, sheet):
        tablet.scan(text)
    expect(tablet.page.locator("[data-part=done]")).to_have_count(0)  # “is open” is no word of now


def complained(tablet: Tablet, label: str) -> str:
    """What the page of a complaint says of a label."""
    tablet.at("laboratory", "qa")
    tablet.page.goto(f"{tablet.address}/complaints")
    scan(tablet.page, label)
    tablet.page.get_by_label("What the customer says").fill("it broke")
    tablet.send("Take it down")
    expect(tablet.page.get_by_role("heading", name="What was said and found")).to_be_visible()
    expect(tablet.page.get_by_text("Where it came from")).to_be_visible()
    return tablet.page.inner_text("main")


def on_a_pallet(tablet: Tablet, *labels: str) -> str:
    tablet.at("packing", "operator", "packing")
    tablet.scan("NEXT")
    pallet = tablet.eyes.label("P")
    for text in (pallet, *labels, "DONE"):
        tablet.scan(text)
    assert tablet.eyes.label("P") == pallet
    return pallet


def test_a_coil_is_received_from_badge_to_label_without_a_pointer(tablet: Tablet) -> None:
    tablet.page.goto(f"{tablet.address}/signin")
    tablet.page.click("button[value=receiving]")  # once for a tablet, not for a coil
    tablet.page.goto(f"{tablet.address}/receiving")
    tablet.page.evaluate("window.pressed = 0; addEventListener('pointerdown', () => { pressed += 1; }, true)")
    scan(tablet.page, str(tablet.house.ask(badge_of, tablet.house.people["receiver"])))
    verdict(tablet.page, "accepted")
    for text in ("HH71204", "SBR-4411", "KPO-1180", "2Q2014KG"):
        tablet.scan(text)
    answers = [
        tablet.answer("2009.5"),
        chosen(tablet, "Wire rod 5.5 mm"),
        chosen(tablet, "Bellmead Rod and Wire"),
    ]
    assert answers == ["ask", "ask", "asked_done"]
    first = tablet.eyes.label("C")
    for text in (
        "SBR-4412",
        "SAME AGAIN",
        "2Q2013KG",
        "DONE",
    ):  # the next coil of the delivery: nothing is asked
        assert tablet.answer(text) == "accepted"
    second = tablet.eyes.label("C")
    assert tablet.page.evaluate("pressed") == 0
    sources = [tablet.house.ask(source_of, number) for number in (first, second)]
    assert [(one.supplier, one.supplier_number, one.heats) for one in sources] == [
        ("bellmead", "BR-4411", "H71204"),
        ("bellmead", "BR-4412", "H71204"),
    ]


def chosen(tablet: Tablet, name: str) -> str:
    """Type the digit before a choice; the verdict on it."""
    labels = tablet.page.locator("[data-part=choices] button").all_inner_texts()
    (digit,) = [text.split()[0] for text in labels if name in text]
    return tablet.answer(digit)


def test_from_a_coil_of_rod_to_a_box_of_nails_and_back(tablet: Tablet) -> None:
    coil = received(tablet, "rod_55", "HA100", "SBR-4411", "2009.5")
    worked(tablet, "draw_1", coil, "480")
    worked(tablet, "nail_1", tablet.eyes.label("R"), "230", "DONE")
    worked(tablet, "tumbler_1", tablet.eyes.label("N"), "228", "DONE")
    worked(tablet, "packing", tablet.eyes.label("N"))
    tablet.count(6)
    boxes = tablet.eyes.labels("N", 6)
    left_with(tablet, on_a_pallet(tablet, *boxes[:4]))
    page = complained(tablet, boxes[2])
    for told in (shown(coil), "Drawing machine 1", "Nail machine 1", "Tumbler 1", "Tamarind"):
        assert told in page
    tablet.page.locator("main a.lot", has_text=shown(coil)).first.click()
    tablet.page.wait_for_url("**/lots/*")
    expect(tablet.page.locator("main")).to_contain_text(shown(boxes[0])[:14])  # the coil leads to its boxes


@pytest.mark.in_ci
def test_from_a_coated_coil_to_a_pallet_of_tiles_and_back(tablet: Tablet) -> None:
    coil = received(tablet, "coil_40x1250", "NOT ON TAG", "5000")
    worked(tablet, "slitter", coil, "3x412", "1650", "1651", "1649")
    worked(tablet, "blanking", tablet.eyes.labels("S", 3)[0], "400")
    worked(tablet, "tile_press", tablet.eyes.label("F"), "396")
    tiles = tablet.eyes.label("F")
    left_with(tablet, on_a_pallet(tablet, tiles))
    page = complained(tablet, tiles)
    assert re.search(r"Slitter[\s\S]*Tile press|Tile press[\s\S]*Slitter", page)
    assert shown(coil) in page


@pytest.mark.in_ci
def test_from_a_pack_of_lumber_through_a_charge_to_a_customer_and_back(tablet: Tablet) -> None:
    tablet.house.post(SetPin(tablet.house.people["qa"]), secret=PIN)
    pack = received(tablet, "lumber_2x4x12", "NOT ON TAG", "294", letter="L")
    solution = received(tablet, "concentrate_ca", "NOT ON TAG", "1000", letter="K")
    worked(tablet, "mixing", solution, "990", "DONE", who="treater")
    mixed = tablet.eyes.label("K")
    worked(tablet, "treating", pack, who="treater")
    assert tablet.eyes.label("U").startswith("U")
    for text in (mixed, "NEXT", "620"):
        tablet.scan(text)
    tablet.eyes.label("K")
    for text in ("NEXT", pack):
        tablet.scan(text)
    treated = tablet.eyes.label("L")
    released(tablet, treated)
    left_with(tablet, treated)
    page = complained(tablet, treated)
    assert shown(pack) in page
    assert shown(solution) in page


def released(tablet: Tablet, label: str) -> None:
    """QA lets a treated pack through the hold that waits for its proof, from its story."""
    tablet.at("laboratory", "qa")
    tablet.page.goto(f"{tablet.address}/lots/{label}")
    tablet.page.get_by_text("Release it from a hold").click()
    tablet.page.locator("#field-release_words").fill("proof is in")
    tablet.send("Release it")
    tablet.page.locator("input[name=pin]").fill(PIN)
    tablet.page.keyboard.press("Enter")
    expect(tablet.page.get_by_text("Recorded.", exact=True)).to_be_visible()
