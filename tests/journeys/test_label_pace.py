"""Does the benchmark of labels compare equals, and say what it measured?

Nothing here asserts a time: a test on a busy machine would say nothing about the code.
"""

import json
from pathlib import Path
from random import Random

import pytest
from demo_once import a_demo
from lotroot.bench.measuring import Times
from lotroot.bench.report import Report
from lotroot.cli import label_pace, main
from lotroot.cli.label_pace import Postings, postings
from lotroot.errors import Fault
from lotroot.labelling import pace
from lotroot.labelling.pace import NOT_READ_BACK, PLAIN, READ_BACK, block_pace, label_times
from lotroot_printing.compose import compose
from lotroot_printing.drawing import Drawing
from lotroot_printing.plain import CANVASES, plain_png, read_png


@pytest.mark.parametrize("dpi", [203, 300])
def test_everybody_makes_as_many_labels_and_all_were_read_as_the_same(dpi: int) -> None:
    took = label_times(3, dpi)
    assert set(took) == {READ_BACK, NOT_READ_BACK, *PLAIN.values()}
    assert {len(each) for each in took.values()} == {3}
    assert min(min(each) for each in took.values()) > 0


@pytest.mark.parametrize("canvas", CANVASES)
def test_a_plain_label_says_what_ours_does_with_as_many_texts(canvas: str) -> None:
    layout = pace.layout_named("item", 203)
    drawing = compose(layout, layout.sample)
    found = read_png(plain_png(drawing, canvas), drawing)
    assert found == {(each.symbology, each.text) for each in drawing.symbols}
    bare = Drawing(drawing.title, drawing.width, drawing.height, drawing.dpi, (), drawing.symbols)
    assert plain_png(bare, canvas) != plain_png(drawing, canvas)


def test_a_label_that_says_something_else_is_a_fault_and_not_timed() -> None:
    layout, chance = pace.layout_named("item", 203), Random(1)
    other = compose(layout, pace.item_fields(layout, chance))
    liar = {"a liar": lambda _fields: plain_png(other, "1")}
    with pytest.raises(Fault, match="differ, so they are not timed: a liar"):
        pace.compare(layout, liar, pace.item_fields(layout, chance))


def test_a_block_is_one_pdf_of_so_many_pages() -> None:
    made = block_pace(3)
    assert made.labels == 3
    assert made.seconds > 0
    assert made.size > block_pace(1).size


@pytest.mark.in_ci
def test_postings_are_measured_alone_and_beside_a_worker_at_work(shared: Path, tmp_path: Path) -> None:
    with a_demo(shared, tmp_path) as demo:
        took = postings(demo, 8)
    assert len(took.alone) == 8
    assert 1 <= len(took.beside) <= 8


def test_ratios_are_over_ours_and_goals_ask_the_leanest_of_the_others() -> None:
    report = Report({})
    plain, lavish = PLAIN.values()
    took = {READ_BACK: [2_000_000], NOT_READ_BACK: [1_000_000], plain: [3_000_000], lavish: [9_000_000]}
    label_pace._add_labels(report, 203, took)
    label_pace._add_postings(report, Postings([1_000_000], [6_000_000]))
    assert [(goal.found, goal.met) for goal in report.goals] == [(1.5, True), (3.0, True), (6.0, False)]
    assert report.ratio("a label of 100 x 70 mm to PNG at 203 dpi", plain) == 1.5
    assert report.measured[0].times == Times(2.0, 2.0)


@pytest.mark.in_ci
def test_the_command_tells_every_goal(capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["bench-labels", "--turns", "4", "--block", "3", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert code == (0 if all(goal["met"] for goal in told["goals"]) else 1)
    assert {goal["number"] for goal in told["goals"]} == {"1", "2", "3", "4"}
    assert told["machine"]["cores"]
