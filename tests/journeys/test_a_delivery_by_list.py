"""Does a whole delivery come in as its packing list says, all of it or nothing?"""

import re
from pathlib import Path

import pytest
from houses import House, a_house
from lotroot.errors import Question, Refused, Unknown, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.labelling.tables import print_job
from lotroot.ledger.book import events_naming, keep_file, kept_file
from lotroot.receiving.commands import DeliveryRow, ReceiveDelivery, ReceiveLot
from lotroot.receiving.dry_run import DryRun, Usual, delivery, dry_run
from lotroot.receiving.facts import DeliveryReceived
from lotroot.receiving.packing_list import read_list
from lotroot.receiving.receipts import latest_receipts, lots_of_delivery, source_of
from lotroot.voiding.handling import Void

ROD = Usual("rod_55")

LIST = """\
Nordhavn Staal;;;;
Packing list LF 77;;;;

Coil no.;Heat;Grade;Dimension;Net weight (kg)
0071;H1;C9D;5.5 mm;2015,5
0072;H1 + H2;C9D;5.5 mm;1.998,0
0073;H2;C9D;6.5 mm;2.003
Total;;;;6016,5
"""


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


def tried(house: House, text: str, usual: Usual = ROD) -> DryRun:
    run: DryRun = house.ask(dry_run, read_list(text.encode("cp1252")), "nordhavn", usual)
    return run


def faults(run: DryRun) -> list[tuple[int, str, str]]:
    return [(one.line, one.column, one.expected) for one in run.faults]


def test_a_delivery_comes_in_as_its_list_says_with_labels_in_list_order(house: House) -> None:
    with house.database.writing() as connection:
        digest = keep_file(connection, "LF 77.csv", "text/csv", LIST.encode("cp1252"))
    run = tried(house, LIST)
    assert run.clean
    assert [(one.becomes.product, one.known) for one in run.rows] == [
        ("rod_55", ()),
        ("rod_55", ()),
        ("rod_65", ()),  # its size tells it from the usual one
    ]
    command = delivery(run, "LF 77", order_number="PO 5", certificate="to follow", packing_list=digest)
    answer = house.post(command, "receiver", station=house.thing("station", "receiving"))
    assert answer.labels == answer.numbers == tuple(sorted(answer.numbers))
    rows = [house.ask(find_lot, lot) for lot in answer.numbers]
    assert [(row.amount, row.how) for row in rows] == [
        (2_015_500, "theirs"),
        (1_998_000, "theirs"),
        (2_003_000, "theirs"),
    ]
    sources = [house.ask(source_of, lot) for lot in answer.numbers]
    assert [(one.supplier_number, one.heats, one.delivery, one.order_number) for one in sources] == [
        ("0071", "H1", "LF 77", "PO 5"),
        ("0072", "H1; H2", "LF 77", "PO 5"),
        ("0073", "H2", "LF 77", "PO 5"),
    ]
    assert [row.lot for row in house.ask(lots_of_delivery, "nordhavn", "lf 77")] == list(answer.numbers)
    assert [job["number"] for job in house.rows(print_job)] == list(answer.numbers)
    (received,) = [
        one.event
        for one in house.ask(events_naming, answer.numbers[1])
        if isinstance(one.event, DeliveryReceived)
    ]
    assert house.ask(kept_file, received.packing_list).bytes == LIST.encode("cp1252")
    assert house.status() == house.rebuilt()


@pytest.mark.parametrize(
    ("product", "size", "found"),
    [
        ("rod_65", "", "rod_65"),
        ("Wire Rod 6.5 mm", "", "rod_65"),
        ("WIRE ROD", "6,5 mm", "rod_65"),
        ("5.5 mm", "", "rod_55"),
        ("something else", "", "rod_80"),  # the usual one
        ("", "", "rod_80"),
        ("", "6.5 mm", "rod_65"),
        ("", "3.80 mm", "rod_80"),  # drawn wire of that size is of another kind
    ],
)
def test_a_product_is_found_by_code_name_or_size_else_it_is_the_usual_one(
    house: House, product: str, size: str, found: str
) -> None:
    run = tried(house, f"Coil;Heat;Article;Size;kg\nA1;H1;{product};{size};12\n", Usual("rod_80"))
    assert [one.becomes.product for one in run.rows] == [found]


def test_what_the_plant_cannot_take_is_named_row_by_row(house: House) -> None:
    text = (
        "Coil;Heat;Article;Pieces;kg\n"
        "A1;;rod_55;;12\nA2;H1;box_25x50;;12\nA3;H1;mystery;;12\n"
        "A4;;lumber_2x4x12;;12\nA5;;lumber_2x4x12;294;12\n"
    )
    assert faults(tried(house, text, Usual())) == [
        (2, "Heat", "a heat, or: not on tag"),
        (3, "", "a product that is not kept by item or volume"),
        (4, "Article", "a product of this plant"),
        (5, "Pieces", "a number of pieces"),
    ]
    with pytest.raises(Unknown):
        tried(house, text, Usual("moon_rock"))


def test_what_no_column_tells_is_named_all_the_same_and_no_piece_weighs_more_than_a_truck(
    house: House,
) -> None:
    assert faults(tried(house, "Coil;kg\nA1;12\n", Usual())) == [
        (2, "Product: no such column", "a product of this plant")
    ]
    assert faults(tried(house, "Coil;kg\nA1;12\n")) == [(2, "Heat: no such column", "a heat, or: not on tag")]
    heavy = tried(house, "Coil;Heat;kg\nA1;H1;2000000\n").faults
    assert [(one.column, one.value.replace("\u202f", " ")) for one in heavy] == [("kg", "2 000 t")]


