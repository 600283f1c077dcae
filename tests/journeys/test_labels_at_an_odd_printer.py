"""Does a printer that answers late, wrongly or at a bad moment still end with each label once?"""

import http.server
from collections.abc import Iterator

import pytest
from goods_by_hand import LayDown, by_hand
from houses import House, a_house
from lotroot.errors import Refused
from lotroot.labelling import printed
from lotroot.labelling.equipping import SetPrinter
from lotroot.labelling.handling import ProveLabel
from lotroot.labelling.settling import PrintNow, SayPrinted
from lotroot.labelling.tables import label, print_job
from lotroot.voiding.handling import Undo
from lotroot.worker.lane import Lane
from lotroot_printing import ipp_message as message
from odd_printers import GET_JOB, GET_JOBS, PRINT_JOB, OddPrinter, an_odd_printer, answer, job

MICROSECONDS = 1_000_000


@pytest.fixture
def printer() -> Iterator[OddPrinter]:
    with an_odd_printer() as one:
        yield one


@pytest.fixture
def house(database_url: str, printer: OddPrinter) -> Iterator[House]:
    with by_hand():
        house = a_house(database_url)
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
