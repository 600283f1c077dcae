"""May a packer who counts boxes weigh one now and then, with one number and nothing else?"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import plants
import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.identity.showing import shown
from lotroot.production.loading import UnloadInput
from lotroot.production.marking import CloseRun
from lotroot.production.runs import find_run, outputs_of_lot
from lotroot.questions import questions_of
from lotroot.stock.standing import weights
from paper_forms import pad
from shop import Shop
from terminals import Terminal


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path)


@pytest.fixture
def either(database_url: str) -> Iterator[House]:
    """On SQLite and on PostgreSQL: what is kept of a weighed box."""
    made = a_house(database_url)
    yield made
    made.database.close()


def packing(house: House, who: str = "operator") -> Terminal:
    """A terminal at the packing bench, its hopper filled."""
    Shop(house).in_the_hopper()
    return at(house, "packing", who)


def last(house: House) -> Any:
    return run_at(house, "packing").outputs[-1]


def known(row: Any) -> tuple[Any, ...]:
    """Serials, net, gross, tare, how it is known and who typed it."""
    return row.first, row.last, row.own, row.gross, row.tare, row.basis, row.typed_by


@pytest.mark.parametrize(
    ("text", "by", "expected"),
    [
        # a plain number from fingers is a count, whoever typed before
        ("12", "hand", (1, 12, 300_000, 0, 0, "counted", "hand")),
        ("12", "", (1, 12, 300_000, 0, 0, "counted", "")),
        ("12 pcs", "scale", (1, 12, 300_000, 0, 0, "counted", "scale")),
        # with a unit of mass, or off the scale, it is one box in its carton
        ("25.56 kg", "hand", (1, 1, 25_100, 25_560, 460, "weighed", "hand")),
        ("25.56kg", "hand", (1, 1, 25_100, 25_560, 460, "weighed", "hand")),
        ("25560 g", "hand", (1, 1, 25_100, 25_560, 460, "weighed", "hand")),
        ("25.56", "scale", (1, 1, 25_100, 25_560, 460, "weighed", "scale")),
        ("25,560", "scale", (1, 1, 25_100, 25_560, 460, "weighed", "scale")),
        ("25", "scale", (1, 1, 24_540, 25_000, 460, "weighed", "scale")),
        # the word says which, where a box stands on a scale that takes its carton off
        ("25.1 kg net", "hand", (1, 1, 25_100, 0, 0, "weighed", "hand")),
        ("25.1 net", "hand", (1, 1, 25_100, 0, 0, "weighed", "hand")),
        ("25.56 gross", "hand", (1, 1, 25_100, 25_560, 460, "weighed", "hand")),
    ],
)
def test_what_a_number_means_at_a_bench_that_counts_and_weighs(
    house: House, text: str, by: str, expected: tuple[Any, ...]
) -> None:
    bench = packing(house)
    ok(bench.scan(text, typed_by=by))
    assert known(last(house)) == expected
    assert house.status() == house.rebuilt()


def test_the_next_step_says_what_may_be_typed(house: House) -> None:
    bench = packing(house)
    bench.scan("HELP")
    assert plain(bench.last["next"]) == (
        "Type how many boxes of 25 kg, or the gross weight of one, such as 25.46 kg"
    )


def test_net_gross_and_tare_of_each_box_are_kept(either: House) -> None:
    bench = packing(either)
    ok(bench.scan("4"))
    said = plain(ok(bench.scan("25.56", typed_by="scale"))["say"])
    assert "25.1 kg (25.56 kg gross less 0.46 kg)" in said
    ok(bench.scan("25.49", typed_by="scale"))
    row = last(either)
    assert either.ask(weights, row.lot, 1, 6) == {5: 25_100, 6: 25_030}
    assert [known(one)[:5] for one in either.ask(outputs_of_lot, row.lot)] == [
        (1, 4, 100_000, 0, 0),
        (5, 5, 25_100, 25_560, 460),
        (6, 6, 25_030, 25_490, 460),
    ]
    page = plain(bench.client.get(f"/lots/{row.run}").text)
    assert "2 weighed, 50.13 kg net, nominal 50 kg: 0.13 kg given away (0.26 %)" in page
    assert "weighed, off the scale, 25.56 kg gross less 0.46 kg tare" in page
    box = plain(bench.client.get(f"/lots/{Shop(either).item(row.lot, 5)}").text)
    assert "25.1 kg, weighed, off the scale, 25.56 kg gross less 0.46 kg tare" in box
    assert "Weighs" in box
    assert "Weighs" not in bench.client.get(f"/lots/{Shop(either).item(row.lot, 4)}").text
    Shop(either).closes()


def test_a_light_box_is_asked_about_once_and_put_in_question(house: House) -> None:
    bench = packing(house)
    asked = bench.scan("24.9", typed_by="scale")
    assert asked["verdict"] == "ask", "24.44 kg net lacks more than twice what is tolerable"
    assert plain(asked["question"]["text"]).startswith("24.44 kg is 0.56 kg less than its 25 kg")
    ok(bench.answer("24.9", "yes", typed_by="scale"))
    row = last(house)
    assert row.own == 24_440
    (question,) = house.ask(questions_of, row.lot)
    assert plain(question.reason).startswith("Item 1: 24.44 kg is 0.56 kg less"), "which box to look at"
    Shop(house).closes()


def test_a_heavy_box_is_asked_about_and_noted_in_the_run(house: House) -> None:
    bench = packing(house)
    ok(bench.answer("26.2 kg", "yes"))
    run = run_at(house, "packing")
    assert any("agreed to" in mark.words for mark in run.marks)
    assert house.ask(questions_of, last(house).lot) == []


@pytest.mark.parametrize(
    ("text", "by", "said"),
    [
        ("0", "scale", "Nothing was made."),
        ("0.46", "scale", "0.46 kg gross leaves nothing: empty it weighs 0.46 kg."),
        ("25.5", "hand", "Pieces are counted whole."),
        ("25.5 m", "hand", "m is no unit that fits here."),
        ("-25 kg", "hand", "-25 is negative."),
        ("NaN", "scale", "NaN is not written in digits and one decimal mark."),
        ("1000000000 kg", "hand", "Box: that is more than can be."),
    ],
)
def test_what_is_no_count_and_no_weight_is_told_and_nothing_is_written(
    house: House, text: str, by: str, said: str
) -> None:
    bench = packing(house)
    answer = bench.scan(text, typed_by=by)
    assert answer["verdict"] not in ("accepted", "asked_done"), answer
    assert said in plain(f"{answer['say']} {answer.get('detail', '')}")
    assert run_at(house, "packing").outputs == []


def test_a_fraction_of_a_box_hears_how_a_weight_is_typed(house: House) -> None:
    bench = packing(house)
    answer = bench.scan("25.5", typed_by="hand")
    assert "or the gross weight of one, such as 25.46 kg" in plain(answer["detail"])


def test_the_same_again_is_weighed_again_and_counted_boxes_are_not(house: House) -> None:
    bench = packing(house)
    ok(bench.scan("4"))
    ok(bench.scan("SAME AGAIN"))
    assert last(house).last == 8
    ok(bench.scan("25.5 kg"))
    again = bench.scan("SAME AGAIN")
    assert again["verdict"] not in ("accepted", "asked_done")
    assert "Weigh the next one" in str(again)


@pytest.mark.parametrize("text", ["25.5 kg", "3"])
def test_where_nothing_is_loaded_one_question_is_asked_and_no_second(house: House, text: str) -> None:
    packing(house)
    Shop(house).at("packing", UnloadInput())
    Shop(house).at("packing", CloseRun())
    bench = at(house, "packing")
    ok(bench.answer(text, "yes"))
    assert last(house).own in (25_040, 75_000)


def test_a_bench_that_only_counts_takes_no_weight(tmp_path: Path) -> None:
    house = a_house(tmp_path, plants.demo_text().replace("weighs_items = true", "weighs_items = false"))
    bench = packing(house)
    assert plain(bench.scan("HELP")["next"]) == "Type how many boxes of 25 kg"
    assert bench.scan("25.5 kg")["verdict"] not in ("accepted", "asked_done")
    ok(bench.scan("12", typed_by="scale"))
    assert known(last(house))[:3] == (1, 12, 300_000)


def test_without_a_tare_a_gross_weight_is_refused_and_a_net_one_taken(tmp_path: Path) -> None:
    house = a_house(tmp_path, plants.demo_text().replace("tare_g = 460\n", ""))
    bench = packing(house)
    refused = bench.scan("25.5 kg")
    assert "Nobody knows what Nails 2.5 x 50, box of 25 kg is packed in weighs" in refused["say"]
    ok(bench.scan("25.1 kg net"))
    assert known(last(house))[2:5] == (25_100, 0, 0)


def test_a_box_on_paper_with_its_weight_is_entered_as_weighed_by_hand(house: House) -> None:
    with by_hand():
        labels = pad(house, "N", "packing")
        pan = lay(house, "tumbled_25x50", 500_000, "pack_floor")
    bench = at(house, "packing")
    assert ok(bench.answer(pan, "box_25x50") if bench.scan(pan)["verdict"] == "ask" else bench.last)
    house.clock.forward(hours=24)
    page = at(house, "packing").on("catchup")
    for text in (labels[0], "2 2230", "25.56 kg"):
        ok(page.scan(text, typed_by="scale"))
    (row,) = house.ask(outputs_of_lot, labels[0])
    assert known(row) == (1, 1, 25_100, 25_560, 460, "weighed", "hand")
    for text in (labels[1], "2 2240", "3"):
        ok(page.scan(text, typed_by="scale"))  # a burst of a key pad is no scale: three boxes
    (row,) = house.ask(outputs_of_lot, labels[1])
    assert known(row)[:3] == (1, 3, 75_000)
    assert shown(labels[1]) in page.last["say"]
    assert house.ask(find_run, row.run).row.closed is None
    Shop(house).closes()
