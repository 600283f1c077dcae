"""Do the pages for moving, packing and shipping hold up where work goes wrong: in wrong order, twice?"""

import json
from pathlib import Path

import pytest
from floor_work import plain
from houses import House, a_house
from lotroot import worker
from lotroot.dispatch.handling import CorrectShipment, OpenShipment
from lotroot.dispatch.shipments import find_shipment, latest_shipments
from lotroot.holds.handling import PlaceHold
from lotroot.identity.showing import shown
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.printed import labels_of, to_destroy
from lotroot.ledger.book import head
from lotroot.production.making import MakeOutput
from lotroot.questions import open_questions
from lotroot.stock.carriers import find_carrier
from lotroot.stock.standing import at_spot
from shop import Shop
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def boxes(shop: Shop, count: int = 12) -> str:
    """A lot of 25 kg boxes on the packing floor; its number."""
    shop.in_the_hopper(1_000_000)
    return shop.at("packing", MakeOutput(count=count)).numbers[0]


def on_page(house: House, page: str, station: str, who: str) -> Terminal:
    terminal = Terminal(house).at(station).on(page)
    terminal.badge(who)
    return terminal


def packer(house: House) -> Terminal:
    return on_page(house, "packing", "packing", "operator")


def dispatcher(house: House) -> Terminal:
    return on_page(house, "shipment", "dispatch", "dispatcher")


def accepted(house: House, terminal: Terminal, *texts: str) -> None:
    """Scan texts a minute apart; each must be accepted."""
    for text in texts:
        house.clock.forward(minutes=1)
        assert terminal.scan(text)["verdict"] == "accepted", terminal.last


def opened(house: House, terminal: Terminal) -> str:
    accepted(house, terminal, "NEXT")
    number = str(terminal.last["goto"]).split("=")[1]
    terminal.context = {"carrier": number}
    return number


def closed(house: House, shop: Shop, lot: str, serial: int) -> str:
    """A finished pallet with one box."""
    terminal = packer(house)
    number = opened(house, terminal)
    accepted(house, terminal, shop.item(lot, serial), "DONE")
    return number


def begun(house: House, terminal: Terminal, customer: str = "tamarind") -> str:
    """A shipment opened by the form, not yet chosen."""
    answer = terminal.post("/shipment", key=f"{customer:-<32}", customer=customer, order_number="PO 7")
    assert answer.status_code == 303
    return str(house.ask(latest_shipments)[0].number)


# ---- moving


