"""What becomes of the labels of goods that are taken back, and which is meant by PRINT AGAIN?"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from floor_work import at, lay, ok
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.identity import Command
from lotroot.identity.showing import shown
from lotroot.labelling.equipping import SetPrinter
from lotroot.labelling.tables import print_job
from lotroot.receiving.commands import ReserveNumbers
from printers_at_hand import free_port
from terminals import Terminal

UNDO, ELSEWHERE, AGAIN = (one.code for one in (Command.UNDO, Command.ELSEWHERE, Command.PRINT_AGAIN))
THROW = "may still come out: destroy it then"


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        house = a_house(tmp_path)
        for code, name in (("wire", "Wire shop printer"), ("pack", "Packing printer")):
            house.post(SetPrinter(code, name, f"ipp://localhost:{free_port()}/ipp/print"))
        yield house


def drawing(house: House) -> Terminal:
    desk = at(house, "draw_1")
    ok(desk.answer(lay(house, "rod_55", 2_000_000), "wire_25"))
    ok(desk.scan("486"))
    return desk


def made(house: House) -> list[tuple[str, str]]:
    """State and reason of the jobs for what was made, not for the rod."""
    return [(job["state"], job["reason"]) for job in house.rows(print_job) if job["number"].startswith("R")]


def as_state(house: House, state: str) -> None:
    with house.database.writing() as connection:
        made = print_job.c.number.startswith("R")
        connection.execute(print_job.update().where(made).values(state=state, attempts=1))


@pytest.mark.parametrize("state", ["queued", "late", "failed"])
def test_a_label_that_waits_is_left_out_when_its_goods_are_taken_back(house: House, state: str) -> None:
    desk = drawing(house)
    as_state(house, state)
    said = ok(desk.scan(UNDO))["say"]
    assert made(house) == [("cancelled", "Taken back.")]
    assert "estroy" not in said
    assert house.status() == house.rebuilt()


@pytest.mark.parametrize("state", ["sent", "asking", "unknown"])
def test_of_a_label_that_may_come_out_the_operator_is_told_and_it_is_asked_about(
    house: House, state: str
) -> None:
    desk = drawing(house)
    as_state(house, state)
    assert THROW in ok(desk.scan(UNDO))["say"]
    assert [one for one, _ in made(house)] == [state]


def test_a_label_that_came_out_is_to_be_destroyed(house: House) -> None:
    desk = drawing(house)
    as_state(house, "done")
    assert ok(desk.scan(UNDO))["say"].endswith(" Destroy its label.")
    assert [one for one, _ in made(house)] == ["done"]


def test_what_is_not_taken_back_keeps_its_place_in_the_queue(house: House) -> None:
    desk = drawing(house)
    ok(desk.scan("487"))
    ok(desk.scan(UNDO))
    assert [one for one, _ in made(house)] == ["queued", "cancelled"]


def test_labels_of_items_go_with_the_items(house: House) -> None:
    desk = at(house, "packing")
    ok(desk.scan(lay(house, "nail_25x50", 500_000)))
    before = len(house.rows(print_job))
    ok(desk.scan("2"))
    asked = house.rows(print_job)[before:]
    assert asked
    ok(desk.scan(UNDO))
    assert {job["state"] for job in house.rows(print_job)[before:]} == {"cancelled"}


@pytest.mark.parametrize("key", [ELSEWHERE, AGAIN])
def test_undo_after_a_label_s_key_takes_back_the_goods(house: House, key: str) -> None:
    desk = drawing(house)
    as_state(house, "late")
    ok(desk.scan(key))
    assert "Taken back" in ok(desk.scan(UNDO))["say"]
    assert [one for one, _ in made(house)] == ["cancelled"]


def test_print_again_after_a_pad_label_means_those_goods_and_not_the_ones_before(house: House) -> None:
    desk = drawing(house)
    keeper = house.thing("station", "draw_1")
    (pad,) = house.post(ReserveNumbers(letter="R", count=1, keeper=keeper), "supervisor").numbers
    desk.scan(pad)
    assert shown(pad) in ok(desk.scan("470"))["say"]
    assert shown(pad) in ok(desk.scan(AGAIN))["say"]
    jobs = [(job["number"], job["copy"]) for job in house.rows(print_job)]
    assert jobs[-1] == (pad, 1)
