"""Does a printer's trouble reach the people who stand beside the goods, and their word the printer?"""

import dataclasses
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from goods_by_hand import LayDown, by_hand
from houses import House, a_house
from lotroot import worker
from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.identity import Command
from lotroot.labelling import outbox, printed
from lotroot.labelling.equipping import PrintAt, SetPrinter, TryPrinter
from lotroot.labelling.handling import PrintAgain, ProveLabel
from lotroot.labelling.printers import PRINT_ALONE, after, printer_at, printers, seen
from lotroot.labelling.settling import DropLabel, PrintNow, SayPrinted, SendElsewhere
from lotroot.labelling.tables import label, print_job
from lotroot.labelling.waiting import next_for_a_word, open_jobs, proofs, unlabelled_at
from lotroot.pads.handling import AnswerWithPad
from lotroot.receiving.commands import ReserveNumbers
from lotroot.worker.lane import Lane
from printers_at_hand import free_port
from query_plans import plans, read_whole
from terminals import Terminal

NOBODY = f"ipp://localhost:{free_port()}/ipp/print"
"""An address that nobody answers at."""


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        house = a_house(tmp_path)
        house.post(SetPrinter("wire", "Wire shop printer", NOBODY, stock="Tag 100 x 70, resin ribbon"))
        yield house


def made(house: House, count: int = 1) -> list[str]:
    """Rolls of wire made at the first drawing machine, their labels queued."""
    yard, station = house.thing("place", "coil_yard"), house.thing("station", "draw_1")
    command = LayDown("wire_25", 486_500, yard, source="")
    return [house.post(command, station=station).numbers[0] for _ in range(count)]


def step(house: House, times: int = 1) -> Lane:
    """The printer's lane, some steps on."""
    lane = Lane(house.door, "wire")
    for _ in range(times):
        lane.step()
    return lane


def states(house: House) -> list[str]:
    return [job["state"] for job in house.rows(print_job)]


def as_state(house: House, state: str, **more: object) -> None:
    """Every job in a state, as a printer's silence would leave it."""
    with house.database.writing() as connection:
        connection.execute(print_job.update().values(state=state, **more))


# ---------------------------------------------------------------- printers


def test_what_is_set_goes_before_plant_toml_and_a_new_printer_gets_a_number(house: House) -> None:
    assert house.ask(printers)["wire"].address == NOBODY
    assert house.ask(printers)["gate"].address == ""
    house.post(SetPrinter("dock_2", "Dock printer 2", "ipp://10.0.0.9"))
    known = house.ask(printers)
    assert (known["dock_2"].name, known["dock_2"].address) == (
        "Dock printer 2",
        "ipp://10.0.0.9:631/ipp/print",
    )
    assert house.thing("printer", "dock_2").startswith("T")
    assert house.status() == house.rebuilt()


def test_a_station_prints_where_it_is_told_to(house: House) -> None:
    station = house.thing("station", "draw_1")
    assert house.ask(printer_at, station) == "wire"
    house.post(PrintAt(station, "gate"))
    assert house.ask(printer_at, station) == "", "the gate printer has no address: the label tray"
    house.post(SetPrinter("gate", "Gate printer", "ipp://10.0.0.7/ipp/print"))
    assert house.ask(printer_at, station) == "gate"


def test_who_takes_over_is_who_is_set_else_the_next_with_an_address(house: House) -> None:
    assert house.ask(after, "wire") is None
    for code in ("gate", "sheet", "pack"):
        house.post(SetPrinter(code, f"Printer {code}", "ipp://10.0.0.7/ipp/print"))
    assert house.ask(after, "gate").code == "wire"
    assert house.ask(after, "wire").code == "pack", "in the order of plant.toml"
    assert house.ask(after, "sheet").code == "gate"
    house.post(SetPrinter("wire", "Wire shop printer", NOBODY, instead="sheet"))
    assert house.ask(after, "wire").code == "sheet"


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"code": "Wire!"}, "code"),
        ({"name": " "}, "name"),
        ({"address": "10.0.0.17"}, "ipp://"),
        ({"dpi": 150}, "203, 300 or 600"),
        ({"across": 1001}, "10 mm"),
        ({"instead": "wire"}, "Another printer"),
        ({"instead": "nobody"}, "Another printer"),
        ({"certificate": "abc"}, "64 digits"),
    ],
)
def test_a_printer_set_wrongly_is_refused_and_stays_as_it_was(
    house: House, wrong: dict[str, Any], says: str
) -> None:
    before = house.ask(printers)
    with pytest.raises(Unreadable, match=says):
        house.post(dataclasses.replace(SetPrinter("wire", "Wire shop printer", NOBODY), **wrong))
    assert house.ask(printers) == before


