"""Is a form entered at every kind of station: boxes, pans, rolls of payoffs, strips, packs, receipts?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from floor_work import at, lay, ok
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.goods import goods
from lotroot.labelling.tables import print_job
from lotroot.moving.tares import WeighEmpty
from lotroot.production.runs import find_run
from lotroot.stock.carriers import find_carrier
from lotroot.verify import verify
from paper_forms import catching_up, moment, pad


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


def test_boxes_get_a_lot_each_under_their_labels_and_the_next_box_grows_none_of_them(house: House) -> None:
    labels = pad(house, "N", "packing")
    nails = lay(house, "tumbled_25x50", 900_000, "tumble_floor")
    packing = at(house, "packing")
    packing.scan(nails)
    if packing.last["verdict"] == "ask":
        packing.answer(nails, packing.last["question"]["choices"][0]["code"])
    house.clock.forward(hours=4)
    page = catching_up(house, "packing")
    for text in (labels[0], "0700"):
        ok(page.scan(text))
    page.scan("4")
    assert page.last["verdict"] in ("accepted", "asked_done"), page.last
    ok(page.scan(labels[1]))
    ok(page.scan("0730"))
    ok(page.scan("5"))
    first, second = (house.ask(find_lot, label) for label in labels[:2])
    blocks = [(job["number"], job["first"], job["last"]) for job in house.rows(print_job)]
    assert (labels[0], 1, 4) in blocks, "one label is on a stack of four boxes: each still gets its own"
    assert (first.number, second.number) == labels[:2]
    boxes = first.items
    ok(packing.scan("3"))
    assert house.ask(find_lot, labels[0]).items == boxes
    assert house.ask(find_lot, labels[1]).items == second.items


def test_what_came_in_at_night_is_received_with_its_details_due(house: House) -> None:
    labels = pad(house, "C", "receiving")
    house.clock.forward(hours=20)
    page = at(house, "receiving", "receiver").on("catchup")
    ok(page.scan(labels[0]))
    assert ok(page.scan("2230"))["next"] == "Type how much came in"
    page.answer("2010", "rod_55")
    row = house.ask(find_lot, labels[0])
    assert (row.amount, row.product, row.born_at) == (2_010_000, "rod_55", moment("2026-11-02T22:30"))
    assert "details due" in page.client.get(f"/lots/{labels[0]}").text


def test_a_pan_it_went_into_is_scanned_before_the_weight(house: House) -> None:
    labels = pad(house, "N", "nail_1")
    house.clock.forward(hours=20)
    page = catching_up(house, "nail_1")
    wire = lay(house, "wire_25", 700_000)
    ok(page.scan(labels[0]))
    page.scan("2230")
    if page.last["verdict"] == "ask":
        page.answer("2230", "nail_25x50")
    ok(page.scan(wire))
    pan = house.ask(find_carrier, "pan_23").number
    assert "Pan 23" in ok(page.scan(pan))["say"]
    ok(page.scan("300"))
    assert house.ask(find_lot, labels[0]).amount == 300_000
    assert house.ask(goods, labels[0])[0].spot == pan


def test_what_a_pan_on_the_scale_weighed_then_is_gross_on_paper_too(house: House) -> None:
    """Pan 23 was weighed empty after the night: it is the tare of the night that counts."""
    labels = pad(house, "N", "nail_3")
    house.clock.forward(hours=20)
    pan = house.ask(find_carrier, "pan_23").number
    house.post(WeighEmpty(pan, 65_000), "operator", station=house.thing("station", "nail_3"))
    wire = lay(house, "wire_25", 700_000)
    page = catching_up(house, "nail_3")
    ok(page.scan(labels[0]))
    page.scan("2230")
    if page.last["verdict"] == "ask":
        page.answer("2230", "nail_25x50")
    ok(page.scan(wire))
    ok(page.scan(pan))
    for bad in ("-5", "NaN"):
        assert page.scan(bad)["verdict"] == "refused"
    ok(page.scan("361.85"))
    assert house.ask(find_lot, labels[0]).amount == 299_999  # less 61.851 kg


def test_rolls_of_barbed_wire_are_entered_with_the_coil_of_each_payoff(house: House) -> None:
    labels = pad(house, "G", "barb_1")
    line = [lay(house, "galv_25", 800_000) for _ in range(2)]
    barb = lay(house, "galv_20", 500_000)
    house.clock.forward(hours=4)
    page = catching_up(house, "barb_1")
    ok(page.scan(labels[0]))
    page.scan("0700")
    if page.last["verdict"] == "ask":
        page.answer("0700", "barbed_25_20")
    assert page.scan(line[0])["say"] == "Which payoff was it on?"
    for payoff, coil in (("L1", line[0]), ("L2", line[1])):
        ok(page.scan(house.thing("payoff", payoff, "barb_1")))
        ok(page.scan(coil))
    ok(page.scan(house.thing("payoff", "B1", "barb_1")))
    ok(page.scan(barb))
    ok(page.scan("23.6"))
    made = house.ask(find_lot, labels[0])
    assert {link.parent_number for link in house.ask(links_of, made.id)} == {*line, barb}
    ok(page.scan(labels[1]))
    ok(page.scan("0725"))
    ok(page.scan("23.7"))
    assert house.ask(find_lot, labels[1]).amount == 23_700
    assert verify(house.database).finding is None


def test_strips_are_entered_in_order_once_their_widths_are_typed(house: House) -> None:
    labels = pad(house, "S", "slitter")
    coil = lay(house, "coil_40x1250", 5_000_000, "coil_yard")
    house.clock.forward(hours=4)
    page = catching_up(house, "slitter")
    for text in (labels[0], "0700", coil, "3x412", "1650", labels[1], "0705", "1651"):
        ok(page.scan(text))
    assert [house.ask(find_lot, label).product for label in labels[:2]] == ["strip_412"] * 2
    run = house.ask(find_run, house.ask(find_lot, labels[0]).run)
    assert [(one.lane_from, one.lane_to) for one in run.outputs] == [(7, 419), (419, 831)]


def test_treated_packs_get_their_labels_by_the_tag_that_went_in(house: House) -> None:
    labels = pad(house, "L", "treating")
    packs = [lay(house, product, 100, "lumber_yard") for product in ("lumber_2x4x12", "lumber_4x4x8")]
    lay(house, "solution_ca", 20_000_000, "tank_1", kind="vessel", mass=20_000_000)
    house.clock.forward(hours=4)
    page = at(house, "treating", "treater").on("catchup")
    for text in (labels[0], "0700", *packs, house.thing("vessel", "tank_1"), packs[0]):
        ok(page.scan(text))
    for text in (labels[1], "0830", packs[1]):
        ok(page.scan(text))
    made = [house.ask(find_lot, label) for label in labels[:2]]
    assert [row.product for row in made] == ["treated_2x4x12", "treated_4x4x8"]
    first = next(iter(house.ask(links_of, made[1].id)))
    assert first.parent_number == packs[1]
