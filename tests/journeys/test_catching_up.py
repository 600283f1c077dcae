"""Is a night without network, written on the form of a pad, entered afterwards by scans and digits alone?"""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from floor_work import at, lay, ok, plain
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.accounts.badges import badge_of
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.holds.handling import PlaceHold
from lotroot.identity import make
from lotroot.identity.showing import shown
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.tables import print_job
from lotroot.pads.handling import AnswerWithPad, DestroyPadLabels
from lotroot.pads.listing import OUT, USED, pads_given
from lotroot.plant.adopted import current_plant
from lotroot.posting.recent import recent
from lotroot.production.runs import find_run, open_runs_at, outputs_of_lot
from lotroot.receiving.commands import CorrectAmount
from lotroot.verify import verify
from lotroot.work import MICROSECONDS
from offices import PIN, an_office_house
from paper_forms import catching_up, moment, pad

HOUR = 3600 * MICROSECONDS


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


def a_night(house: House) -> tuple[tuple[str, ...], str]:
    """Monday at six a run goes on with a rod; then no network until the next morning at six."""
    labels = pad(house)
    rod = lay(house, "rod_55", 2_000_000)
    drawing = at(house, "draw_1")
    drawing.answer(rod, "wire_25")
    ok(drawing.scan("480"))
    house.clock.forward(hours=24)
    return labels, rod


def out_of(house: House, number: str) -> tuple[int, int]:
    """When an output ended, and how much it is."""
    (made,) = house.ask(outputs_of_lot, number)
    return made.ended, made.own


# ---- the night itself


def test_a_night_on_paper_is_entered_row_by_row_with_its_true_times(house: House) -> None:
    labels, rod = a_night(house)
    (run,) = house.ask(open_runs_at, house.thing("station", "draw_1"))
    page = catching_up(house)
    assert ok(page.scan(labels[0]))["next"] == "Type its time: 0230, or 28 0230"
    told = ok(page.scan("2 2230"))
    assert "Mon 2 Nov, 22:30" in told["say"]
    assert f"On then: {shown(rod)}" in told["detail"]
    assert shown(labels[0]) in ok(page.scan("486"))["say"]
    for label, time, weight in ((labels[1], "2340", "490"), (labels[2], "0050", "488.5")):
        ok(page.scan(label))
        ok(page.scan(time))
        ok(page.scan(weight))
    assert [out_of(house, label) for label in labels[:3]] == [
        (moment("2026-11-02T22:30"), 486_000),
        (moment("2026-11-02T23:40"), 490_000),
        (moment("2026-11-03T00:50"), 488_500),
    ]
    assert [house.ask(find_lot, label).run for label in labels[:3]] == [run.number] * 3
    for label in labels[:3]:
        links = house.ask(links_of, house.ask(find_lot, label).id)
        assert [link.parent_number for link in links] == [rod]
    assert verify(house.database).finding is None
    assert house.status() == house.rebuilt()


def test_goods_under_an_emergency_label_wait_for_no_other_but_get_one_if_it_is_wanted(house: House) -> None:
    labels, _ = a_night(house)
    page = catching_up(house)
    for text in (labels[0], "2 2230", "486"):
        ok(page.scan(text))
    assert labels[0] not in [job["number"] for job in house.rows(print_job)]
    house.post(PrintAgain(labels[0], "Wanted with its weight"), "operator")
    (job,) = [job for job in house.rows(print_job) if job["number"] == labels[0]]
    assert job["copy"] == 1
    assert "486" in json.loads(job["fields"])["amount"]


def test_every_posting_of_it_is_marked_late_and_names_the_true_time(house: House) -> None:
    labels, _ = a_night(house)
    page = catching_up(house)
    for text in (labels[0], "2 2230", "486"):
        ok(page.scan(text))
    made = house.ask(recent, house.thing("station", "draw_1"))[0]
    assert (made.command, made.basis, made.happened) == ("MakeOutput", "late", moment("2026-11-02T22:30"))
    assert made.entered - made.happened > 7 * HOUR
    morning = page.client.get("/morning").text
    assert shown(labels[0]) in morning, "late entries are listed for whoever looks in the morning"


def test_a_new_coil_in_the_night_is_named_by_scan_and_ends_the_one_before(house: House) -> None:
    labels, rod = a_night(house)
    second = lay(house, "rod_55", 1_900_000)
    page = catching_up(house)
    for text in (labels[0], "2 2230", "1480", labels[1], "0030"):
        ok(page.scan(text))
    page.answer(second, "ended")
    assert "when was" not in page.last["say"]
    ok(page.scan("490"))
    parents = [
        [link.parent_number for link in house.ask(links_of, house.ask(find_lot, label).id)]
        for label in labels[:2]
    ]
    assert parents[0] == [rod]
    assert parents[1][-1] == second
    run = house.ask(find_run, house.ask(find_lot, labels[0]).run)
    assert [load.at for load in run.inputs][1] == moment("2026-11-03T00:30")


