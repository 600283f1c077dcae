"""Does a printer that answers late, wrongly or at a bad moment still end with each label once?"""

import contextlib
import http.server
import threading
import time
import tracemalloc
import weakref
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from goods_by_hand import LayDown, by_hand
from houses import House, a_house
from lotroot.errors import Refused
from lotroot.labelling import printed
from lotroot.labelling.device import job_name
from lotroot.labelling.equipping import SetPrinter
from lotroot.labelling.handling import ProveLabel
from lotroot.labelling.printers import PRINT_ALONE
from lotroot.labelling.rendering import finished
from lotroot.labelling.settling import PrintNow, SayPrinted
from lotroot.labelling.tables import label, print_job
from lotroot.labelling.tables import printer as set_printers
from lotroot.posting.door import Door
from lotroot.voiding.handling import Undo
from lotroot.worker import Worker, drain
from lotroot.worker.lane import Lane
from lotroot_printing import ipp, ipp_answers, raster, spool
from lotroot_printing import ipp_message as message
from lotroot_printing.errors import ReplyLost
from odd_printers import GET_JOB, GET_JOBS, GET_PRINTER, PRINT_JOB, OddPrinter, an_odd_printer, answer, job
from printers_at_hand import free_port, until

MICROSECONDS = 1_000_000


@pytest.fixture
def printer() -> Iterator[OddPrinter]:
    with an_odd_printer() as one:
        yield one


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.in_ci)])
def house(request: pytest.FixtureRequest, tmp_path: Path, printer: OddPrinter) -> Iterator[House]:
    """On SQLite in every run, on PostgreSQL in the check run."""
    with ExitStack() as stack:
        stack.enter_context(by_hand())
        where: Path | str = tmp_path
        if request.param == "postgresql":
            where = stack.enter_context(request.getfixturevalue("postgres").database())
        house = a_house(where)
        house.post(SetPrinter("wire", "Wire shop printer", printer.address))
        yield house
        house.database.close()


def made(house: House) -> str:
    """A roll of wire, its label queued."""
    yard, station = house.thing("place", "coil_yard"), house.thing("station", "draw_1")
    return house.post(LayDown("wire_25", 486_500, yard, source=""), station=station).numbers[0]


def as_state(house: House, state: str, **more: object) -> None:
    """Every job in a state, as a lost answer would leave it."""
    with house.database.writing() as connection:
        connection.execute(print_job.update().values(state=state, attempts=1, **more))


def states(house: House) -> list[str]:
    return [row["state"] for row in house.rows(print_job)]


# ---------------------------------------------------------------- somebody's word while the printer answers


def test_a_label_said_to_be_there_while_its_printer_is_asked_is_not_printed_again(
    house: House, printer: OddPrinter
) -> None:
    made(house)
    as_state(house, "asking", claimed=house.clock.at - 10 * MICROSECONDS)

    def in_hand(_: http.server.BaseHTTPRequestHandler) -> bytes:
        if states(house) == ["asking"]:
            house.post(SayPrinted(1), "operator")
        return answer()

    printer.answers[GET_JOBS] = in_hand
    lane = Lane(house.door, "wire")
    for _ in range(4):
        lane.step()
    assert states(house) == ["done"]
    assert PRINT_JOB not in printer.asked


def test_a_label_scanned_before_its_printer_has_said_yes_stays_printed(
    house: House, printer: OddPrinter
) -> None:
    number = made(house)

    def scanned(_: http.server.BaseHTTPRequestHandler) -> bytes:
        house.post(ProveLabel(number), "operator")
        return answer(message.JOB, (message.INTEGER, "job-id", 7))

    printer.answers[PRINT_JOB] = scanned
    Lane(house.door, "wire").step()
    assert states(house) == ["done"]
    assert len(house.rows(label)) == 1


def test_a_job_cancelled_at_the_printer_and_scanned_meanwhile_is_no_question(
    house: House, printer: OddPrinter
) -> None:
    number = made(house)
    as_state(house, "sent", claimed=house.clock.at, remote=7)

    def scanned(_: http.server.BaseHTTPRequestHandler) -> bytes:
        house.post(ProveLabel(number), "operator")
        return job(7, "", 7)

    printer.answers[GET_JOB] = scanned
    Lane(house.door, "wire").step()
    assert states(house) == ["done"]


# ---------------------------------------------------------------- another printer under the same name


def test_a_label_in_doubt_is_not_asked_of_the_printer_that_came_in_its_place(
    house: House, printer: OddPrinter
) -> None:
    made(house)
    as_state(house, "asking", claimed=house.clock.at - 10 * MICROSECONDS)
    with an_odd_printer() as other:
        house.post(SetPrinter("wire", "Wire shop printer", other.address))
        lane = Lane(house.door, "wire")
        for _ in range(4):
            lane.step()
        assert states(house) == ["unknown"]
        assert PRINT_JOB not in other.asked
    assert "address was changed" in house.rows(print_job)[0]["reason"]


# ---------------------------------------------------------------- goods that never were


