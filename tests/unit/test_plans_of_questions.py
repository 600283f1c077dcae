"""Is no table of goods read from end to end to say what met what, and what stands in a trace's way?"""

import re
from collections.abc import Callable
from typing import Any

import pytest
from lotroot.database import Database
from lotroot.genealogy.lots import find_lot
from lotroot.holds.reach import held_among, held_by
from lotroot.plant.adopted import plant_or_none
from lotroot.tracing import trace
from lotroot.tracing.asking import asked
from lotroot.tracing.gaps import gaps
from lotroot.tracing.mass_days import Behind, Days, days_beside, runs_behind
from lotroot.tracing.mass_rows import mass_facts
from lotroot.tracing.met import KINDS, Met, Window, last_change, lots_met
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import sources_on
from lotroot.tracing.upward import up
from query_plans import plans, read_whole
from sqlalchemy import text

EVER = Window(0, 2**62)
COIL, BOXES, PALLET, HELD = "C2600002933", "N2600007923", "P2600000647", "R2600009085"
"""Of the demo plant, which is the same at each build."""
DAY = Days("2026-11-12", "2026-11-12")

QUESTIONS: dict[str, Callable[[Any], Any]] = {
    **{
        kind: lambda connection, kind=kind: lots_met(connection, Met(kind, "no such"), EVER) for kind in KINDS
    },
    "last change of a tool": lambda connection: last_change(connection, "no such", 2**62),
    "gaps": lambda connection: gaps(connection, 0),
    "sources of a pallet": lambda connection: sources_on(connection, PALLET),
    "recall of a coil": lambda connection: recall(connection, COIL),
    "hold check": lambda connection: held_by(connection, BOXES, 1, 2),
    "hold check of what is held": lambda connection: held_by(connection, HELD),
    "hold check of many": lambda connection: held_among(
        connection, [(find_lot(connection, number).id, None) for number in (BOXES, HELD)]
    ),
    "back": lambda connection: trace(connection, BOXES, "up"),
    "back from a pallet": lambda connection: trace(connection, PALLET, "up"),
    "forward": lambda connection: trace(connection, COIL, "down"),
    "mass of a day": lambda connection: mass_facts(connection, DAY, plant_or_none(connection)),
    "days beside": lambda connection: days_beside(connection, DAY),
    "runs behind": lambda connection: runs_behind(
        connection, DAY, Behind("g", ("wire_drawing", "slitting"), "scrap")
    ),
    "least and most": lambda connection: up(connection, asked(connection, BOXES), bounded=True),
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_reaches_its_rows_by_index(demo_database: Database, question: str) -> None:
    with demo_database.reading() as connection:
        lines = plans(connection, lambda: QUESTIONS[question](connection))
    assert read_whole(lines) == []


def test_where_goods_are_takes_one_look_up_and_not_a_second_for_the_row(demo_database: Database) -> None:
    """Of ten years each look-up goes by pages of its own; COVERING INDEX and PRIMARY KEY need no other."""
    with demo_database.reading() as connection:
        lines = plans(connection, lambda: (recall(connection, COIL), sources_on(connection, PALLET)))
    assert [line for line in lines if re.search("USING INDEX .*(standing|carrier|shipment|load)", line)] == []


def test_a_table_that_is_read_whole_is_seen(demo_database: Database) -> None:
    with demo_database.reading() as connection:
        lines = plans(
            connection, lambda: connection.execute(text("SELECT * FROM edge WHERE taken > 1")).all()
        )
    assert [line.split()[:2] for line in read_whole(lines)] == [["SCAN", "edge"]]
