"""What did each step yield lately, and where did the rest go?"""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request

from lotroot.errors import LotrootError
from lotroot.tracing.words import Words
from lotroot.tracing.yields import Yield, percent, yields
from lotroot.web.answers import FILES, file_url, instead, wanted
from lotroot.web.cells import Table, column
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.gaps import DAY, DAYS, days_of
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json

blueprint = Blueprint("yields", __name__)

FIELDS = ("process", "product", "role", "unit", "runs", "made", "scrap", "missing")
"""Columns of the file: codes, and base units."""
MEANING = (
    "Used up is what is in the goods made, by-products among them, with scrap and what is missing; what came "
    "off the machine again is not. More made than went in shows as less than nothing missing."
)


@blueprint.get("/yields")
def page() -> Response:
    """Of runs closed in the last ?days=, 30 unless told."""
    signed_in()
    values: dict[str, Any] = {"days": request.args.get("days", "").strip() or str(DAYS)}
    try:
        since = desk().now() - days_of(values["days"]) * DAY
        with desk().house.reading() as connection:
            found, words = yields(connection, since), Words(connection)
    except LotrootError as error:
        return instead("yields.html", error, values)
    if wanted() in FILES:
        return _file(found)
    values |= {"tables": [_table(found, words)], "file_url": file_url}
    return make_response(render_template("yields.html", **frame(**values)))


def _table(found: Sequence[Yield], words: Words) -> Table:
    rows = [
        {
            "process": words.process(one.process),
            "product": words.product(one.product),
            "role": one.role,
            "runs": str(one.runs),
            "used": words.amount(one.used, one.unit),
            "made": words.amount(one.made, one.unit),
            "scrap": words.amount(one.scrap, one.unit) if one.scrap else "",
            "missing": words.amount(one.missing, one.unit) if one.missing else "",
            "yield": percent(one.permille),
        }
        for one in found
    ]
    columns = [
        column("Step", "process"),
        column("For", "product"),
        column("Input", "role"),
        column("Runs", "runs", ""),
        column("Used up", "used", ""),
        column("In what was made", "made", ""),
        column("Scrap", "scrap", ""),
        column("Missing", "missing", ""),
        column("Yield", "yield", "%"),
    ]
    return Table("What each step yielded", columns, rows, "No run was closed in this time.", MEANING)


def _file(found: Sequence[Yield]) -> Response:
    rows = [{name: getattr(one, name) for name in FIELDS} for one in found]
    return csv_answer("yields", FIELDS, rows) if wanted() == "csv" else as_json({"yields": rows}, 200)
