"""Does a real printer, whatever befalls it, end with exactly the labels that were due?

Against `ippeveprinter`: what came out are the files that its command was done with.
"""

import multiprocessing
import os
import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from goods_by_hand import by_hand
from houses import a_house
from killable import print_for_ever
from lotroot.house import open_house
from lotroot.labelling import printed
from lotroot.labelling.device import Device, job_name
from lotroot.labelling.equipping import PrintAt, SetPrinter, TryPrinter
from lotroot.labelling.handling import PrintAgain, ProveLabel
from lotroot.labelling.printers import find_printer, seen
from lotroot.labelling.settling import DropLabel, PrintNow, SayPrinted, SendElsewhere
from lotroot.labelling.tables import label, print_job
from lotroot.ledger.book import events_naming
from lotroot.posting.door import Door
from lotroot.worker import Worker
from lotroot_printing import ipp
from printers_at_hand import PaperPrinter, a_printer, free_port, until
from printing_plant import MICROSECONDS, PrintingPlant, TrueClock, once
from proxies import Proxy, a_proxy


@pytest.fixture
def printer(tmp_path: Path) -> Iterator[PaperPrinter]:
    tmp_path.chmod(0o755)
    with a_printer(tmp_path / "printer") as one:
        yield one


@pytest.fixture
def plant(tmp_path: Path, printer: PaperPrinter) -> Iterator[PrintingPlant]:
    with by_hand():
        house, clock = a_house(tmp_path), TrueClock()
        house.door = Door(house.database, clock)
        house.post(SetPrinter("wire", "Wire shop printer", printer.address))
        plant = PrintingPlant(house, clock, printer, Worker(house.door))
        plant.worker.start()
        yield plant
        plant.worker.stop()
    house.database.close()


# ---------------------------------------------------------------- when all is well


def test_every_label_comes_out_once_in_order_and_the_record_says_where(plant: PrintingPlant) -> None:
    numbers = plant.made(5)
    plant.settled()
    assert plant.printer.printed() == once(numbers)
    rows = plant.house.rows(label)
    assert [(row["number"], row["printer"]) for row in rows] == [(number, "wire") for number in numbers]
    [event] = [
        each.event for each in plant.house.ask(events_naming, numbers[0]) if hasattr(each.event, "symbols")
    ]
    assert event.symbols == (numbers[0],)


@pytest.mark.in_ci
def test_a_block_of_boxes_is_one_job_of_as_many_pages(plant: PrintingPlant) -> None:
    [lot] = plant.made(items=12)
    plant.settled()
    assert len(plant.printer.names()) == 1
    texts = [text for page in plant.printer.printed() for text in page]
    assert len(texts) == len(set(texts)) == 12
    assert all(text.startswith(lot[:11]) for text in texts)


@pytest.mark.in_ci
def test_the_printer_is_drawn_for_at_its_own_resolution(plant: PrintingPlant) -> None:
    plant.made()
    plant.settled()
    row = plant.house.ask(seen)["wire"]
    assert row.resolutions == "300, 600"
    document = next(plant.printer.folder.glob("out/*")).read_bytes()
    assert document.startswith(b"RaS2")
    assert int.from_bytes(document[4 + 276 : 4 + 280], "big") == 300


@pytest.mark.in_ci
def test_a_printer_that_takes_only_pdf_or_png_gets_that(tmp_path: Path, plant: PrintingPlant) -> None:
    for formats, begins in (("application/pdf", b"%PDF"), ("image/png", b"\x89PNG")):
        folder = tmp_path / begins[1:].decode()
        with a_printer(folder, formats=formats) as other:
            plant.house.post(SetPrinter("wire", "Wire shop printer", other.address))
            plant.made()
            plant.settled()
            [path] = (folder / "out").iterdir()
            assert path.read_bytes().startswith(begins)


