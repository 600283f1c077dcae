"""Can goods be followed from coil to pallet and back by nothing but the labels that were printed?

A real server on this machine, its print worker, and one terminal a station. Nothing passes from one step to
the next but the text a decoder reads from the label bitmap that the previous step printed.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from eyes import Eyes
from houses import House, a_house
from lotroot.accounts.devices import devices
from lotroot.accounts.enrolment import AllowDevice
from lotroot.accounts.handling import SetPin
from lotroot.identity.showing import shown
from served import served
from terminals import Terminal
from wire import Wire

PIN = "4711"


class Floor:
    """The plant as its people see it: a terminal where they stand, and the label that just came out."""

    def __init__(self, house: House, address: str) -> None:
        self.house, self.address = house, address
        house.post(SetPin(house.people["qa"]), secret=PIN)
        self.device = self._enrolled()
        self.eyes = Eyes(self.at("laboratory", "administrator"))

    def at(self, station: str, who: str, page: str = "station") -> Terminal:
        """Signed in at a station, with a person on duty."""
        terminal = Terminal(self.house)
        terminal.client = Wire(self.address)
        terminal.at(station).on(page)
        assert terminal.badge(who)["verdict"] == "accepted"
        return terminal

    def received(self, product: str, amount: str, letter: str) -> str:
        """A lot comes in; returns what its label says."""
        receiver = self.at("receiving", "receiver", "receiving")
        receiver.context = {"product": product, "supplier": "bellmead", "heats": ["not on tag"]}
        ok(receiver, amount)
        return self.eyes.label(letter)

    def lineage(self, label: str, direction: str) -> dict[str, Any]:
        """What the API tells a hand-held of the label it has scanned."""
        answer = Wire(self.address).get(f"/api/lots/{label}/lineage?direction={direction}", self.device)
        assert answer.status_code == 200, answer.text
        return dict(answer.get_json())

    def sources(self, label: str) -> set[str]:
        """The lots without parents behind a label, by the API; none of them may be a gap."""
        lots = self.lineage(label, "up")["lots"]
        assert not any(one["gap"] for one in lots)
        return {one["lot"] for one in lots if one["source"]}

    def _enrolled(self) -> dict[str, str]:
        """The header of a hand-held that made itself known with its code."""
        self.house.post(AllowDevice("A hand-held"))
        (row,) = self.house.ask(devices)
        token = Wire(self.address).post("/api/devices", json={"code": row.code}).get_json()["token"]
        return {"Authorization": f"Bearer {token}"}


def ok(terminal: Terminal, text: str) -> dict[str, Any]:
    """Scan a text that must be accepted; where a product is asked for, the first choice is taken."""
    body = terminal.body(text)
    answer = terminal.send(body).get_json()
    while answer["verdict"] == "ask":
        choice = answer["question"]["choices"][0]["code"]
        body = {**terminal.body(text), "answers": {**body["answers"], answer["question"]["id"]: choice}}
        answer = terminal.send({**body, "after": body["key"]}).get_json()
    assert answer["verdict"] in ("accepted", "asked_done"), answer
    terminal.context = answer.get("context", terminal.context)
    return dict(answer)


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[Floor]:
    house = a_house(tmp_path)
    with served(house.database, house.door) as address:
        yield Floor(house, address)


def shipped(floor: Floor, *labels: str) -> str:
    """A shipment leaves with what carries these labels; returns what its sheet says."""
    dispatcher = floor.at("dispatch", "dispatcher", "shipment")
    dispatcher.post("/shipment", key="f" * 32, customer="tamarind", order_number="PO 7")
    sheet = floor.eyes.label("D")
    for text in (sheet, *labels, sheet):
        ok(dispatcher, text)
    return sheet


def on_a_pallet(floor: Floor, *labels: str) -> str:
    """A pallet is opened, loaded and finished; returns what its label says."""
    packer = floor.at("packing", "operator", "packing")
    ok(packer, "NEXT")
    opened = floor.eyes.label("P")
    for text in (opened, *labels, "DONE"):
        ok(packer, text)
    finished = floor.eyes.label("P")
    assert finished == opened
    return opened


def complained(floor: Floor, label: str) -> str:
    """A customer complains of a label; returns the page of the complaint."""
    qa = floor.at("laboratory", "qa")
    qa.post("/complaints", key="c" * 32, number=label, words="it broke", customer="tamarind")
    number = re.findall(r"/complaints/(X\d{10})", qa.client.get("/complaints").text)[0]
    return str(qa.client.get(f"/complaints/{number}").text)


def origin(page: str) -> set[str]:
    """The lots a complaint's page names as origin."""
    part = page.split("<h3>Where it came from</h3>")[1].split("<h3>What stood between</h3>", maxsplit=1)[0]
    return set(re.findall(r"[A-Z]\d{2}-\d{6}-\d{2}", part))