def test_goods_taken_back_get_no_label_any_more(house: House) -> None:
    made(house)
    station = house.thing("station", "draw_1")
    house.post(Undo(), station=station)
    assert states(house) == ["cancelled"]
    assert house.status() == house.rebuilt()


def test_a_label_printed_on_a_word_stands_in_no_undo_s_way(house: House) -> None:
    made(house)
    as_state(house, "late")
    station = house.thing("station", "draw_1")
    house.post(PrintNow(1), station=station)
    house.post(Undo(), station=station)
    assert states(house) == ["cancelled"]


def test_a_label_that_may_be_on_goods_taken_back_stays_a_question_and_is_not_printed_again(
    house: House,
) -> None:
    made(house)
    as_state(house, "unknown")
    house.post(Undo(), station=house.thing("station", "draw_1"))
    assert states(house) == ["unknown"]
    with pytest.raises(Refused, match="taken back"):
        house.post(PrintNow(1), "operator")
    house.post(SayPrinted(1), "operator")
    assert [row.number for row in house.ask(printed.to_destroy, 0)] == [house.rows(print_job)[0]["number"]]


def test_a_label_in_doubt_of_goods_taken_back_meanwhile_is_not_printed(
    house: House, printer: OddPrinter
) -> None:
    made(house)
    as_state(house, "asking", claimed=house.clock.at - 10 * MICROSECONDS)
    house.post(Undo(), station=house.thing("station", "draw_1"))
    lane = Lane(house.door, "wire")
    for _ in range(3):
        lane.step()
    assert PRINT_JOB not in printer.asked
    assert [(row["state"], "taken back" in row["reason"]) for row in house.rows(print_job)] == [
        ("failed", True)
    ]


# ---------------------------------------------------------------- odd answers, and an odd clock


def test_a_clock_set_back_leaves_no_label_asked_about_for_hours(house: House) -> None:
    made(house)
    as_state(house, "asking", claimed=house.clock.at + 3600 * MICROSECONDS)
    Lane(house.door, "wire").step()
    assert states(house) == ["unknown"]


def test_a_clock_set_back_leaves_no_idle_printer_alone(house: House, printer: OddPrinter) -> None:
    lane = Lane(house.door, "wire")
    lane.step()
    house.clock.forward(hours=-1)
    lane.step()
    assert printer.asked == [GET_PRINTER, GET_PRINTER]


def test_a_yes_without_a_number_is_asked_about_by_name(house: House, printer: OddPrinter) -> None:
    made(house)
    with house.reading() as connection:
        name = job_name(connection.execute(print_job.select()).one())
    printer.answers[PRINT_JOB] = lambda _: answer()
    printer.answers[GET_JOBS] = lambda _: job(7, name, 9)
    printer.answers[GET_JOB] = lambda _: job(7, name, 9)
    lane = Lane(house.door, "wire")
    lane.step()
    assert states(house) == ["asking"]
    for _ in range(2):
        lane.step()
    assert states(house) == ["done"]


@pytest.mark.parametrize("status", [500, 502, 504])
def test_a_gateway_s_fault_is_no_refusal(house: House, printer: OddPrinter, status: int) -> None:
    made(house)

    def fault(line: http.server.BaseHTTPRequestHandler) -> None:
        line.send_error(status)

    printer.answers[PRINT_JOB] = fault
    Lane(house.door, "wire").step()
    assert states(house) == ["asking"], "the printer behind it may have taken the job"


def test_a_job_the_printer_says_is_gone_is_a_question(house: House, printer: OddPrinter) -> None:
    made(house)
    as_state(house, "sent", claimed=house.clock.at, remote=7)
    printer.answers[GET_JOB] = lambda _: answer(status=0x407)
    Lane(house.door, "wire").step()
    assert states(house) == ["unknown"]


def test_a_printer_that_talks_without_end_is_heard_no_further(house: House, printer: OddPrinter) -> None:
    def endless(line: http.server.BaseHTTPRequestHandler) -> None:
        line.send_response(200)
        line.end_headers()
        with contextlib.suppress(OSError):
            for _ in range(64):
                line.wfile.write(bytes(1 << 20))

    printer.answers[GET_PRINTER] = endless
    tracemalloc.start()
    lane = Lane(house.door, "wire")
    lane.step()
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert "does not answer" in lane.trouble
    assert most < 20 << 20


def test_a_printer_that_answers_byte_by_byte_is_not_waited_for(printer: OddPrinter) -> None:
    def dripping(line: http.server.BaseHTTPRequestHandler) -> None:
        with contextlib.suppress(OSError):
            for _ in range(60):
                line.wfile.write(b"x")
                line.wfile.flush()
                time.sleep(0.1)

    printer.answers[GET_PRINTER] = dripping
    began = time.monotonic()
    with pytest.raises(ReplyLost):
        ipp.Printer(ipp.address(printer.address), timeout=0.5).offer()
    assert time.monotonic() - began < 3