@pytest.mark.in_ci
def test_the_test_label_and_a_copy_come_out_too(plant: PrintingPlant) -> None:
    plant.house.post(TryPrinter("wire"))
    [number] = plant.made()
    plant.settled()
    plant.house.post(PrintAgain(number, "torn"), station=plant.house.thing("station", "draw_1"))
    plant.settled()
    thing = plant.house.thing("printer", "wire")
    assert plant.printer.printed() == [{thing}, {number}, {number, f"{number}K2"}]


@pytest.mark.in_ci
def test_over_tls_the_printer_is_known_by_its_certificate_alone(plant: PrintingPlant) -> None:
    address = plant.printer.address.replace("ipp:", "ipps:")
    plant.house.post(SetPrinter("wire", "Wire shop printer", address))
    plant.restart()
    [number] = plant.made()
    until(lambda: "Compare its fingerprint" in plant.trouble(), plant.trouble)
    assert plant.states() == ["queued"]
    shown = Device(plant.house.ask(find_printer, "wire")).fingerprint()
    wrong = shown[::-1]
    plant.house.post(SetPrinter("wire", "Wire shop printer", address, certificate=wrong))
    plant.restart()
    until(lambda: "does not answer" in plant.trouble(), plant.trouble)
    assert plant.printer.printed() == []
    plant.house.post(SetPrinter("wire", "Wire shop printer", address, certificate=shown))
    plant.settled()
    assert plant.printer.printed() == once([number])


@pytest.mark.in_ci
def test_an_offset_moves_the_label_and_never_cuts_it(plant: PrintingPlant) -> None:
    address = plant.printer.address
    plant.house.post(SetPrinter("wire", "Wire shop printer", address, across=50, along=-25))
    [number] = plant.made()
    plant.settled()
    assert plant.printer.printed() == once([number])
    plant.house.post(SetPrinter("wire", "Wire shop printer", address, across=1000))
    plant.made()
    plant.settled("failed")
    assert "it would lose its edge" in plant.house.rows(print_job)[-1]["reason"]


# ---------------------------------------------------------------- when the printer is in trouble


@pytest.mark.in_ci
def test_out_of_paper_nothing_more_is_sent_and_after_it_all_come_out_once(
    plant: PrintingPlant,
) -> None:
    plant.printer.mode("paper")
    numbers = plant.made(4)
    until(lambda: plant.trouble() == "is out of labels", "the printer to say so")
    assert plant.printer.printed() == []
    assert plant.states().count("queued") == 3
    plant.printer.mode("normal")
    plant.settled()
    assert plant.printer.printed() == once(numbers)
    until(lambda: plant.trouble() == "", "the trouble to be over")


@pytest.mark.in_ci
def test_a_job_the_printer_gives_up_is_asked_about_and_printed_again_as_a_copy(plant: PrintingPlant) -> None:
    plant.printer.mode("abort")
    [first] = plant.made()
    plant.settled("unknown")
    plant.printer.mode("normal")
    [second] = plant.made()
    plant.settled("unknown")
    [job] = plant.jobs("unknown")
    assert "given up" in plant.house.rows(print_job)[0]["reason"]
    plant.house.post(PrintNow(job), "operator")
    plant.settled()
    assert plant.printer.printed() == [{second}, {first, f"{first}K2"}]


@pytest.mark.in_ci
def test_a_busy_printer_is_waited_for(plant: PrintingPlant) -> None:
    plant.printer.mode("slow")
    numbers = plant.made(3)
    plant.settled()
    assert plant.printer.printed() == once(numbers)


@pytest.mark.in_ci
def test_a_printer_killed_over_a_job_and_started_anew_leaves_a_question_not_a_second_label(
    plant: PrintingPlant,
) -> None:
    plant.printer.mode("stuck")
    [first] = plant.made()
    until(lambda: plant.states() == ["sent"], "the job to be taken")
    plant.printer.stop()
    until(lambda: "does not answer" in plant.trouble(), "the printer to be missed")
    [second] = plant.made()
    plant.printer.mode("normal")
    plant.printer.start()
    plant.settled("unknown")
    assert plant.states() == ["unknown", "done"]
    assert {second} in plant.printer.printed()
    [job] = plant.jobs("unknown")
    plant.house.post(SayPrinted(job), "operator")
    assert plant.states() == ["done", "done"]
    assert [row["number"] for row in plant.house.rows(label)] == [second, first]