def test_a_pan_is_moved_by_its_code_and_a_row_by_its_ends(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    terminal = on_page(house, "moving", "dispatch", "dispatcher")
    rack, yard = shop.place("rack_a"), shop.place("rack_b")
    accepted(house, terminal, rack, "pan 17", "ROW", shop.item(lot, 2), shop.item(lot, 5), yard)
    assert house.ask(find_carrier, "pan_17").spot == rack
    assert [(row.first, row.last) for row in house.ask(at_spot, rack) if row.lot == lot] == [(2, 5)]
    page = terminal.last["fragments"]["moved-here"]
    assert f"{shown(shop.item(lot, 2))} to {shown(shop.item(lot, 5))}" in page
    assert "to Rack A" in page, "what went to the place before is not said to stand here"


def test_what_is_on_a_shipment_is_not_moved(house: House, shop: Shop) -> None:
    built = closed(house, shop, boxes(shop), 1)
    load = dispatcher(house)
    accepted(house, load, begun(house, load), built)
    terminal = on_page(house, "moving", "dispatch", "dispatcher")
    accepted(house, terminal, shop.place("rack_a"))
    assert terminal.scan(built)["verdict"] == "refused"
    assert "Take it off the shipment first" in str(terminal.last)


# ---- what comes off a shipment again, and its sheet


def loaded(house: House, shipment: str) -> list[tuple[int, int, int]]:
    return [(row.first, row.last, row.amount) for row in house.ask(find_shipment, shipment).loads]


def test_one_scan_takes_off_a_pallet_with_all_on_it_until_done(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    pallets = []
    for serial in (1, 2, 3):
        terminal = packer(house)
        pallets.append(opened(house, terminal))
        accepted(house, terminal, shop.item(lot, serial), "DONE")
    terminal = dispatcher(house)
    number = begun(house, terminal)
    accepted(house, terminal, number, *pallets, "PART", pallets[0], pallets[1])
    assert terminal.last["next"] == "Scan all that comes off, then DONE"
    assert loaded(house, number) == [(3, 3, 25_000)]
    assert terminal.scan(shop.item(lot, 3))["verdict"] == "refused"
    assert f"is on pallet {shown(pallets[2])}" in terminal.last["say"]
    accepted(house, terminal, "DONE", pallets[0])
    assert len(loaded(house, number)) == 2
    accepted(house, terminal, "PART", number)
    assert house.ask(find_shipment, number).row.state == "open"  # the sheet ends taking off; nothing left


def test_a_part_of_a_row_comes_off_and_the_papers_list_what_stays(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    terminal = dispatcher(house)
    number = begun(house, terminal)
    accepted(house, terminal, number, "ROW", shop.item(lot, 1), shop.item(lot, 9))
    accepted(house, terminal, "PART", "ROW", shop.item(lot, 4), shop.item(lot, 5), shop.item(lot, 9))
    assert loaded(house, number) == [(1, 3, 75_000), (6, 8, 75_000)]
    assert "150.0" in terminal.client.get(f"/shipment/{number}/paper").text
    accepted(house, terminal, shop.item(lot, 2))
    assert loaded(house, number) == [(6, 8, 75_000), (1, 1, 25_000), (3, 3, 25_000)]
    assert sum(row.amount for row in house.ask(at_spot, number)) == 125_000


def test_a_shipment_s_sheet_says_for_whom_it_is_and_so_does_its_copy(house: House) -> None:
    number = house.post(OpenShipment("tamarind", "4500917"), "dispatcher").numbers[0]
    house.post(PrintAgain(number, "torn"), "dispatcher")
    house.post(CorrectShipment(number, "osprey"), "dispatcher")
    worker.drain(house.door)
    labels = [json.loads(row.fields) for row in house.ask(labels_of, number)]
    assert [(on["customer"], on["order"], on.get("mark", "")) for on in labels] == [
        ("Tamarind Hardware", "4500917", ""),
        ("Tamarind Hardware", "4500917", ""),
        ("Osprey Building Supplies", "4500917", "LABEL"),
    ]


# ---- the label of a pallet that changes


def printed_of(house: House, number: str) -> list[tuple[int, str, str, str]]:
    """Which of a number's labels it is, the word before that, the band and the amount on it."""
    worker.drain(house.door)
    found = [(row.copy, json.loads(row.fields)) for row in house.ask(labels_of, number)]
    return [(copy, on.get("mark", ""), on.get("held", ""), plain(on.get("amount", ""))) for copy, on in found]


def wrong_labels(house: House) -> list[tuple[str, int]]:
    return [(row.number, row.copy) for row in house.ask(to_destroy, 0)]


def test_the_label_of_a_finished_pallet_is_no_copy_of_the_one_it_was_opened_with(
    house: House, shop: Shop
) -> None:
    terminal = packer(house)
    number = opened(house, terminal)
    accepted(house, terminal, shop.item(boxes(shop), 1), "DONE")
    assert "Put its new label over the one it has" in terminal.last["say"]
    assert printed_of(house, number) == [(1, "", "OPEN", ""), (2, "LABEL", "", "25 kg")]
    assert wrong_labels(house) == [(number, 1)]
    accepted(house, terminal, "PRINT AGAIN")
    assert printed_of(house, number)[-1] == (3, "", "", "25 kg")  # COPY 3
    tray = terminal.client.get("/tray").text
    assert "LABEL 2" in tray
    assert "COPY 3" in tray


@pytest.mark.parametrize("by", ["packing", "moving"])
def test_a_closed_pallet_that_loses_a_box_is_open_until_its_new_label_prints(
    house: House, shop: Shop, by: str
) -> None:
    lot = boxes(shop)
    terminal = packer(house)
    number = opened(house, terminal)
    accepted(house, terminal, "ROW", shop.item(lot, 1), shop.item(lot, 4), "DONE")
    printed_of(house, number)
    if by == "packing":
        accepted(house, terminal, "PART", shop.item(lot, 4))
        said = terminal.last["say"]
    else:
        yard = on_page(house, "moving", "dispatch", "dispatcher")
        accepted(house, yard, shop.place("rack_a"), shop.item(lot, 4))
        said = yard.last["say"]
    assert f"Pallet {shown(number)} is open again: destroy its label." in said
    assert wrong_labels(house) == [(number, 2), (number, 1)]
    assert "label 2" in terminal.client.get("/morning").text
    load = dispatcher(house)
    accepted(house, load, begun(house, load))
    assert load.scan(number)["verdict"] == "refused"
    assert "is still open" in load.last["say"]
    accepted(house, terminal, number, "DONE")
    assert printed_of(house, number)[-1] == (3, "LABEL", "", "75 kg")
    accepted(house, load, number)


def test_a_box_taken_off_by_mistake_leaves_the_pallet_and_its_label_as_they_were(
    house: House, shop: Shop
) -> None:
    lot = boxes(shop)
    terminal = packer(house)
    number = opened(house, terminal)
    accepted(house, terminal, "ROW", shop.item(lot, 1), shop.item(lot, 4), "DONE")
    printed_of(house, number)
    accepted(house, terminal, "PART", shop.item(lot, 4), "UNDO")
    assert house.ask(find_carrier, number).state == "closed"
    assert wrong_labels(house) == [(number, 1)]


def test_a_closed_pallet_that_loses_all_is_empty(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    terminal = packer(house)
    number = opened(house, terminal)
    accepted(house, terminal, shop.item(lot, 1), "DONE", "PART", shop.item(lot, 1))
    assert f"Nothing is left on pallet {shown(number)}" in terminal.last["say"]
    assert house.ask(find_carrier, number).state == "emptied"


# ---- packing


def test_a_pallet_says_what_is_on_it_and_a_held_box_stays_off(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    house.post(PlaceHold("brittle", lot, 9, 9), "qa")
    terminal = packer(house)
    number = opened(house, terminal)
    accepted(house, terminal, "ROW", shop.item(lot, 1), shop.item(lot, 4))
    assert "4 items, 100.0 kg" in terminal.last["fragments"]["on-pallet"].replace("\u202f", " ")
    assert terminal.scan(shop.item(lot, 9))["verdict"] == "held"
    assert "/pin/" in terminal.last["fragments"]["override"]
    accepted(house, terminal, "PART", "ROW", shop.item(lot, 2), shop.item(lot, 3))
    assert [(row.first, row.last) for row in house.ask(at_spot, number)] == [(1, 1), (4, 4)]
    accepted(house, terminal, "DONE", number)
    assert terminal.scan(shop.item(lot, 5))["verdict"] == "refused"
    assert "is closed" in str(terminal.last)


def test_done_without_a_pallet_scanned_restacks_and_closes_nothing(house: House, shop: Shop) -> None:
    terminal = packer(house)
    number = opened(house, terminal)
    accepted(house, terminal, shop.item(boxes(shop), 1), "STACK")
    before = house.ask(head)
    accepted(house, terminal, "DONE")
    assert terminal.last["say"] == "Nothing was re-stacked."
    assert house.ask(head) == before
    assert house.ask(find_carrier, number).state == "open"


def test_only_pallets_that_stand_here_are_restacked(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    loaded, free = closed(house, shop, lot, 1), closed(house, shop, lot, 2)
    load = dispatcher(house)
    accepted(house, load, begun(house, load), loaded)
    terminal = packer(house)
    accepted(house, terminal, "STACK")
    for wrong in (loaded, "pan_17", shop.item(lot, 3)):
        assert terminal.scan(wrong)["verdict"] == "refused", terminal.last
    accepted(house, terminal, free, "DONE")
    assert house.ask(find_carrier, free).state == "became"
    assert house.ask(find_carrier, loaded).spot.startswith("D")


def test_a_pan_found_empty_is_one_command_and_its_label(house: House, shop: Shop) -> None:
    stripper = shop.drawn(shop.coil(), 500_000)[0]
    shop.nails(stripper, 300_000)
    terminal = packer(house)
    accepted(house, terminal, "EMPTY", shop.pan("pan_17"))
    assert house.ask(at_spot, shop.pan("pan_17")) == []
    assert any("was found empty" in str(one) for one in house.ask(open_questions))


# ---- shipping


def test_a_sheet_read_twice_at_once_sends_nothing_off(house: House, shop: Shop) -> None:
    built = closed(house, shop, boxes(shop), 1)
    terminal = dispatcher(house)
    number = begun(house, terminal)
    accepted(house, terminal, number, built)
    terminal.context = {}
    chosen = house.clock.at
    assert terminal.scan(number)["verdict"] == "accepted"
    house.clock.at = chosen  # the second read comes at the same moment
    assert terminal.scan(number)["verdict"] == "already"
    assert house.ask(find_shipment, number).row.state == "open"
    accepted(house, terminal, number)
    assert house.ask(find_shipment, number).row.state == "left"


def test_one_comes_off_and_an_empty_shipment_does_not_leave(house: House, shop: Shop) -> None:
    built = closed(house, shop, boxes(shop), 1)
    terminal = dispatcher(house)
    number = begun(house, terminal)
    accepted(house, terminal, number, built, "PART", built)
    assert house.ask(find_shipment, number).loads == []
    accepted(house, terminal, number)
    assert house.ask(find_shipment, number).row.state == "open"
    accepted(house, terminal, "PART")
    assert terminal.scan(built)["verdict"] == "refused"
    assert "is not on shipment" in str(terminal.last)


def test_vehicle_and_seal_go_with_their_own_shipment_onto_its_paper(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    first, second = closed(house, shop, lot, 1), closed(house, shop, lot, 2)
    terminal = dispatcher(house)
    number, other = begun(house, terminal), begun(house, terminal, "osprey")
    terminal.context = {"shipment": number, "vehicle": "LK 4471", "seal": "S-901"}
    assert "LK 4471" in terminal.client.get(f"/shipment?shipment={number}&vehicle=LK+4471&seal=S-901").text
    accepted(house, terminal, first, number)
    terminal.context = {"shipment": number, "vehicle": "LK 4471", "seal": "S-901"}
    accepted(house, terminal, other, second, other)
    rows = [house.ask(find_shipment, one).row for one in (number, other)]
    assert [(row.vehicle, row.seal) for row in rows] == [("LK 4471", "S-901"), ("", "")]
    paper = terminal.client.get(f"/shipment/{number}/paper").text.replace("\u202f", " ")
    for told in ("LK 4471", "S-901", "PO 7", shown(first), f"{shown(lot)}, 1", "1 package, net 25.0 kg"):
        assert told in paper, told


def test_a_shipment_that_left_takes_nothing_more(house: House, shop: Shop) -> None:
    lot = boxes(shop)
    first, late = closed(house, shop, lot, 1), closed(house, shop, lot, 2)
    terminal = dispatcher(house)
    number = begun(house, terminal)
    accepted(house, terminal, number, first, number, number)
    assert "has left already" in terminal.last["say"]
    assert terminal.scan(late)["verdict"] == "refused"
    house.clock.forward(minutes=1)
    assert terminal.scan(number)["verdict"] == "already"
    second = begun(house, terminal, "osprey")
    accepted(house, terminal, second)
    assert terminal.scan(first)["verdict"] == "refused"
    assert "is on shipment" in str(terminal.last)


@pytest.mark.parametrize(
    ("form", "says"),
    [
        ({"number": "", "reason": "faulty", "place": "quarantine"}, "Expected a number"),
        ({"number": "P26", "reason": "faulty", "place": "quarantine"}, "P26 has 3 characters"),
        ({"number": "good", "reason": "", "place": "quarantine"}, "Choose why it came back."),
        ({"number": "good", "reason": "faulty", "place": "nowhere"}, "nowhere"),
        ({"number": "good", "reason": "faulty", "place": "quarantine"}, "is not recorded as shipped"),
    ],
)
def test_a_return_in_doubt_keeps_what_was_typed(
    house: House, shop: Shop, form: dict[str, str], says: str
) -> None:
    built = closed(house, shop, boxes(shop), 1)
    terminal = dispatcher(house)
    before = house.ask(head)
    number = built if form["number"] == "good" else form["number"]
    answer = terminal.post("/shipment/returns", key="r" * 32, **{**form, "number": number})
    assert 400 <= answer.status_code < 500
    assert says in answer.text
    assert f'value="{number}"' in answer.text
    assert house.ask(head) == before
