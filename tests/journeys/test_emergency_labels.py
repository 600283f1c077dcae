"""Does a label kept ready become the number of goods, answer for goods that have one, or is it struck off?"""

import contextlib
import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import plants
import pypdfium2
import pytest
import zxingcpp
from floor_work import at, lay, ok, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot import worker
from lotroot.errors import LotrootError, NotAllowed, Refused, Unknown, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.goods import goods
from lotroot.holds.handling import PlaceHold
from lotroot.identity import ItemNumber, make, number_from
from lotroot.identity.showing import shown
from lotroot.labelling.printed import labels_of
from lotroot.labelling.tables import print_job
from lotroot.moving.places import MoveGoods
from lotroot.pads.handling import AnswerWithPad, DestroyPadLabels
from lotroot.pads.listing import PadGiven, pads_given
from lotroot.plant.adopted import current_plant
from lotroot.production.making import MakeOutput
from lotroot.receiving.commands import ReserveNumbers
from lotroot.reserved import labels_standing_for, reserved_ranges, stands_for
from lotroot.reserved import spent as spent_table
from lotroot.stock.carriers import find_carrier
from lotroot.verify import verify
from lotroot.voiding.handling import Void
from offices import office, sent
from query_plans import plans_by_statement, read_whole
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


def pad(house: House, letter: str = "R", count: int = 3, station: str = "draw_1") -> tuple[str, ...]:
    keeper = house.thing("station", station)
    return house.post(ReserveNumbers(letter=letter, count=count, keeper=keeper), "supervisor").numbers


def spent(house: House) -> list[str]:
    """The labels that are answered or struck off."""
    return [row["number"] for row in house.rows(spent_table)]


# ---- a label answers for goods that have a number already


def test_a_label_stuck_on_goods_means_them_on_every_page(house: House) -> None:
    rod = lay(house, "rod_55", 2_000_000)
    (label,) = pad(house, "C", 1)
    said = house.post(AnswerWithPad(rod, label), "operator").say
    assert said.startswith(f"{shown(label)} means {shown(rod)} from now on.")
    assert said.endswith("1 waiting label is left out."), "the one that was queued prints no more"
    drawing = at(house, "draw_1")
    drawing.answer(label, "wire_25")
    assert [load.lot for load in run_at(house, "draw_1").loaded] == [rod]
    assert house.ask(goods, rod)[0].spot.startswith("U"), "the coil itself is on the machine"
    page = drawing.client.get(f"/lots/{label}")
    assert page.location.endswith(f"/lots/{rod}")
    told = drawing.client.get(f"/lots/{rod}").text
    assert shown(label) in told
    assert "Emergency label on it" in told
    assert f'href="/emergency?number={rod}#field-pad"' in told
    assert f'value="{shown(rod)}"' in drawing.client.get(f"/emergency?number={rod}").text
    assert drawing.client.get(f"/find?q={shown(label)}").location.endswith(rod)


def test_a_command_that_names_the_label_names_the_goods(house: House) -> None:
    rod = lay(house, "rod_55", 2_000_000)
    (label,) = pad(house, "C", 1)
    house.post(AnswerWithPad(rod, label), "operator")
    yard = house.thing("place", "rod_yard")
    house.post(MoveGoods(label, yard), "operator", station=house.thing("station", "draw_1"))
    assert house.ask(goods, rod)[0].spot == yard
    house.post(PlaceHold("Rust", lot=label), "qa")
    assert "on hold" in office(house, "qa").client.get(f"/lots/{rod}").text


@pytest.mark.parametrize("kind", ["item", "carrier"])
def test_a_label_answers_for_a_box_and_for_a_pan(house: House, kind: str) -> None:
    lot = lay(house, "box_25x50", 50_000, "rack_a", items=2) if kind == "item" else ""
    item = str(ItemNumber(number_from(lot), 2)) if lot else ""
    number = item or house.ask(find_carrier, "pan_23").number
    (label,) = pad(house, "N", 1)
    house.post(AnswerWithPad(number, label), "operator")
    assert house.ask(stands_for, label) == number
    terminal = at(house, "packing").on("moving")
    ok(terminal.scan(house.thing("place", "wire_rack")))
    assert (shown(number) if lot else "Pan 23") in ok(terminal.scan(label))["say"]
    assert shown(label) in terminal.client.get(f"/lots/{number}").text


