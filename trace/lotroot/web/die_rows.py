"""How does what is known of die sets leave the page as a file?"""

from collections.abc import Mapping, Sequence
from typing import Any

from flask import Response

from lotroot.tracing.wear import RunThrough, Wear
from lotroot.web.answers import iso, wanted
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json

FIELDS = (
    "thing", "set", "place", "size_mm", "how", "since", "through_g", "through_mm", "readings",
    "mm_per_tonne", "upper_mm", "left_g",
)  # fmt: skip
"""One row a die; what is known of the last die's wear stands in its row alone."""
RUN_FIELDS = ("thing", "set", "run", "since", "until", "mass_g")


def sets_file(some: Sequence[Wear]) -> Response:
    """All dies of some sets."""
    return _file("dies", FIELDS, [row for one in some for row in _dies(one)])


def runs_file(one: Wear) -> Response:
    """All runs that a set drew in."""
    rows = [_run(one, run) for run in one.runs]
    return _file("runs", RUN_FIELDS, rows)


def _dies(one: Wear) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = []
    for worn in one.dies:
        last = worn is one.dies[-1]
        line = one.line if last else None
        rows.append(
            {
                "thing": one.thing,
                "set": one.resource.code,
                "place": worn.die.place,
                "size_mm": worn.die.size_mm,
                "how": worn.die.how,
                "since": iso(worn.die.since) if worn.die.since else None,
                "through_g": worn.through.mass_g,
                "through_mm": worn.through.length_mm,
                "readings": len(one.readings) if last else None,
                "mm_per_tonne": f"{line.mm_per_tonne:.6f}" if line else None,
                "upper_mm": one.upper.high if last and one.upper else None,
                "left_g": one.left_g if last else None,
            }
        )
    return rows


def _run(one: Wear, run: RunThrough) -> dict[str, Any]:
    return {
        "thing": one.thing,
        "set": one.resource.code,
        "run": run.run,
        "since": iso(run.since),
        "until": iso(run.until),
        "mass_g": run.mass_g,
    }


def _file(name: str, fields: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> Response:
    return csv_answer(name, fields, rows) if wanted() == "csv" else as_json({name: list(rows)}, 200)
