"""Is no table of goods read from end to end to say what met what, and what stands in a trace's way?"""

from collections.abc import Callable
from typing import Any

import pytest
from lotroot.database import Database
from lotroot.tracing.gaps import gaps
from lotroot.tracing.met import KINDS, Met, Window, last_change, lots_met
from query_plans import plans, read_whole
from sqlalchemy import text

EVER = Window(0, 2**62)

QUESTIONS: dict[str, Callable[[Any], Any]] = {
    **{
        kind: lambda connection, kind=kind: lots_met(connection, Met(kind, "no such"), EVER) for kind in KINDS
    },
    "last change of a tool": lambda connection: last_change(connection, "no such", 2**62),
    "gaps": lambda connection: gaps(connection, 0),
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_reaches_its_rows_by_index(demo_database: Database, question: str) -> None:
    with demo_database.reading() as connection:
        lines = plans(connection, lambda: QUESTIONS[question](connection))
    assert read_whole(lines) == []


def test_a_table_that_is_read_whole_is_seen(demo_database: Database) -> None:
    with demo_database.reading() as connection:
        lines = plans(
            connection, lambda: connection.execute(text("SELECT * FROM edge WHERE taken > 1")).all()
        )
    assert [line.split()[:2] for line in read_whole(lines)] == [["SCAN", "edge"]]