def test_a_printer_that_takes_a_long_job_slowly_is_given_all_of_it(printer: OddPrinter) -> None:
    printer.pause = 0.1
    printer.answers[PRINT_JOB] = lambda _: answer(message.JOB, (message.INTEGER, "job-id", 7))
    ready = ipp.Printer(ipp.address(printer.address)).offer()
    line = ipp.Printer(ipp.address(printer.address), timeout=0.5)
    assert line.print_job("long", ipp.Document("image/png", bytes(16 << 20)), ready) == 7


def test_nonsense_nested_without_end_is_said_and_ends_no_thread(house: House, printer: OddPrinter) -> None:
    nested = bytes([message.BEGIN_COLLECTION, 0, 1]) + b"a" + bytes(2)
    deeper = bytes([message.BEGIN_COLLECTION, 0, 0, 0, 0])
    printer.answers[GET_PRINTER] = lambda _: answer(message.PRINTER)[:-1] + nested + deeper * 20_000
    lane = Lane(house.door, "wire")
    lane.step()
    assert "does not answer" in lane.trouble


def test_a_text_with_a_nul_at_its_end_is_said_and_kept(house: House, printer: OddPrinter) -> None:
    made(house)
    as_state(house, "sent", claimed=house.clock.at, remote=7)
    with house.reading() as connection:
        name = job_name(connection.execute(print_job.select()).one())
    told = answer(
        message.JOB,
        (message.INTEGER, "job-id", 7),
        (message.NAME, "job-name", f"{name}\0"),
        (message.ENUM, "job-state", 8),
        (message.TEXT, "job-state-message", "No heat\0\0"),
    )
    printer.answers[GET_JOB] = lambda _: told
    Lane(house.door, "wire").step()
    assert [(row["state"], row["reason"]) for row in house.rows(print_job)] == [
        ("unknown", "It was given up at the printer: No heat")
    ]


def test_a_printer_that_never_answers_again_leaves_its_label_to_somebody_s_word(house: House) -> None:
    made(house)
    as_state(house, "sent", claimed=house.clock.at, remote=7)
    silent = Lane(house.door, "wire")
    with house.database.writing() as connection:
        connection.execute(set_printers.update().values(address=f"ipp://localhost:{free_port()}/ipp/print"))
    silent.step()
    assert states(house) == ["sent"]
    house.clock.forward(minutes=PRINT_ALONE)
    silent.step()
    assert states(house) == ["unknown"]


def test_a_label_for_a_printer_the_plant_has_no_more_is_printed_into_the_tray(house: House) -> None:
    made(house)
    as_state(house, "late", printer="gone")
    house.post(PrintNow(1), "operator")
    assert drain(house.door) == 1
    assert states(house) == ["done"]


# ---------------------------------------------------------------- the threads


def test_a_printer_that_holds_up_a_job_does_not_hold_up_a_stop(house: House, printer: OddPrinter) -> None:
    going = threading.Event()

    def waiting(_: http.server.BaseHTTPRequestHandler) -> bytes:
        going.wait(4)
        return answer()

    printer.answers[PRINT_JOB] = waiting
    made(house)
    worker = Worker(house.door, leave=0.5)
    worker.start()
    until(lambda: PRINT_JOB in printer.asked)
    began = time.monotonic()
    worker.stop()
    assert time.monotonic() - began < 2
    going.set()
    until(lambda: states(house) == ["asking"])


@pytest.mark.parametrize("fault", [RuntimeError("a fault of ours"), MemoryError()])
def test_a_fault_of_the_program_is_said_and_the_printer_tried_again(house: House, fault: Exception) -> None:
    lane = BrokenOnce(house.door, "wire", fault)
    worker = Worker(house.door)
    with pytest.raises(type(fault)):
        worker._step(lane)
    assert "a fault of its own" in worker.faults["wire"]
    worker._step(lane)
    assert worker.faults == {"wire": ""}


class BrokenOnce(Lane):
    """A lane whose first step meets a fault."""

    def __init__(self, door: Door, code: str, fault: Exception) -> None:
        super().__init__(door, code)
        self._faults = [fault]

    def step(self) -> float:
        if self._faults:
            raise self._faults.pop()
        return super().step()


def test_of_a_block_one_label_after_the_other_is_drawn_and_let_go(house: House) -> None:
    yard, station = house.thing("place", "coil_yard"), house.thing("station", "draw_1")
    house.post(LayDown("box_25x50", 150_000, yard, items=6, source=""), station=station)
    with house.reading() as connection:
        block = connection.execute(print_job.select()).one()
    held: list[int] = []
    drawn: list[weakref.ref[object]] = []

    def pages() -> Iterator[spool.Page]:
        for one in finished(block, None, 203):
            drawn.append(weakref.ref(one.bitmap))
            yield spool.Page(one.drawing, one.bitmap)
            held.append(sum(each() is not None for each in drawn))

    offer = ipp_answers.Offer("", (spool.RASTER,), ("black_1",), (203,), (), False, 3, True, (), "", 1)
    assert len(raster.decode(spool.document(offer, pages(), 6).content)) == 6
    assert max(held) <= 3, "the first, the one at hand, and the one before it"