def test_from_a_coil_of_rod_to_a_box_of_nails_and_back(floor: Floor) -> None:
    coil = floor.received("rod_55", "2009.5", "C")
    drawing = floor.at("draw_1", "operator")
    ok(drawing, coil)
    ok(drawing, "480")
    stripper = floor.eyes.label("R")
    nails = floor.at("nail_1", "operator")
    ok(nails, stripper)
    ok(nails, "230")
    ok(nails, "DONE")
    nail_lot = floor.eyes.label("N")
    tumbler = floor.at("tumbler_1", "operator")
    ok(tumbler, nail_lot)
    ok(tumbler, "228")
    ok(tumbler, "DONE")
    tumbled = floor.eyes.label("N")
    bench = floor.at("packing", "operator")
    ok(bench, tumbled)
    ok(bench, "6")
    boxes = floor.eyes.labels("N", 6)
    pallet = on_a_pallet(floor, *boxes[:4])
    sheet = shipped(floor, pallet)
    page = complained(floor, boxes[2])
    assert origin(page) == {shown(coil)}
    assert floor.sources(boxes[2]) == {coil}
    assert all(told in page for told in ("Drawing machine 1", "Nail machine 1", "Tumbler 1", "Tamarind"))
    assert shown(boxes[0])[:14] in page, "the other boxes of the lot stand on the same page"
    down = floor.lineage(coil, "down")
    assert {stripper, nail_lot, tumbled} < {one["lot"] for one in down["lots"]}
    assert [(one["shipment"], one["carriers"]) for one in down["shipments"]] == [(sheet, [pallet])]
    assert {stripper, boxes[0][:11]} <= {one["lot"] for one in down["on_hand"]}, "what is left of it is here"


def test_from_a_coated_coil_to_a_pallet_of_tiles_and_back(floor: Floor) -> None:
    coil = floor.received("coil_40x1250", "5000", "C")
    slitter = floor.at("slitter", "operator")
    ok(slitter, coil)
    ok(slitter, "3x412")
    for weight in ("1650", "1651", "1649"):
        ok(slitter, weight)
    strips = floor.eyes.labels("S", 3)
    blanking = floor.at("blanking", "operator")
    ok(blanking, strips[0])
    ok(blanking, "400")
    blanks = floor.eyes.label("F")
    press = floor.at("tile_press", "operator")
    ok(press, blanks)
    ok(press, "396")
    tiles = floor.eyes.label("F")
    pallet = on_a_pallet(floor, tiles)
    sheet = shipped(floor, pallet)
    page = complained(floor, tiles)
    assert origin(page) == {shown(coil)}
    assert floor.sources(tiles) == {coil}
    assert all(told in page for told in ("Slitter", "Tile press"))
    down = floor.lineage(coil, "down")
    assert {*strips, blanks, tiles} < {one["lot"] for one in down["lots"]}
    assert [(one["shipment"], one["carriers"]) for one in down["shipments"]] == [(sheet, [pallet])]
    assert set(strips[1:]) <= {one["lot"] for one in down["on_hand"]}, "the sister strips are here"


def test_from_a_pack_of_lumber_through_a_charge_to_a_customer_and_back(floor: Floor) -> None:
    pack = floor.received("lumber_2x4x12", "294", "L")
    solution = floor.received("concentrate_ca", "1000", "K")
    mixing = floor.at("mixing", "treater")
    ok(mixing, solution)
    ok(mixing, "990")
    ok(mixing, "DONE")
    mixed = floor.eyes.label("K")
    treating = floor.at("treating", "treater")
    ok(treating, pack)
    charge = floor.eyes.label("U")
    ok(treating, mixed)
    ok(treating, "NEXT")
    ok(treating, "620")
    floor.eyes.label("K")
    ok(treating, "NEXT")
    ok(treating, pack)
    treated = floor.eyes.label("L")
    assert charge.startswith("U")
    dispatcher = floor.at("dispatch", "dispatcher", "shipment")
    dispatcher.post("/shipment", key="g" * 32, customer="tamarind", order_number="PO 8")
    ok(dispatcher, floor.eyes.label("D"))
    assert dispatcher.scan(treated)["verdict"] == "held", "a treated pack waits for its proof"
    released(floor, treated)
    sheet = shipped(floor, treated)
    page = complained(floor, treated)
    assert origin(page) == {shown(pack), shown(solution)}
    assert floor.sources(treated) == {pack, solution}
    for source in (pack, solution):
        assert [one["shipment"] for one in floor.lineage(source, "down")["shipments"]] == [sheet]


def released(floor: Floor, label: str) -> None:
    """QA lets a lot through its hold, with a PIN."""
    qa = floor.at("laboratory", "qa")
    hold = re.findall(r"/holds/(\d+)/release", qa.client.get("/holds").text)[0]
    asked = qa.post(f"/holds/{hold}/release", key="h" * 32, number=label, words="proof is in")
    assert qa.post(asked.location, pin=PIN).status_code == 303