def test_it_counts_as_the_first_scan_of_the_label_of_those_goods(house: House) -> None:
    drawing = at(house, "draw_1")
    drawing.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    ok(drawing.scan("486"))
    made = house.rows(print_job)[-1]["number"]
    worker.drain(house.door)
    assert [row.proved for row in house.ask(labels_of, made)] == [None]
    (label,) = pad(house, "R", 1)
    house.post(AnswerWithPad(made, label), "operator")
    assert [row.proved is None for row in house.ask(labels_of, made)] == [False]


def test_a_label_that_answered_is_used_up_until_that_is_taken_back(house: House) -> None:
    rod, other = (lay(house, "rod_55", 2_000_000) for _ in range(2))
    first, second = pad(house, "C", 2)
    posted = house.post(AnswerWithPad(rod, first), "operator")
    with pytest.raises(Refused, match=f"{shown(first)} is on {shown(rod)} already") as again:
        house.post(AnswerWithPad(rod, first), "operator")
    assert again.value.word == "already"
    with pytest.raises(Refused, match=f"is the emergency label of {shown(rod)}"):
        house.post(AnswerWithPad(other, first), "operator")
    house.post(AnswerWithPad(rod, second), "operator")
    assert house.ask(labels_standing_for, rod) == [first, second], "two sides of a pallet"
    house.post(Void(posted.posting), "operator")
    house.post(AnswerWithPad(other, first), "operator")
    assert house.ask(stands_for, first) == other
    assert house.status() == house.rebuilt()


@pytest.mark.parametrize(
    ("letter", "error", "said"),
    [
        ("U", Unreadable, "is nothing that gets an emergency label"),
        ("T", Unreadable, "is nothing that gets an emergency label"),
        ("R", Unknown, "No lot R26-900000"),
        ("P", Unknown, "P2690000060"),
    ],
)
def test_only_goods_that_are_known_get_a_label(
    house: House, letter: str, error: type[LotrootError], said: str
) -> None:
    (label,) = pad(house, "R", 1)
    with pytest.raises(error, match=said):
        house.post(AnswerWithPad(str(make(letter, 2026, 900_000)), label), "operator")
    assert spent(house) == []


def test_a_box_that_is_not_packed_yet_gets_no_label(house: House) -> None:
    lot = lay(house, "box_25x50", 50_000, "rack_a", items=2)
    with pytest.raises(Refused, match="has no item 3 yet"):
        house.post(AnswerWithPad(str(ItemNumber(number_from(lot), 3)), pad(house, "N", 1)[0]), "operator")


def test_a_number_nobody_set_aside_answers_for_nothing(house: House) -> None:
    rod = lay(house, "rod_55", 2_000_000)
    with pytest.raises(Refused, match="given already"):
        house.post(AnswerWithPad(rod, lay(house, "rod_55", 1_000)), "operator")
    with pytest.raises(Refused, match="never set aside"):
        house.post(AnswerWithPad(rod, str(make("C", 2026, 900_000))), "operator")


# ---- struck off


def test_a_destroyed_label_is_refused_from_then_on(house: House) -> None:
    numbers = pad(house)
    said = house.post(DestroyPadLabels(numbers[:2], "Torn"), "supervisor").say
    assert said == "2 labels will not be used any more: Torn."
    drawing = at(house, "draw_1")
    drawing.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    station = house.thing("station", "draw_1")
    with pytest.raises(Refused, match=r"recorded as destroyed, .*: Torn") as refused:
        house.post(MakeOutput(weight=480_000, number=numbers[0]), "operator", station=station)
    assert "call the supervisor" in refused.value.next_step
    made = house.post(MakeOutput(weight=480_000, number=numbers[2]), "operator", station=station).numbers[0]
    assert house.ask(find_lot, made).number == numbers[2]


def test_labels_are_struck_off_all_or_none_with_a_reason(house: House) -> None:
    numbers = pad(house)
    house.post(AnswerWithPad(lay(house, "rod_55", 2_000_000), numbers[1]), "operator")
    with pytest.raises(Refused, match="emergency label of"):
        house.post(DestroyPadLabels(numbers, "Lost"), "supervisor")
    with pytest.raises(Unreadable, match="was not said"):
        house.post(DestroyPadLabels(numbers[:1], " "), "supervisor")
    with pytest.raises(Unreadable):
        house.post(DestroyPadLabels((), "Lost"), "supervisor")
    assert spent(house) == [numbers[1]]


# ---- at the machine, while only the printer is dead


