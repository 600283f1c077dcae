"""Can a shift at a machine be worked by scanning, typing one number at a time?"""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot import worker
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.goods import goods
from lotroot.holds.handling import PlaceHold
from lotroot.identity import Command
from lotroot.identity.showing import shown
from lotroot.labelling.printed import labels_of, waiting_jobs
from lotroot.questions import open_questions
from lotroot.stock.carriers import find_carrier
from lotroot.worker import drain


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


# ---- drawing: in turn, with a weld and a part coil


def test_wire_is_drawn_by_a_scan_and_a_number_each(house: House) -> None:
    rod = lay(house, "rod_55", 2_000_000)
    draw = at(house, "draw_1")
    loaded = draw.answer(rod, "wire_25")  # nothing was made here before: the product is asked, once
    assert loaded["say"] == f"{shown(rod)} is on Drawing machine 1."
    assert loaded["next"] == "Weigh the stripper: type kg"
    made = ok(draw.scan("412,5"))
    stripper = run_at(house, "draw_1").outputs[0].lot
    assert house.ask(find_lot, stripper).amount == 412_500
    assert shown(stripper) in made["say"]
    assert "1 587.5 kg" in plain(made["fragments"]["station-loaded"])
    assert [link.parent_number for link in house.ask(links_of, house.ask(find_lot, stripper).id)] == [rod]


def test_a_new_label_is_proved_by_whoever_made_it_at_the_machine(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    ok(draw.scan("412,5"))
    stripper = run_at(house, "draw_1").outputs[0].lot
    worker.drain(house.door)
    assert draw.scan(stripper)["verdict"] == "already"
    assert house.ask(labels_of, stripper)[0].proved is not None
    assert len(run_at(house, "draw_1").outputs) == 1


def test_a_coil_that_ran_out_is_one_scan_and_one_key(house: House) -> None:
    rod, after = lay(house, "rod_55", 500_000), lay(house, "rod_55", 1_900_000)
    draw = at(house, "draw_1")
    draw.answer(rod, "wire_25")
    ok(draw.scan("412.5"))
    assert draw.answer(after, "ended")["say"].startswith(f"{shown(rod)} has ended")
    assert [load.lot for load in run_at(house, "draw_1").loaded] == [after]


def test_the_rest_comes_off_in_one_key_or_weighed(house: House) -> None:
    rod = lay(house, "rod_55", 1_000_000)
    draw = at(house, "draw_1")
    draw.answer(rod, "wire_25")
    ok(draw.scan("400"))
    off = draw.answer("PART", "yes")
    assert plain(off["say"]) == f"{shown(rod)} is off the machine with 600 kg."
    assert house.ask(goods, rod)[0].amount == 600_000
    ok(draw.scan(rod))
    weighed = draw.answer(Command.PART.code, "weigh")
    assert weighed["next"] == f"Type what is left of {shown(rod)}"
    ok(draw.scan("588"))
    assert house.ask(goods, rod)[0].amount == 588_000


def test_questions_are_answered_from_the_command_sheet(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 1_000_000), "wire_25")
    question = draw.scan("PART")["question"]
    scans = {one["code"]: one["scans"] for one in question["choices"]}
    assert scans == {
        "yes": [Command.ANSWER_1.code, "ANSWER1", Command.YES.code, "YES"],
        "weigh": [Command.ANSWER_2.code, "ANSWER2"],
        "ended": [Command.ANSWER_3.code, "ANSWER3", Command.ENDED.code, "ENDED"],
    }
    assert question["drop"] == [Command.LEAVE_IT.code, "LEAVEIT"]


def test_done_settles_what_is_on_and_a_die_set_opens_the_next_run(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 1_000_000), "wire_25")
    draw.answer("DONE", "off")
    assert draw.last["next"] == "Scan the rod"
    opened = ok(draw.scan(house.thing("resource", "dies_25_a")))
    assert "Die set 2.50 A" in opened["fragments"]["station-run"]
    ok(draw.scan(lay(house, "rod_55", 1_000_000)))  # the product is as before: no question
    assert run_at(house, "draw_1").row.product == "wire_25"