@pytest.mark.in_ci
def test_a_label_of_which_nobody_knows_is_proved_by_its_scan(plant: PrintingPlant) -> None:
    plant.printer.mode("abort")
    [number] = plant.made()
    plant.settled("unknown")
    plant.house.post(ProveLabel(number), "operator")
    assert plant.states() == ["done"]
    assert plant.house.rows(label)[0]["proved"] is not None


@pytest.mark.in_ci
def test_two_printers_do_not_wait_for_each_other(tmp_path: Path, plant: PrintingPlant) -> None:
    plant.printer.mode("paper")
    plant.made()
    until(lambda: plant.trouble() == "is out of labels", "the printer to say so")
    with a_printer(tmp_path / "other") as other:
        plant.house.post(SetPrinter("pack", "Packing printer", other.address))
        plant.house.post(PrintAt(plant.house.thing("station", "draw_1"), "pack"))
        [number] = plant.made()
        until(lambda: plant.states() == ["sent", "done"], plant.states)
        assert other.printed() == once([number])
    plant.printer.mode("normal")
    plant.settled()


@pytest.mark.in_ci
def test_a_waiting_label_goes_to_the_next_printer_on_one_word(tmp_path: Path, plant: PrintingPlant) -> None:
    plant.printer.mode("paper")
    stuck, waiting = plant.made(2)
    until(lambda: plant.trouble() == "is out of labels", "the printer to say so")
    with a_printer(tmp_path / "other") as other:
        plant.house.post(SetPrinter("pack", "Packing printer", other.address))
        [job] = plant.jobs("queued")
        plant.house.post(SendElsewhere(job), "operator")
        until(lambda: plant.states() == ["sent", "done"], plant.states)
        assert other.printed() == once([waiting])
    plant.printer.mode("normal")
    plant.settled()
    assert plant.printer.printed() == once([stuck])


# ---------------------------------------------------------------- when an answer, or the program, is lost


@pytest.fixture
def proxy(plant: PrintingPlant) -> Iterator[Proxy]:
    """The printer's cable, which may lose the answers to Print-Job."""
    with a_proxy(plant.printer.port) as one:
        plant.house.post(SetPrinter("wire", "Wire shop printer", one.address))
        plant.restart()
        yield one


def test_an_answer_lost_after_the_job_was_taken_doubles_nothing(plant: PrintingPlant, proxy: Proxy) -> None:
    proxy.lose = 3
    numbers = plant.made(3)
    plant.settled()
    assert proxy.lose == 0
    assert plant.printer.printed() == once(numbers)
    assert len(list((plant.printer.folder / "spool").glob("*.pwg"))) == 3


@pytest.mark.in_ci
def test_a_cable_pulled_before_the_job_was_taken_loses_nothing(plant: PrintingPlant, proxy: Proxy) -> None:
    proxy.swallow = 1
    numbers = plant.made(2)
    plant.settled()
    assert plant.printer.printed() == once(numbers)


def test_killed_between_the_printer_s_yes_and_the_record_the_program_prints_nothing_twice(
    plant: PrintingPlant, proxy: Proxy
) -> None:
    plant.worker.stop()
    numbers = plant.made(3)
    plant.house.database.close()
    proxy.hold = True
    context = multiprocessing.get_context("spawn")
    mine, theirs = context.Pipe()
    program = context.Process(target=print_for_ever, args=(plant.house.database.url, theirs))
    program.start()
    until(lambda: proxy.held, "the printer's yes, held back")
    os.kill(program.pid or 0, signal.SIGKILL)
    program.join()
    mine.close()
    proxy.hold = False
    database = open_house(plant.house.database.url)
    plant.house.door = Door(database, plant.clock)
    assert plant.states() == ["sending", "queued", "queued"]
    plant.worker = Worker(plant.house.door)
    plant.worker.start()
    plant.settled()
    assert plant.printer.printed() == once(numbers)


