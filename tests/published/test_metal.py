"""Does theory give the figures that standards, handbooks and tables print?

Each row of metal.csv is one worked example: what it asks, its inputs with their units, what is printed and
how closely it has to be met. The program works it out from the inputs; pint turns units into the program's
own and back, so that no conversion of ours proves itself. Rows from memory, and those worked by us, show only
that theory agrees with itself, and their names say so.
"""

import csv
from collections import Counter
from decimal import Decimal
from pathlib import Path

import pytest
from asked_of_theory import ASKED, Given, in_unit

HERE = Path(__file__).parent
ROWS = list(csv.DictReader((HERE / "metal.csv").read_text(encoding="utf-8").splitlines()))


def named(row: dict[str, str]) -> str:
    """The row's id, with its kind where it is no evidence."""
    weak = row["kind"] in ("memory", "worked by us")
    return f"{row['id']} {row['asks']}" + (f" ({row['kind']})" if weak else "")


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_theory_gives_the_printed_figure(row: dict[str, str]) -> None:
    answer = in_unit(ASKED[row["asks"]](Given(row["inputs"])), row["unit"])
    assert abs(answer - Decimal(row["expected"])) <= Decimal(row["tolerance"]), row["source"]


def test_all_120_examples_are_tried_and_each_names_its_source() -> None:
    assert len({row["id"] for row in ROWS}) == len(ROWS) == 120
    assert Counter(row["kind"] for row in ROWS) == {
        "published": 94,
        "cross-check": 16,
        "memory": 5,
        "worked by us": 5,
    }
    assert all(row["source"] for row in ROWS)
    assert all(Decimal(row["tolerance"]) > 0 for row in ROWS)


def test_whatever_a_row_asks_is_asked_of_the_program_and_every_question_is_asked() -> None:
    assert {row["asks"] for row in ROWS} == set(ASKED)


@pytest.mark.parametrize("row", [row for row in ROWS if "from memory" in row["source"]], ids=named)
def test_rows_that_rest_on_memory_are_no_plain_published_ones(row: dict[str, str]) -> None:
    """M051 and M086 rest on one remembered figure each and are checked against another one."""
    assert row["kind"] == "memory" or row["id"] in ("M051", "M086")


@pytest.mark.parametrize("row", ROWS, ids=named)
def test_the_example_has_room_for_less_than_a_tenth(row: dict[str, str]) -> None:
    """A tolerance so wide that anything passes would prove nothing; the fluids row compares two tables."""
    expected = Decimal(row["expected"])
    assert Decimal(row["tolerance"]) < max(expected / 10, Decimal("0.0001"))