@pytest.mark.parametrize(
    ("scan", "says"),
    [
        ("BROKE", "Wire broke."),
        ("WAIT", "Stopped."),
        ("ENDED", "has ended."),
    ],
)
def test_marks_are_one_scan_each(house: House, scan: str, says: str) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 1_000_000), "wire_25")
    assert says in ok(draw.scan(Command[scan].code))["say"]


def test_wait_twice_goes_on(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 1_000_000), "wire_25")
    assert ok(draw.scan("WAIT"))["next"] == "Stopped. WAIT again to go on"
    house.clock.forward(minutes=5)
    assert ok(draw.scan("WAIT"))["say"] == "Running again."


def test_scrap_is_a_reason_and_a_weight(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 1_000_000), "wire_25")
    assert draw.answer("SCRAP", "ends")["next"] == "Type the weight of the scrap, kg"
    assert plain(ok(draw.scan("12.3"))["say"]) == "Scrap: Ends, head or tail, 12.3 kg."
    assert [one.own for one in run_at(house, "draw_1").scrap] == [12_300]


# ---- what stands on the floor is always recorded


def test_nothing_loaded_is_asked_about_once_and_recorded(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 100_000), "wire_25")
    draw.answer("DONE", "ended")
    done = draw.answer("412", "yes")
    assert done["verdict"] == "asked_done"
    assert "question" in done["detail"]
    assert len(house.ask(open_questions)) >= 1


def test_more_than_is_loaded_is_asked_about_once(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 100_000), "wire_25")
    assert draw.answer("412", "yes")["verdict"] == "asked_done"


@pytest.mark.parametrize("typed", ["1.2.3", "-5", "0", "12 kgs of wire", "1e3", "5 m"])
def test_a_number_in_doubt_is_refused_and_says_why(house: House, typed: str) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 100_000), "wire_25")
    refused = draw.scan(typed)
    assert refused["verdict"] == "refused"
    assert refused["say"]
    assert refused["detail"]