def test_a_label_scanned_at_the_machine_is_that_of_what_comes_out_next(house: House) -> None:
    labels = pad(house)
    drawing = at(house, "draw_1")
    drawing.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    said = ok(drawing.scan(labels[0]))
    assert said["say"] == f"{shown(labels[0])} is the label of the next stripper."
    ok(drawing.scan("486"))
    assert house.ask(find_lot, labels[0]).amount == 486_000
    assert labels[0] not in [job["number"] for job in house.rows(print_job)]
    ok(drawing.scan("487"))
    assert house.ask(find_lot, house.rows(print_job)[-1]["number"]).amount == 487_000
    assert house.rows(print_job)[-1]["number"] not in labels, "the next one gets a number of its own"
    ok(drawing.scan(labels[1]))
    assert "forgotten" in ok(drawing.scan("UNDO"))["say"]
    house.post(DestroyPadLabels(labels[2:], "Torn"), "supervisor")
    assert "is not to be used: Torn" in drawing.scan(labels[2])["say"]
    (nails,) = pad(house, "N", 1)
    assert "no label for what is made here" in drawing.scan(nails)["say"]
    assert "No lot" in drawing.scan(str(make("R", 2026, 900_000)))["say"]


def test_a_label_and_a_pan_both_wait_for_the_weight(house: House) -> None:
    (label,) = pad(house, "N", 1, "nail_1")
    nails = at(house, "nail_1")
    nails.answer(lay(house, "wire_25", 700_000), "nail_25x50")
    ok(nails.scan(label))
    ok(nails.scan("300"))
    ok(nails.scan(house.ask(find_carrier, "pan_23").number))
    assert house.ask(find_lot, label).amount == 300_000


# ---- what it costs, and who may


def test_a_number_nobody_knows_costs_one_look_up_by_key(house: House) -> None:
    with house.reading() as connection:
        asked = plans_by_statement(connection, lambda: stands_for(connection, str(make("R", 2026, 900_000))))
        (lines,) = asked.values()
        assert read_whole(lines) == []
        nothing = [stands_for(connection, text) for text in ("UNDO", "P2600000162", "486", "")]
    assert nothing == ["UNDO", "P2600000162", "486", ""], "no letter of goods is not even looked up"


def test_in_a_plant_adopted_before_who_may_print_again_may_answer_with_a_label(tmp_path: Path) -> None:
    text = plants.demo_text().replace(' "AnswerWithPad",', "").replace('"DestroyPadLabels",', "")
    assert "AnswerWithPad" not in text
    older = a_house(tmp_path, text)
    with by_hand():
        (label, torn) = pad(older, "C", 2)
        older.post(AnswerWithPad(lay(older, "rod_55", 1_000), label), "operator")
        older.post(DestroyPadLabels((torn,), "Torn"), "supervisor")
        with pytest.raises(NotAllowed):
            older.post(DestroyPadLabels((torn,), "Torn"), "operator")


@pytest.mark.parametrize(("role", "may"), [("operator", True), ("dispatcher", True), ("manager", False)])
def test_whoever_handles_goods_may_stick_a_label_on_them(house: House, role: str, may: bool) -> None:
    assert ("AnswerWithPad" in house.ask(current_plant).roles[role]) is may


def test_a_pad_of_a_station_that_is_none_is_refused(house: House) -> None:
    with pytest.raises(Unknown, match="is a place"):
        house.post(
            ReserveNumbers(letter="R", count=2, keeper=house.thing("place", "wire_rack")), "supervisor"
        )
    assert house.ask(reserved_ranges) == []


# ---- the page: pads made, printed, looked through


def supervisor(house: House) -> Terminal:
    return at(house, "draw_1", "supervisor")


def given(house: House, what: str = "draw_1:R", count: str = "20") -> tuple[Terminal, PadGiven]:
    desk = supervisor(house)
    shows = sent(desk, "/emergency", "/emergency", what=what, count=count)
    assert f"{count} numbers set aside" in shows
    return desk, house.ask(pads_given)[0]


