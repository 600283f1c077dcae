"""Is a label printed once, under its own number, or else said to have failed?"""

import io
import json
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import plants
import pytest
import zxingcpp
from goods_by_hand import AskLabel, LayDown, by_hand
from houses import House, a_house
from lotroot import worker
from lotroot.accounts.badges import badge_of
from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.identity import ItemNumber, number_from, read
from lotroot.labelling import outbox, printed
from lotroot.labelling.handling import PrintAgain, ProveLabel, RecordPrinted
from lotroot.labelling.rendering import Holder, LabelUnprintable, picture, pictures_pdf
from lotroot.labelling.tables import label, print_job
from lotroot.ledger.book import chain, events, events_naming
from lotroot.stock.tables import carrier
from PIL import Image
from sqlalchemy import update


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


def laid(house: House, product: str = "rod_55", amount: int = 2_040_500, **more: Any) -> str:
    place = house.thing("place", "coil_yard")
    return house.post(LayDown(product, amount, place, **more), "receiver").numbers[0]


def scanned(png: bytes) -> set[str]:
    """What any reader reads from a picture."""
    with Image.open(io.BytesIO(png)) as image:
        return {each.text for each in zxingcpp.read_barcodes(image.convert("L"))}


def outcomes(house: House, number: str) -> list[str]:
    """The kinds of all events about labels of a number, in order."""
    named = house.ask(events_naming, number)
    return [
        type(each.event).__name__
        for each in named
        if type(each.event).__module__ == "lotroot.labelling.facts"
    ]


def states(house: House) -> list[str]:
    return [job["state"] for job in house.rows(print_job)]


# ---------------------------------------------------------------- printing


def test_a_coil_gets_its_label_and_the_label_reads_as_its_number(house: House) -> None:
    number = laid(house, heat="4471902")
    assert worker.drain(house.door) == 1
    assert outcomes(house, number) == ["LabelPrinted"]
    [row] = house.ask(printed.tray)
    assert scanned(picture(row).png) == {number}
    assert states(house) == ["done"]
    [event] = [each.event for each in house.ask(events_naming, number) if hasattr(each.event, "symbols")]
    assert event.symbols == (number,)
    assert len(event.layout_hash) == 16
    assert event.fields["heat"] == "4471902"


def test_a_copy_says_so_to_people_and_to_readers(house: House) -> None:
    number = laid(house)
    house.post(PrintAgain(number, "torn in the yard"))
    worker.drain(house.door)
    assert outcomes(house, number) == ["LabelAsked", "LabelPrinted", "LabelPrinted"]
    row = house.ask(printed.labels_of, number)[-1]
    texts = scanned(picture(row).png)
    assert texts == {number, f"{number}K2"}
    assert {read(text).copy for text in texts} == {1, 2}


def test_forty_boxes_are_one_job_one_event_and_forty_labels(house: House) -> None:
    number = laid(house, "box_25x50", 1_000_000, items=40, source="")
    assert worker.drain(house.door) == 1
    assert outcomes(house, number) == ["LabelPrinted"]
    [row] = house.ask(printed.labels_of, number)
    assert (row.first, row.last) == (1, 40)
    wanted = [str(ItemNumber(number_from(number), serial)) for serial in range(1, 41)]
    assert [scanned(picture(row, serial).png) for serial in range(1, 41)] == [{text} for text in wanted]
    assert pictures_pdf(row).startswith(b"%PDF")


@pytest.mark.parametrize("kind", ["place", "station", "carrier"])
def test_things_and_carriers_get_labels_too(house: House, kind: str) -> None:
    pan = next(row["number"] for row in house.rows(carrier) if row["reusable"])
    codes = {"place": "coil_yard", "station": "draw_1"}
    number = pan if kind == "carrier" else house.thing(kind, codes[kind])
    house.post(PrintAgain(number, "new"))
    worker.drain(house.door)
    [row] = house.ask(printed.labels_of, number)
    assert scanned(picture(row).png) == {number}


@pytest.mark.parametrize(("letter", "layout"), [("D", "shipment"), ("U", "run")])
def test_shipments_and_runs_get_labels_too(house: House, letter: str, layout: str) -> None:
    number = house.post(AskLabel(letter)).numbers[0]
    worker.drain(house.door)
    [row] = house.ask(printed.labels_of, number)
    assert row.layout == layout
    assert scanned(picture(row).png) == {number}


def test_a_badge_is_printed_and_the_record_keeps_neither_its_code_nor_a_name(house: House) -> None:
    person = house.people["qa"]
    code = house.ask(badge_of, person)
    house.post(AskLabel(person))
    worker.drain(house.door)
    [row] = house.ask(printed.labels_of, person)
    assert scanned(picture(row, holder=Holder(code, "Mara Quill", ("qa",))).png) == {code}
    with pytest.raises(LabelUnprintable, match="badge"):
        picture(row)
    with house.reading() as connection:
        record = "".join(link.text for link in chain(connection))
    kept = repr([each.event for each in house.ask(events_naming, person)])
    kept += json.dumps(house.rows(print_job)) + json.dumps(house.rows(label))
    assert code not in record + kept
    assert "The qa" not in kept