def test_setting_it_as_it_is_and_trying_one_without_address_are_refused(house: House) -> None:
    with pytest.raises(Refused, match="already"):
        house.post(SetPrinter("wire", "Wire shop printer", NOBODY, stock="Tag 100 x 70, resin ribbon"))
    with pytest.raises(Refused, match="no address"):
        house.post(TryPrinter("gate"))
    with pytest.raises(Unknown, match="no printer"):
        house.post(TryPrinter("nobody"))


# ---------------------------------------------------------------- the lane of a printer nobody answers at


def test_a_silent_printer_keeps_its_labels_waiting_and_says_so(house: House) -> None:
    made(house, 2)
    lane = step(house)
    assert "does not answer" in lane.trouble
    assert "does not answer" in house.ask(seen)["wire"].trouble
    assert states(house) == ["queued", "queued"]


def test_what_has_waited_too_long_waits_for_somebody_s_word(house: House) -> None:
    [first] = made(house)
    house.clock.forward(minutes=PRINT_ALONE - 1)
    step(house)
    assert states(house) == ["queued"]
    house.clock.forward(minutes=1)
    [second] = made(house)
    step(house)
    assert states(house) == ["late", "queued"]
    house.post(PrintNow(1), "operator")
    assert states(house) == ["queued", "queued"]
    step(house)
    assert states(house) == ["queued", "queued"], "it is fresh again"
    assert first != second


def test_the_tray_lays_nothing_aside(house: House) -> None:
    house.post(SetPrinter("wire", "Wire shop printer"))
    made(house)
    house.clock.forward(hours=5)
    assert worker.drain(house.door) == 1
    assert states(house) == ["done"]


# ---------------------------------------------------------------- somebody's word


def test_an_unknown_label_is_there_or_comes_again_as_a_copy_or_is_left_out(house: House) -> None:
    here, again, gone = made(house, 3)
    as_state(house, "unknown", attempts=1, claimed=1)
    house.post(SayPrinted(1), "operator")
    house.post(PrintNow(2), "operator")
    house.post(DropLabel(3, "The goods are gone"), "operator")
    assert states(house) == ["done", "cancelled", "cancelled", "queued"]
    assert [(row["number"], row["copy"]) for row in house.rows(print_job)][-1] == (again, 2)
    assert [row["number"] for row in house.rows(label)] == [here]
    assert house.ask(printed.next_copy, gone) == 2, "it may have come out"


def test_a_label_that_never_came_out_leaves_its_copy_free(house: House) -> None:
    [number] = made(house)
    as_state(house, "failed", attempts=1)
    house.post(PrintNow(1), "operator")
    assert [row["copy"] for row in house.rows(print_job) if row["number"] == number] == [1, 1]
    assert states(house) == ["cancelled", "queued"]


def test_what_is_done_or_on_its_way_is_not_printed_on_a_word(house: House) -> None:
    made(house)
    for state, says in (("done", "is printed"), ("sent", "being printed"), ("cancelled", "left out")):
        as_state(house, state)
        for command in (PrintNow(1), SendElsewhere(1), DropLabel(1, "why")):
            with pytest.raises(Refused, match=says):
                house.post(command, "operator")
    with pytest.raises(Unknown, match="no print job"):
        house.post(PrintNow(77), "operator")


def test_leaving_out_takes_a_reason_and_the_next_printer_must_be_there(house: House) -> None:
    made(house)
    with pytest.raises(Refused, match="reason"):
        house.post(DropLabel(1, "  "), "operator")
    with pytest.raises(Refused, match="no other printer"):
        house.post(SendElsewhere(1), "operator")
    assert states(house) == ["queued"]