def codes_on(pdf: bytes) -> list[str]:
    """What a scanner reads off the pages, in the order of reading them."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        pages = [document[index].render(scale=300 / 72).to_pil() for index in range(len(document))]
    finally:
        document.close()
    found = []
    for page in pages:
        read = zxingcpp.read_barcodes(page)
        found += sorted(read, key=lambda one: (one.position.top_left.y, one.position.top_left.x))
    return list(dict.fromkeys(one.text for one in found))


def test_a_pad_is_made_for_what_its_station_makes_and_is_printed_with_its_form(house: House) -> None:
    desk, made = given(house)
    assert (made.letter, made.station, len(made.labels)) == ("R", house.thing("station", "draw_1"), 20)
    shows = desk.client.get("/emergency").text
    assert "Drawing machine 1: Stripper" in shows
    assert "20 not returned" in shows
    for paper in ("labels", "form"):
        pdf = desk.client.get(f"/emergency/{made.event}/{paper}.pdf")
        assert pdf.mimetype == "application/pdf"
        assert sorted(codes_on(pdf.data)) == list(made.numbers)
    assert codes_on(pdf.data) == list(made.numbers), "rows stand in the order of the labels"
    with contextlib.closing(pypdfium2.PdfDocument(pdf.data)) as form:
        says = form[0].get_textpage().get_text_range()
    day = datetime.fromtimestamp(made.at / 1_000_000, ZoneInfo(house.ask(current_plant).zone))
    assert f"Given {day:%-d %B %Y, %H:%M}." in says, "a pad lies in a drawer for weeks"


def test_a_receiving_pad_is_of_what_comes_from_outside(house: House) -> None:
    desk = supervisor(house)
    offered = re.findall(r'option value="(\w+:\w)"', desk.client.get("/emergency").text)
    assert {one for one in offered if one.startswith("receiving:")} == {f"receiving:{one}" for one in "CLK"}
    assert [one for one in offered if one.startswith("furnace:")] == [], "what is annealed keeps its number"
    assert [one for one in offered if one.startswith("draw_1:")] == ["draw_1:R"]


def test_the_page_tells_what_became_of_each_label(house: House) -> None:
    desk, made = given(house, count="12")
    rod = lay(house, "rod_55", 2_000_000)
    used, stuck, torn = made.numbers[:3]
    drawing = at(house, "draw_1")
    drawing.answer(rod, "wire_25")
    station = house.thing("station", "draw_1")
    house.post(MakeOutput(weight=480_000, number=used), "operator", station=station)
    shows = sent(desk, "/emergency/answer", "/emergency", number=shown(rod), pad=shown(stuck))
    assert f"{shown(stuck)} means {shown(rod)} from now on" in shows
    shows = sent(desk, "/emergency/destroy", "/emergency", numbers=torn, reason="Lost")
    assert "1 used, 1 stuck on goods, 1 destroyed, 9 not returned" in shows
    assert f'href="/lots/{used}"' in shows
    assert "destroyed" in shows
    assert ": Lost" in shows
    assert f'value="{torn}"' not in shows
    assert f'value="{made.numbers[3]}"' in shows


def test_what_is_wrong_in_a_form_is_said_beside_it_and_changes_nothing(house: House) -> None:
    desk, made = given(house)
    nothing = sent(desk, "/emergency/destroy", "/emergency", reason="Lost")
    assert "No label was struck off" in nothing
    wrong = sent(desk, "/emergency/answer", "/emergency", number="R26-999999-99", pad=made.numbers[0])
    assert "check digits do not fit" in wrong
    assert "Choose the letter" in sent(desk, "/emergency", "/emergency", what="draw_1:Z", count="20")
    assert "The plant has no station" in sent(desk, "/emergency", "/emergency", what="nowhere:R", count="20")
    assert spent(house) == []
    assert desk.client.get("/emergency/1/form.pdf").status_code == 404


def test_an_operator_sees_the_pads_but_makes_and_strikes_off_none(house: House) -> None:
    given(house)
    drawing = at(house, "draw_1")
    shows = drawing.client.get("/emergency").text
    assert "This label is on them" in shows
    assert "Set the numbers aside" not in shows
    assert "They are destroyed" not in shows


# ---- on both engines


def test_a_label_answers_and_a_form_is_entered_on_either_engine(database_url: str) -> None:
    with by_hand():
        house = a_house(database_url)
        rod = lay(house, "rod_55", 2_000_000)
        first, second, torn = pad(house, "R", 3)
        house.post(AnswerWithPad(rod, first), "operator")
        house.post(DestroyPadLabels((torn,), "Torn"), "supervisor")
        house.clock.forward(hours=5)
        page = at(house, "draw_1").on("catchup")
        ok(page.scan(second))
        page.answer("0730", "wire_25")
        ok(page.scan(rod))
        ok(page.scan("486"))
        assert house.ask(find_lot, second).amount == 486_000
        (given,) = house.ask(pads_given)
        assert [one.state for one in given.labels] == ["answered", "used", "destroyed"]
        assert verify(house.database).finding is None
        with house.reading() as connection:
            asked = plans_by_statement(connection, lambda: stands_for(connection, second))
            assert [read_whole(lines) for lines in asked.values()] == [[]]
        house.database.close()