def test_one_comma_three_digits_is_read_by_what_is_expected(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    ok(draw.scan("1,204"))
    assert run_at(house, "draw_1").outputs[0].own == 1_204_000


# ---- decisions are refused in words


def test_held_goods_are_refused_as_held_and_a_supervisor_may_state_what_happened(house: House) -> None:
    rod = lay(house, "rod_55", 100_000)
    house.post(PlaceHold("zinc low", rod), "qa")
    draw = at(house, "draw_1")
    held = draw.scan(rod)
    assert held["verdict"] == "held"
    assert "/pin/" in held["fragments"]["override"]


def test_a_wrong_kind_is_refused_and_says_what_fits(house: House) -> None:
    nails = lay(house, "nail_25x50", 100_000, "nail_floor")
    draw = at(house, "draw_1")
    refused = draw.scan(nails)
    assert refused["verdict"] == "refused"
    assert "Rod coil" in refused["detail"]


def test_a_loaded_coil_scanned_again_says_when(house: House) -> None:
    rod = lay(house, "rod_55", 100_000)
    draw = at(house, "draw_1")
    draw.answer(rod, "wire_25")
    again = draw.scan(rod)
    assert again["verdict"] == "already"
    assert "since 06:" in again["say"]


# ---- keys, doubles, lateness, undo


def test_a_scan_sent_twice_is_recorded_once_and_answered_alike(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    body = draw.body("412")
    first, second = draw.send(body).get_json(), draw.send(body).get_json()
    assert first["say"] == second["say"]
    assert len(run_at(house, "draw_1").outputs) == 1


def test_a_command_code_read_twice_within_two_seconds_is_one(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    started = house.clock.at
    ok(draw.scan("BROKE"))
    house.clock.at = started
    assert draw.scan("BROKE")["verdict"] == "already"
    house.clock.forward(minutes=1)
    ok(draw.scan("BROKE"))
    assert len([one for one in run_at(house, "draw_1").marks if one.kind == "broke"]) == 2


def test_a_kept_scan_happened_when_it_was_made(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    house.clock.forward(minutes=30)
    ok(draw.scan("412", late=timedelta(minutes=10)))
    made = run_at(house, "draw_1").outputs[0]
    assert 9 * 60 < (house.clock.at - made.ended) // 1_000_000 < 11 * 60


def test_undo_takes_back_the_last_act_and_a_second_shows_first(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    ok(draw.scan("412"))
    ok(draw.scan("398"))
    assert "Taken back" in ok(draw.scan("UNDO"))["say"]
    house.clock.forward(minutes=1)
    assert "Taken back" in ok(draw.answer("UNDO", "yes"))["say"]
    assert run_at(house, "draw_1").outputs == []


def test_print_again_prints_the_last_label_as_a_copy(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    ok(draw.scan("412"))
    drain(house.door)
    ok(draw.scan("PRINT AGAIN"))
    stripper = run_at(house, "draw_1").outputs[0].lot
    assert [(job.number, job.copy) for job in house.ask(waiting_jobs)] == [(stripper, 2)]


def test_the_first_scan_of_a_label_proves_it(house: House) -> None:
    rod = lay(house, "rod_55", 2_000_000)
    drain(house.door)
    draw = at(house, "draw_1")
    draw.answer(rod, "wire_25")
    assert house.ask(labels_of, rod)[0].proved is not None


def test_a_label_nobody_waits_for_says_what_it_is(house: House) -> None:
    place = house.thing("place", "coil_yard")
    said = at(house, "draw_1").scan(place)
    assert (said["verdict"], said["word"], said["say"]) == ("already", "This is", "Coil yard.")


def test_another_person_at_an_open_run_is_a_mark_in_it(house: House) -> None:
    draw = at(house, "draw_1")
    draw.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    draw.badge("supervisor")
    marks = run_at(house, "draw_1").marks
    assert [(one.kind, one.person) for one in marks] == [("operator", house.people["supervisor"])]


# ---- pans


def test_nails_go_into_a_pan_scanned_after_or_before_the_weight(house: House) -> None:
    wire = lay(house, "wire_25", 900_000)
    nail = at(house, "nail_1")
    nail.answer(wire, "nail_25x50")
    assert nail.last["next"] == "Weigh the nails: type kg, then scan the pan"
    assert ok(nail.scan("96,5"))["next"] == "Scan the pan, or DONE if there is none"
    pan_1, pan_2 = (house.ask(find_carrier, code).number for code in ("pan_01", "pan_02"))
    ok(nail.scan(pan_1))
    assert ok(nail.scan(pan_2))["next"] == "Type what went into it, kg"
    ok(nail.scan("88"))
    outputs = run_at(house, "nail_1").outputs
    assert [house.ask(goods, one.lot)[0].spot for one in outputs] == [pan_1, pan_2]


def test_a_pan_that_still_shows_a_lot_asks(house: House) -> None:
    nail = at(house, "nail_1")
    nail.answer(lay(house, "wire_25", 900_000), "nail_25x50")
    pan = house.ask(find_carrier, "pan_01").number
    ok(nail.scan("96"))
    ok(nail.scan(pan))
    ok(nail.scan("50"))
    assert nail.answer(pan, "emptied")["verdict"] == "asked_done"


def test_a_weight_without_a_pan_is_recorded_by_done(house: House) -> None:
    nail = at(house, "nail_1")
    nail.answer(lay(house, "wire_25", 900_000), "nail_25x50")
    ok(nail.scan("96"))
    ok(nail.scan("DONE"))
    assert [one.own for one in run_at(house, "nail_1").outputs] == [96_000]