def test_goods_that_got_a_label_from_the_pad_wait_for_no_other(house: House) -> None:
    first, second = made(house, 2)
    as_state(house, "late")
    reserved = house.post(ReserveNumbers(letter="R", count=5)).numbers[0]
    said = house.post(AnswerWithPad(first, reserved), "operator").say
    assert said.endswith("1 waiting label is left out.")
    assert states(house) == ["cancelled", "late"]
    assert house.rows(print_job)[1]["number"] == second
    assert house.status() == house.rebuilt()


def test_the_scan_of_a_doubted_copy_proves_that_copy_alone(house: House) -> None:
    [number] = made(house)
    as_state(house, "unknown", attempts=1, claimed=1)
    with pytest.raises(Unknown, match="copy 2"):
        house.post(ProveLabel(number, 2), "operator")
    house.post(ProveLabel(number), "operator")
    assert states(house) == ["done"]
    with pytest.raises(Refused, match="already"):
        house.post(ProveLabel(number), "operator")


def test_a_job_is_open_in_every_state_but_the_three_that_end_it() -> None:
    assert set(outbox.OPEN) == {"queued", "sending", "sent", "asking", "unknown", "late"}


# ---------------------------------------------------------------- how a printer's labels fare


def test_labels_never_scanned_and_those_that_do_not_scan_are_counted_by_printer(house: House) -> None:
    house.post(SetPrinter("wire", "Wire shop printer"))
    good, bad, lost = made(house, 3)
    worker.drain(house.door)
    house.post(ProveLabel(good), "operator")
    house.post(PrintAgain(bad, "Does not scan"), "operator")
    house.post(PrintAgain(lost, "Lost"), "operator")
    fared = house.ask(proofs, 0, house.clock.at + 1)[""]
    assert (fared.printed, fared.unscanned, fared.unreadable) == (3, 2, 1)
    house.clock.forward(hours=3)
    at = Terminal(house).at("draw_1")
    at.badge("supervisor")
    page = at.client.get("/morning").text.partition("Labels nobody has scanned yet")[2]
    rows = page.partition("</table>")[0]
    assert "Label tray" in rows
    assert "did not scan" in rows
    assert house.status() == house.rebuilt()


@pytest.mark.parametrize(
    "ask",
    [
        lambda connection: unlabelled_at(connection, "T2600000742", 10**18),
        lambda connection: next_for_a_word(connection, "T2600000742"),
        open_jobs,
        printed.failed_jobs,
        outbox.lanes,
        lambda connection: outbox.under_way(connection, "wire"),
    ],
    ids=["at a station", "for a word", "everywhere", "failed", "lanes", "under way"],
)
def test_what_waits_is_found_among_all_labels_ever_made_by_its_state(house: House, ask: Any) -> None:
    with house.reading() as connection:
        steps = plans(connection, lambda: ask(connection))
    assert read_whole(steps) == []
    assert [step for step in steps if "after" in step and "ix_print_job_number" not in step] == []


# ---------------------------------------------------------------- at the station, and at a desk


def terminal(house: House) -> Terminal:
    one = Terminal(house).at("draw_1")
    one.badge("operator")
    return one


def test_the_station_says_which_goods_stand_without_a_label_and_why(house: House) -> None:
    at = terminal(house)
    [number] = made(house)
    step(house)
    assert 'id="labels-waiting"' in at.client.get("/labels-waiting").text
    assert "hidden" in at.client.get("/labels-waiting").text, "ten seconds are no trouble"
    house.clock.forward(minutes=1)
    shown = at.client.get("/labels-waiting").text
    assert "1 label has not come out." in shown
    assert "Wire shop printer does not answer. Look whether it is on" in shown
    assert "486.5" in shown
    assert at.scan("HELP")["fragments"]["labels-waiting"].strip() == shown.strip()
    station = house.thing("station", "draw_1")
    assert [job.number for job in house.ask(unlabelled_at, station, house.clock.at)] == [number]