def test_what_is_for_a_printer_waits_for_it_and_never_lies_in_the_tray(tmp_path: Path) -> None:
    old = 'wire = { name = "Wire shop printer" }'
    new = 'wire = { name = "Wire shop printer", address = "ipp://127.0.0.1/wire" }'
    assert old in plants.demo_text()
    with by_hand():
        house = a_house(tmp_path, plants.demo_text().replace(old, new))
        command = LayDown("wire_25", 1_000, house.thing("place", "coil_yard"), source="")
        house.post(command, station=house.thing("station", "draw_1"))
    assert worker.drain(house.door) == 0
    assert [(job["printer"], job["state"]) for job in house.rows(print_job)] == [("wire", "queued")]
    assert house.ask(printed.tray) == []


def test_labels_print_and_prove_themselves_on_both_engines(database_url: str) -> None:
    with by_hand():
        house = a_house(database_url)
        number = laid(house)
    house.post(PrintAgain(number, "torn"))
    worker.drain(house.door)
    house.post(ProveLabel(number, 2), "receiver")
    assert house.ask(printed.never_scanned, house.clock.at + 1) == []
    assert [row.copy for row in house.ask(printed.tray, 1)] == [2]
    assert house.ask(printed.failed_jobs) == house.ask(printed.waiting_jobs) == []
    assert house.status() == house.rebuilt()
    house.database.close()


# ---------------------------------------------------------------- failing


def test_a_name_no_font_can_show_fails_and_nothing_counts_as_printed(tmp_path: Path) -> None:
    text = plants.demo_text().replace('name = "Wire rod 5.5 mm', 'name = "钢 Wire rod 5.5 mm')
    assert "钢" in text
    with by_hand():
        house = a_house(tmp_path, text)
        number = laid(house)
    worker.drain(house.door)
    assert outcomes(house, number) == ["LabelFailed"]
    assert house.rows(label) == []
    [job] = house.ask(printed.failed_jobs)
    assert (job.state, job.number) == ("failed", number)
    assert "钢" in job.reason
    assert "U+94A2" in job.reason


def test_after_a_failure_the_next_try_is_still_the_first_copy(house: House) -> None:
    number = laid(house)
    with house.database.writing() as connection:
        connection.execute(update(print_job).values(layout="absent"))
    worker.drain(house.door)
    assert "absent" in house.ask(printed.failed_jobs)[0].reason
    house.post(PrintAgain(number, "it did not print"))
    worker.drain(house.door)
    assert [row.copy for row in house.ask(printed.labels_of, number)] == [1]
    assert house.ask(printed.failed_jobs) == [], "made up for"


def test_words_that_only_describe_give_way_before_a_label_fails(tmp_path: Path) -> None:
    long = "Drawing machine 1 in the long hall behind the old furnace, left of the two"
    with by_hand():
        house = a_house(tmp_path, plants.demo_text().replace('"Drawing machine 1"', f'"{long}"'))
        command = LayDown("wire_25", 1_000, house.thing("place", "coil_yard"), source="")
        number = house.post(command, station=house.thing("station", "draw_1")).numbers[0]
    worker.drain(house.door)
    assert outcomes(house, number) == ["LabelPrinted"]


# ---------------------------------------------------------------- crashing, racing


def test_what_was_being_printed_at_a_crash_is_printed_once_at_the_next_start(house: House) -> None:
    number = laid(house)
    with house.database.writing() as connection:
        claimed = outbox.claim(connection)
    assert claimed is not None
    assert (claimed.state, claimed.attempts) == ("sending", 1)
    assert worker.drain(house.door) == 0, "nobody else takes what is being printed"
    with house.database.writing() as connection:
        outbox.mark_interrupted(connection)
    assert states(house) == ["asking"]
    assert worker.recover(house.door) == 1
    worker.drain(house.door)
    assert outcomes(house, number) == ["LabelPrinted"]
    with pytest.raises(Refused, match="done"):
        house.post(RecordPrinted(claimed.id, 1, "0" * 64, (number,)), "")


def test_a_job_that_stopped_the_program_three_times_fails(house: House) -> None:
    number = laid(house)
    for _ in range(worker.MOST_ATTEMPTS):
        with house.database.writing() as connection:
            outbox.claim(connection)
        worker.recover(house.door)
    assert states(house) == ["failed"]
    assert outcomes(house, number) == ["LabelFailed"]


def test_two_workers_print_nothing_twice(house: House) -> None:
    numbers = [laid(house) for _ in range(12)]
    workers = [worker.Worker(house.door), worker.Worker(house.door)]
    finished = threading.Event()
    house.door.on_commit.append(lambda: finished.set() if set(states(house)) == {"done"} else None)
    for one in workers:
        one.start()
    assert finished.wait(60)
    for one in workers:
        one.stop()
        assert one.trouble == ""
    assert [outcomes(house, number) for number in numbers] == [["LabelPrinted"]] * 12


