"""Is a figure named by its leading columns, and another one as soon as it says anything else?"""

from dataclasses import replace
from pathlib import Path

import plants
import pytest
from lotroot import reference
from lotroot.confirmed.figures import Figure, figure_of, figures_in, leading, named
from lotroot.confirmed.standing import Standing
from lotroot.errors import Unknown
from lotroot.plant.figures import LIMITS, LOSSES, figures_of, limit_figure, loss_figure

PLANT = plants.demo_plant()
SIXTY = figure_of(reference.row("nails", length_mm="60.00"))


def test_a_row_is_named_by_the_fewest_columns_that_tell_it_apart() -> None:
    assert SIXTY.keys == ("type", "penny", "length_mm")
    assert SIXTY.row == "metric round |  | 60.00"
    assert "shank_mm" in SIXTY.values
    assert not {"type", "length_mm", "source", "confidence"} & set(SIXTY.values)
    assert (SIXTY.from_memory, SIXTY.confidence) == (True, "memory")


@pytest.mark.parametrize("name", [*reference.names(), LIMITS, LOSSES])
def test_no_two_figures_have_one_name_or_one_digest(name: str) -> None:
    figures = figures_of(PLANT, name)
    assert figures
    assert len({one.row for one in figures}) == len({one.digest for one in figures}) == len(figures)
    assert {len(one.digest) for one in figures} == {64}


@pytest.mark.parametrize("column", ["shank_mm", "source", "confidence", "length_mm"])
def test_whatever_a_figure_says_makes_it_the_one_it_is(column: str) -> None:
    other = replace(SIXTY, texts={**SIXTY.texts, column: "another"})
    assert other.digest != SIXTY.digest
    assert replace(SIXTY, texts=dict(SIXTY.texts)).digest == SIXTY.digest
    assert replace(SIXTY, table="mails").digest != SIXTY.digest


@pytest.mark.parametrize("typed", ["metric round |  | 60.00", "Metric Round | | 60.00"])
def test_a_figure_is_found_by_its_name(typed: str) -> None:
    assert named(figures_in("nails"), "nails", typed) == SIXTY


@pytest.mark.parametrize("typed", ["", "60.00", "metric round |  | 61.00"])
def test_a_name_that_no_row_has_is_unknown(typed: str) -> None:
    with pytest.raises(Unknown, match="lotroot tables nails"):
        named(figures_in("nails"), "nails", typed)


def test_a_table_whose_rows_are_all_alike_is_named_by_all_of_it(tmp_path: Path) -> None:
    path = tmp_path / "twins.csv"
    path.write_text("name,source,confidence\na,b,sourced\na,b,sourced\n", encoding="utf-8")
    assert leading(reference.read(path)) == ("name", "source", "confidence")


def test_a_product_has_its_own_limits_or_those_of_the_characteristic() -> None:
    assert limit_figure(PLANT, "wire_diameter", "wire_25").row == "wire_diameter | wire_25 | mm"
    general = limit_figure(PLANT, "moisture", "lumber_2x4x12")
    assert general.row.split(" | ")[1] == ""
    assert general == limit_figure(PLANT, "moisture", "")


def test_every_process_has_its_loss_as_a_figure() -> None:
    drawing = loss_figure(PLANT, "wire_drawing")
    assert (drawing.row, drawing.values) == ("wire_drawing | scale", {"loss_permille": "8"})
    assert len(figures_of(PLANT, LOSSES)) == len(PLANT.processes)


@pytest.mark.parametrize(
    ("confidence", "event", "counts"),
    [
        ("memory", 0, False),
        ("memory", 7, True),
        ("sourced", 0, True),
        ("cross-checked", 0, True),
        ("ours", 0, True),
        ("plant", 0, True),
    ],
)
def test_memory_alone_counts_for_nothing(confidence: str, event: int, counts: bool) -> None:
    figure = Figure("t", ("name",), {"name": "a", "value": "1", "source": "b", "confidence": confidence})
    assert Standing(figure, figure.values, event).counts is counts


def test_values_are_said_with_their_units() -> None:
    assert SIXTY.said().startswith("shank 2.500 mm, length 2.362 in, ")
    assert limit_figure(PLANT, "wire_diameter", "wire_25").said() == "low 2.45, high 2.55 mm"
    assert SIXTY.said({"shank_mm": "", "length_in": ""}) == "no value"


def test_parts_from_memory_in_a_surer_row_are_named() -> None:
    mesh = figure_of(reference.row("fabric_meshes", designation="A142"))
    assert (mesh.from_memory, mesh.doubtful) == (False, ("mass",))
    assert "mass_confidence" not in mesh.values
    assert SIXTY.doubtful == ()