def test_one_heat_may_hold_for_all_rows_that_name_none(house: House) -> None:
    run = tried(house, "Coil;kg\nA1;12\nA2;13\n", Usual("rod_55", "not on tag"))
    lots = house.post(delivery(run, "LF 1"), "receiver").numbers
    assert {house.ask(source_of, lot).heats for lot in lots} == {"not on tag"}


def test_a_list_with_a_fault_is_not_received_at_all(house: House) -> None:
    run = tried(house, LIST.replace("2015,5", "about 2 t"))
    assert [fault.line for fault in run.faults] == [5]
    assert [one.becomes.mass_theirs for one in run.rows] == [0, 1_998_000, 2_003_000]
    with pytest.raises(Refused, match="nothing was received") as refused:
        delivery(run, "LF 77")
    assert refused.value.value == "row 5, Net weight (kg): about 2 t"


def test_a_total_that_its_rows_do_not_make_stops_the_list(house: House) -> None:
    run = tried(house, LIST.replace("6016,5", "8016,5"))
    assert not run.clean
    assert [fault.line for fault in run.faults] == [8]


@pytest.mark.parametrize(
    ("change", "error", "said"),
    [
        ({"product": "moon_rock"}, Unknown, "Line 2, B: "),
        ({"heats": ()}, Unreadable, "Line 2, B: .*lacks the heat"),
        ({"mass_theirs": 0}, Unreadable, "Line 2, B: .*was not told"),
        ({"mass_theirs": -1}, Unreadable, "Line 2, B: "),
        ({"items": 2}, Unreadable, "Line 2, B: "),
    ],
)
def test_one_bad_line_and_nothing_is_recorded(
    house: House, change: dict[str, object], error: type[Exception], said: str
) -> None:
    good = {"product": "rod_55", "supplier_number": "A", "heats": ("H1",), "mass_theirs": 5}
    bad = {**good, "supplier_number": "B", **change}
    command = ReceiveDelivery(
        supplier="nordhavn", delivery="LF 1", rows=(DeliveryRow(**good), DeliveryRow(**bad))
    )
    with pytest.raises(error) as refused:
        house.post(command, "receiver")
    assert re.match(said, refused.value.what)
    assert (house.ask(latest_receipts), house.rows(print_job)) == ([], [])


def test_numbers_received_before_are_shown_and_asked_about_once_for_all(house: House) -> None:
    before = house.post(
        ReceiveLot(
            product="rod_55", supplier="nordhavn", supplier_number="0072", heats=("H1",), amount=2_000_000
        ),
        "receiver",
    ).numbers[0]
    run = tried(house, LIST)
    assert [one.known for one in run.rows] == [(), (before,), ()]
    with pytest.raises(Question, match="0072 was received") as question:
        house.post(delivery(run, "LF 77"), "receiver")
    assert question.value.identifier == "received-already"
    answer = house.post(delivery(run, "LF 77"), "receiver", answers={"received-already": "another"})
    assert (len(answer.numbers), answer.verdict) == (3, "in_question")


def test_a_number_twice_in_a_delivery_is_asked_about(house: House) -> None:
    row = DeliveryRow(product="rod_55", supplier_number="A", heats=("H1",), mass_theirs=5)
    command = ReceiveDelivery(supplier="nordhavn", delivery="LF 1", rows=(row, row))
    with pytest.raises(Question, match="stands twice"):
        house.post(command, "receiver")


def test_each_line_that_was_weighed_here_is_asked_about_by_itself(house: House) -> None:
    rows = tuple(
        DeliveryRow(
            product="rod_55",
            supplier_number=str(place),
            heats=("H1",),
            mass_theirs=2_000_000,
            amount=1_900_000,
            how="weighed",
        )
        for place in (1, 2)
    )
    command = ReceiveDelivery(supplier="nordhavn", delivery="LF 1", rows=rows)
    with pytest.raises(Question) as question:
        house.post(command, "receiver", answers={"mass-differs-1": "ours"})
    assert question.value.identifier == "mass-differs-2"
    both = {"mass-differs-1": "ours", "mass-differs-2": "theirs"}
    lots = house.post(command, "receiver", answers=both).numbers
    assert [house.ask(find_lot, lot).amount for lot in lots] == [1_900_000, 2_000_000]


@pytest.mark.parametrize("count", [0, 301])
def test_a_delivery_has_lines_and_not_too_many(house: House, count: int) -> None:
    row = DeliveryRow(product="rod_55", supplier_number="", heats=("H1",), mass_theirs=5)
    with pytest.raises(Unreadable, match="in one go"):
        house.post(ReceiveDelivery(supplier="nordhavn", delivery="LF", rows=(row,) * count), "receiver")


def test_a_delivery_is_taken_back_in_one_act(house: House) -> None:
    answer = house.post(delivery(tried(house, LIST), "LF 77"), "receiver")
    house.post(Void(answer.posting), "receiver")
    assert house.ask(latest_receipts) == []
    assert len(house.post(delivery(tried(house, LIST), "LF 77"), "receiver").numbers) == 3
    assert house.status() == house.rebuilt()


def test_the_same_on_either_engine(database_url: str) -> None:
    house = a_house(database_url)
    answer = house.post(delivery(tried(house, LIST), "LF 77"), "receiver")
    assert [row.lot for row in house.ask(lots_of_delivery, "nordhavn", "LF 77")] == list(answer.numbers)
    assert house.status() == house.rebuilt()
    house.database.close()