@pytest.mark.in_ci
def test_found_too_late_to_be_remembered_a_person_is_asked(plant: PrintingPlant) -> None:
    plant.printer.stop()
    [number] = plant.made()
    with plant.house.database.writing() as connection:
        values = {"state": "sending", "attempts": 1, "claimed": plant.clock() - 3600 * MICROSECONDS}
        connection.execute(print_job.update().values(**values))
    plant.restart()
    plant.printer.start()
    plant.settled("unknown")
    assert plant.states() == ["unknown"]
    assert plant.printer.printed() == []
    assert plant.house.ask(printed.next_copy, number) == 2


# ---------------------------------------------------------------- after an outage


@pytest.mark.in_ci
def test_forty_labels_made_while_the_printer_was_down_print_on_a_word_each_beside_the_goods(
    plant: PrintingPlant,
) -> None:
    plant.printer.stop()
    numbers = plant.made(40)
    plant.clock.ahead = 20
    plant.restart()
    until(lambda: len(plant.jobs("late")) == 40, "all to be laid aside")
    plant.printer.start()
    [fresh] = plant.made()
    plant.settled("late")
    assert plant.printer.printed() == once([fresh]), "nothing old prints by itself"
    waiting = plant.jobs("late")
    for job in waiting[:38]:
        plant.house.post(PrintNow(job), "operator")
    for job in waiting[38:]:
        plant.house.post(DropLabel(job, "it has a label from the pad"), "operator")
    plant.settled()
    assert plant.printer.printed() == once([fresh, *numbers[:38]])
    assert plant.house.ask(printed.failed_jobs) == []


@pytest.mark.in_ci
def test_what_the_printer_has_had_for_too_long_is_called_back(plant: PrintingPlant) -> None:
    plant.printer.mode("stuck")
    plant.made()
    until(lambda: plant.states() == ["sent"], "the job to be taken")
    plant.clock.ahead = 20
    called = "was canceled by a user"
    until(lambda: called in plant.printer.log() or "Cancel-Job" in plant.printer.log(), plant.printer.log)
    plant.printer.mode("normal")
    plant.settled("unknown")
    assert plant.states() == ["unknown"]


@pytest.mark.in_ci
def test_a_printer_taken_away_hands_its_labels_to_the_tray(plant: PrintingPlant) -> None:
    plant.house.post(SetPrinter("wire", "Wire shop printer", f"ipp://localhost:{free_port()}/ipp/print"))
    plant.restart()
    plant.made(2)
    until(lambda: "does not answer" in plant.trouble(), "the printer to be missed")
    plant.house.post(SetPrinter("wire", "Wire shop printer"))
    plant.settled()
    assert [row.printer for row in plant.house.ask(printed.tray)] == ["", ""]


@pytest.mark.in_ci
def test_a_job_left_at_a_printer_whose_address_was_changed_is_not_taken_for_one_of_the_new_printer(
    tmp_path: Path, plant: PrintingPlant
) -> None:
    plant.printer.mode("stuck")
    [number] = plant.made()
    until(lambda: plant.states() == ["sent"], plant.states)
    with a_printer(tmp_path / "other") as other:
        line = ipp.Printer(ipp.address(other.address))
        line.print_job("of somebody else", ipp.Document("image/png", b"\x89PNG"), line.offer())
        until(lambda: other.names() == ["of somebody else"], other.names)  # as number 1, like ours
        plant.house.post(SetPrinter("wire", "Wire shop printer", other.address))
        plant.settled("unknown")
    assert plant.states() == ["unknown"]
    assert plant.house.ask(printed.labels_of, number) == []


@pytest.mark.in_ci
def test_a_job_s_name_is_no_other_job_s(plant: PrintingPlant) -> None:
    plant.made(3)
    plant.settled()
    with plant.house.reading() as connection:
        names = [job_name(job) for job in connection.execute(print_job.select()).all()]
    assert plant.printer.names() == names