def test_a_worker_wakes_when_something_is_posted(house: House) -> None:
    at_work = worker.Worker(house.door)
    printed_one = threading.Event()
    house.door.on_commit.append(lambda: printed_one.set() if house.rows(label) else None)
    at_work.start()
    try:
        laid(house)
        assert printed_one.wait(60)
        assert at_work.alive
    finally:
        at_work.stop()
    assert not at_work.alive


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_job_that_breaks_the_worker_does_not_stop_the_others(house: House) -> None:
    bad = laid(house)
    with house.database.writing() as connection:
        connection.execute(update(print_job).values(fields="{"))
    at_work = worker.Worker(house.door)
    at_work.start()
    done = threading.Event()
    house.door.on_commit.append(lambda: done.set() if house.rows(label) else None)
    good = [laid(house)]
    for _ in range(20):
        if done.wait(1):
            break
        good.append(laid(house))
    at_work.stop()
    worker.recover(house.door)
    worker.drain(house.door)
    assert outcomes(house, bad) == ["LabelFailed"]
    assert [outcomes(house, number) for number in good] == [["LabelPrinted"]] * len(good)


# ---------------------------------------------------------------- proving


def test_the_first_scan_on_the_goods_proves_a_label_later_ones_record_nothing(house: House) -> None:
    number = laid(house)
    worker.drain(house.door)
    house.clock.forward(hours=2)
    assert [row.number for row in house.ask(printed.never_scanned, house.clock.at)] == [number]
    house.post(ProveLabel(number), "receiver")
    assert house.ask(printed.never_scanned, house.clock.at) == []
    before = sum(1 for _ in house.ask(lambda connection: list(events(connection))))
    with pytest.raises(Refused, match="already, 2 Nov 2026 08:0") as refusal:
        house.post(ProveLabel(number), "receiver")
    assert refusal.value.word == "already"
    assert sum(1 for _ in house.ask(lambda connection: list(events(connection)))) == before


def test_a_block_is_proved_by_any_one_of_its_labels(house: House) -> None:
    number = laid(house, "box_25x50", 1_000_000, items=40, source="")
    worker.drain(house.door)
    house.post(ProveLabel(str(ItemNumber(number_from(number), 17))), "operator")
    with pytest.raises(Refused):
        house.post(ProveLabel(str(ItemNumber(number_from(number), 18))), "operator")
    assert house.ask(printed.label_scanned, str(ItemNumber(number_from(number), 40))).proved


def test_a_label_nobody_printed_cannot_be_proved(house: House) -> None:
    number = laid(house)
    with pytest.raises(Unknown, match="copy 1"):
        house.post(ProveLabel(number), "receiver")


def test_of_a_copy_and_its_original_only_the_copy_is_missed(house: House) -> None:
    number = laid(house)
    house.post(PrintAgain(number, "torn"))
    worker.drain(house.door)
    missed = house.ask(printed.never_scanned, house.clock.at + 1)
    assert [(row.number, row.copy) for row in missed] == [(number, 2)]


# ---------------------------------------------------------------- asking again


@pytest.mark.parametrize(
    ("first", "last", "error"),
    [(0, 41, Unreadable), (41, 41, Unreadable), (7, 3, Unreadable), (3, 7, None)],
)
def test_only_items_that_exist_are_printed_again(
    house: House, first: int, last: int, error: type[Exception] | None
) -> None:
    number = laid(house, "box_25x50", 1_000_000, items=40, source="")
    command = PrintAgain(number, "spoiled", first, last)
    if error is not None:
        with pytest.raises(error, match="Items 1 to 40"):
            house.post(command)
        return
    assert "items 3 to 7, is printed as copy 2" in house.post(command).say


def test_one_item_is_printed_again_by_its_own_number(house: House) -> None:
    number = laid(house, "box_25x50", 1_000_000, items=40, source="")
    item = str(ItemNumber(number_from(number), 17))
    house.post(PrintAgain(item, "spoiled"))
    worker.drain(house.door)
    row = house.ask(printed.labels_of, number)[-1]
    assert (row.first, row.last, row.copy) == (17, 17, 2)
    assert scanned(picture(row, 17).png) == {item, f"{item}K2"}


def test_what_cannot_be_printed_again_is_refused_in_words(house: House) -> None:
    number = laid(house)
    with pytest.raises(Unreadable, match="needs a reason"):
        house.post(PrintAgain(number, " "))
    with pytest.raises(Unknown, match="Nothing with the number"):
        house.post(PrintAgain(str(number_from("R2600012383")), "torn"))
    with pytest.raises(Refused, match="badge"):
        house.post(PrintAgain(house.people["qa"], "lost"))