def test_a_run_closed_since_takes_the_rows_of_its_time(house: House) -> None:
    labels, rod = a_night(house)
    drawing = at(house, "draw_1")
    ok(drawing.scan("486"))
    (run,) = house.ask(open_runs_at, house.thing("station", "draw_1"))
    drawing.answer("DONE", "ended")
    assert house.ask(open_runs_at, house.thing("station", "draw_1")) == []
    page = catching_up(house)
    for text in (labels[0], "2 2230", "500"):
        ok(page.scan(text))
    made = house.ask(find_lot, labels[0])
    assert made.run == run.number
    assert [link.parent_number for link in house.ask(links_of, made.id)] == [rod]
    assert verify(house.database).finding is None


def test_where_no_run_went_on_one_is_recorded_at_that_time_and_the_machine_goes_on_with_its_own(
    house: House,
) -> None:
    labels = pad(house)
    house.clock.forward(hours=24)
    drawing = at(house, "draw_1")
    drawing.answer(lay(house, "rod_55", 2_000_000), "wire_25")
    live = house.ask(open_runs_at, house.thing("station", "draw_1"))[0].number
    page = catching_up(house)
    ok(page.scan(labels[0]))
    page.answer("2 2230", "wire_25")
    assert "no run went on then" in page.last["say"]
    rod = lay(house, "rod_55", 1_800_000)
    ok(page.scan(rod))
    ok(page.scan("486"))
    made = house.ask(find_lot, labels[0])
    assert made.run != live
    assert [link.parent_number for link in house.ask(links_of, made.id)] == [rod]
    ok(drawing.scan("480"))
    assert house.ask(open_runs_at, house.thing("station", "draw_1"))[0].number == live
    ok(page.scan(labels[1]))
    ok(page.scan("2340"))
    page.answer("DONE", "off")
    assert [row.number for row in house.ask(open_runs_at, house.thing("station", "draw_1"))] == [live]


def test_scrap_of_the_night_is_entered_with_its_row(house: House) -> None:
    labels, _ = a_night(house)
    page = catching_up(house)
    ok(page.scan(labels[0]))
    ok(page.scan("2 2230"))
    page.answer("SCRAP", house.ask(current_plant).reasons_of("scrap")[0].code)
    assert page.last["next"] == "Type the weight of the scrap"
    ok(page.scan("12"))
    ok(page.scan("486"))
    run = house.ask(find_run, house.ask(find_lot, labels[0]).run)
    assert [(one.own, one.at) for one in run.scrap] == [(12_000, moment("2026-11-02T22:30"))]


# ---- labels that are not for this


def test_a_row_that_was_entered_says_so(house: House) -> None:
    labels, _ = a_night(house)
    page = catching_up(house)
    for text in (labels[0], "2 2230", "486"):
        ok(page.scan(text))
    again = page.scan(labels[0])
    assert again["verdict"] == "already"
    assert plain(again["say"]) == f"{shown(labels[0])} is entered: 486 kg, Mon 2 Nov, 22:30."
    given = house.ask(pads_given)[0]
    assert (len(given.of(USED)), len(given.of(OUT))) == (1, 5)


def test_a_label_of_another_pad_or_of_none_is_refused_with_what_to_do(house: House) -> None:
    labels, rod = a_night(house)
    elsewhere = pad(house, "R", "draw_2")
    page = catching_up(house)
    other = page.scan(elsewhere[0])
    assert other["verdict"] == "refused"
    assert "kept at Drawing machine 2" in other["say"]
    assert "Scan that station's own label" in other["detail"]
    never = page.scan(str(make("R", 2026, 900_000)))
    assert "never set aside" in never["say"]
    assert "new number and a new label" in never["detail"]
    assert "no emergency label" in page.scan(rod)["say"]
    house.post(DestroyPadLabels(labels[4:5], "Torn"), "supervisor")
    assert "recorded as destroyed" in page.scan(labels[4])["say"]
    house.post(AnswerWithPad(rod, labels[5]), "operator")
    assert page.scan(labels[5])["verdict"] == "already"
    assert page.context == {}
    moved = page.scan(house.thing("station", "draw_2"))
    assert moved["goto"] == "/catchup"