def test_print_again_prints_what_waits_first_and_elsewhere_sends_it_on(house: House) -> None:
    house.post(SetPrinter("pack", "Packing printer", NOBODY))
    at = terminal(house)
    first, second = made(house, 2)
    house.clock.forward(minutes=PRINT_ALONE + 1)
    step(house)
    assert states(house) == ["late", "late"]
    assert "is printed at Wire shop printer" in at.scan(Command.PRINT_AGAIN.code)["say"]
    assert states(house) == ["queued", "late"]
    house.clock.forward(minutes=1)
    said = at.scan(Command.ELSEWHERE.code)["say"]
    assert "Packing printer" in said
    assert house.rows(print_job)[0]["printer"] == "pack"
    assert first in str(house.rows(print_job)[0]["number"])
    assert house.rows(print_job)[1]["number"] == second


def test_goods_are_relabelled_by_scanning_the_old_label_and_print_again(house: House) -> None:
    house.post(SetPrinter("wire", "Wire shop printer"))
    first, second = made(house, 2)
    worker.drain(house.door)
    at = terminal(house)
    page = at.client.get(f"/lots/{second}").text
    assert f'data-context="{{&#34;shown&#34;: &#34;{second}&#34;}}"' in page
    at.on("find").context = {"shown": second}
    assert "copy 2" in at.scan(Command.PRINT_AGAIN.code)["say"]
    worker.drain(house.door)
    assert [(row["number"], row["copy"]) for row in house.rows(label)] == [
        (first, 1),
        (second, 1),
        (second, 2),
    ]
    assert [(row.number, row.copy) for row in house.ask(printed.to_destroy, 0)] == [(second, 1)]


def test_elsewhere_with_nothing_waiting_says_so(house: House) -> None:
    at = terminal(house)
    answer = at.scan(Command.ELSEWHERE.code)
    assert (answer["verdict"], answer["say"]) == ("refused", "No label waits here.")


def test_the_queue_s_page_takes_every_word(house: House) -> None:
    house.post(SetPrinter("pack", "Packing printer", NOBODY))
    at = terminal(house)
    numbers = made(house, 4)
    as_state(house, "unknown", attempts=1, claimed=1, reason="It was given up at the printer.")
    page = at.client.get("/queue").text
    assert "Every label has come out" not in page
    words = ("Was it printed? Scan it", "given up at the printer", "486.5", "Print it at Packing printer")
    assert [one for one in words if one not in page] == []
    said = [("printed", ""), ("print", ""), ("elsewhere", ""), ("drop", "The goods are gone")]
    for job, (act, reason) in enumerate(said, start=1):
        answer = at.post(f"/queue/{job}/{act}", key=f"queue-key-{job:012d}", reason=reason)
        assert answer.status_code == 303, answer.text
    assert states(house) == ["done", "cancelled", "cancelled", "cancelled", "queued", "queued"]
    again = house.rows(print_job)[4:]
    assert [(job["number"], job["copy"], job["printer"]) for job in again] == [
        (numbers[1], 2, "wire"),
        (numbers[2], 2, "pack"),
    ]
    assert at.client.get(f"/queue?station={house.thing('station', 'draw_1')}").status_code == 200


def test_a_printer_is_added_set_and_given_to_a_station_by_form(house: House) -> None:
    at = Terminal(house).at("draw_1")
    at.badge("administrator")
    page = at.client.get("/printers").text
    assert "Wire shop printer" in page
    assert "Tag 100 x 70, resin ribbon" in page
    form = {"name": "Dock printer 2", "location": "ipp://10.0.0.9/ipp/print", "across": "1,5"}
    answer = at.post("/printers", key="printers-key-00001", along="-0.25", **form)
    assert answer.status_code == 303, answer.text
    found = house.ask(printers)["dock_printer_2"]
    assert (found.across, found.along) == (150, -25)
    assert 'value="1.5"' in at.client.get("/printers").text
    station = house.thing("station", "draw_1")
    at.post(f"/printers/stations/{station}", key="printers-key-00002", printer="dock_printer_2")
    assert house.ask(printer_at, station) == "dock_printer_2"
    assert at.post("/printers/dock_printer_2/try", key="printers-key-00003").status_code == 303
    assert house.rows(print_job)[-1]["printer"] == "dock_printer_2"