def test_nothing_is_taken_before_label_and_time(house: House) -> None:
    labels, _ = a_night(house)
    coil = lay(house, "rod_55", 1_000_000)
    page = catching_up(house)
    assert "No row is begun" in page.scan("486")["say"]
    ok(page.scan(labels[0]))
    assert "is no time that was" in page.scan("486 kg")["say"]
    house.post(PlaceHold("Rust", lot=coil), "qa")
    assert page.scan(coil)["verdict"] == "refused"
    ok(page.scan("2 2230"))
    ok(page.scan("UNDO"))
    ok(page.scan("2 2330"))
    assert ok(page.scan("NEXT"))["context"].keys() == {"last"}
    assert [one.state for one in house.ask(pads_given)[0].labels] == [OUT] * 6


def test_a_held_coil_that_was_used_all_the_same_takes_a_supervisor(tmp_path: Path) -> None:
    with by_hand():
        a_held_coil_is_entered(an_office_house(tmp_path))


def a_held_coil_is_entered(house: House) -> None:
    labels = pad(house)
    house.clock.forward(hours=24)
    coil = lay(house, "rod_55", 1_000_000)
    house.post(PlaceHold("Rust", lot=coil), "qa")
    page = catching_up(house)
    ok(page.scan(labels[0]))
    page.answer("2 2230", "wire_25")
    refused = page.answer(coil, "ended") if page.scan(coil)["verdict"] == "ask" else page.last
    assert refused["verdict"] == "held"
    link = re.search(r"/pin/[\w-]+", refused["fragments"]["override"])
    assert link
    proof = {"pin": PIN, "badge": str(house.ask(badge_of, house.people["supervisor"]))}
    assert page.post(link[0], **proof).status_code == 303
    made = house.ask(recent, house.thing("station", "draw_1"))[0]
    assert (made.command, made.basis, made.happened) == ("LoadInput", "late", moment("2026-11-02T22:30"))
    assert made.supervisor == house.people["supervisor"]


# ---- mistakes


def test_what_was_entered_is_put_right_and_not_taken_back(house: House) -> None:
    labels, _ = a_night(house)
    page = catching_up(house)
    for text in (labels[0], "2 2230", "846"):
        ok(page.scan(text))
    refused = page.scan("UNDO")
    assert refused["verdict"] == "refused"
    assert "could never be used again" in refused["say"]
    house.post(CorrectAmount(lot=labels[0], amount=486_000, why="wrong_number"), "supervisor")
    assert house.ask(find_lot, labels[0]).amount == 486_000


def test_a_coil_loaded_by_mistake_is_taken_back_and_the_row_goes_on(house: House) -> None:
    labels = pad(house)
    wrong, right = (lay(house, "rod_55", 1_500_000) for _ in range(2))
    house.clock.forward(hours=5)
    page = catching_up(house)
    ok(page.scan(labels[0]))
    page.answer("0730", "wire_25")
    ok(page.scan(wrong))
    assert "Taken back" in ok(page.scan("UNDO"))["say"]
    ok(page.scan(right))
    ok(page.scan("486"))
    made = house.ask(find_lot, labels[0])
    assert [link.parent_number for link in house.ask(links_of, made.id)] == [right]


@pytest.mark.parametrize(
    "context",
    [
        {"number": 7, "at": "x", "last": -1},
        {"number": "R2600000161", "at": 2**52},
        {
            "number": "nonsense",
            "at": 1_793_600_000_000_000,
            "carrier": "P",
            "payoff": "none",
            "scrap": "none",
        },
        {"at": 1_793_600_000_000_000, "last": [1], "of": {}},
    ],
)
def test_what_the_page_never_kept_breaks_nothing(house: House, context: dict[str, Any]) -> None:
    labels, rod = a_night(house)
    page = catching_up(house)
    for text in (
        labels[0],
        "0230",
        "486",
        rod,
        "UNDO",
        "NEXT",
        "DONE",
        "SCRAP",
        "1,5",
        house.thing("payoff", "1", "draw_1"),
    ):
        answer = page.send(page.body(text, context=context))
        assert answer.status_code == 200, answer.text


def test_the_page_shows_which_rows_are_left(house: House) -> None:
    labels, rod = a_night(house)
    page = catching_up(house)
    for text in (labels[0], "2 2230", "486", labels[1], "2340"):
        ok(page.scan(text))
    shows = page.last["fragments"]
    assert shown(labels[1]) in shows["catchup-row"]
    assert shown(rod) in shows["catchup-row"]
    assert "1 entered, 5 not" in shows["catchup-pads"]
    assert page.client.get("/catchup").status_code == 200
