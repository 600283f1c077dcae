"""Which weights were typed by hand at a station, one by one?"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request
from sqlalchemy import Row

from lotroot.plant.adopted import code_of
from lotroot.reconciliation import who_typed
from lotroot.tracing.words import Words
from lotroot.web.answers import FILES, file_url, iso, wanted
from lotroot.web.cells import Table, column, link
from lotroot.web.desk import desk
from lotroot.web.figures import MOST, address, asked_for, typed_days
from lotroot.web.frame import frame, when
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json

blueprint = Blueprint("figures_typed", __name__)

WHAT = {
    who_typed.MADE: "Made",
    who_typed.LEFT: "What was left",
    who_typed.SCRAP: "Scrap",
    who_typed.BIN: "Bin of scrap",
    who_typed.TOLD: "Received, or corrected",
    who_typed.COUNTED: "In a count",
    who_typed.EMPTY: "Weighed empty",
}
FIELDS = ("what", "number", "at")


@blueprint.get("/figures/typed")
def page() -> Response:
    """The weights typed by hand at ?station= (its number), of the production days ?first= to ?last=."""
    values = typed_days()
    asked = asked_for(values)
    station = request.args.get("station", "")
    with desk().house.reading() as connection:
        code_of(connection, station, "station")
        found = who_typed.typed_by_hand(connection, *asked, station)
        words = Words(connection)
    if wanted() in FILES:
        rows = [{"what": one.what, "number": one.number, "at": iso(one.at)} for one in found]
        return csv_answer("typed", FIELDS, rows) if wanted() == "csv" else as_json({"weights": rows}, 200)
    columns = [column("When", "when"), column("What was weighed", "what"), column("Of", "of")]
    title = f"Weights typed by hand: {words.called(station)}"
    note = f"And {len(found) - MOST} more; the file has all." if len(found) > MOST else ""
    rows = [_row(one, words) for one in found[:MOST]]
    table = Table(title, columns, rows, "No weight was typed by hand.", note)
    more: dict[str, Any] = {"tables": [table], "file_url": file_url, "back": address("figures.page", asked)}
    return make_response(render_template("figures.html", **frame(**values, **more)))


def _row(one: Row[Any], words: Words) -> dict[str, Any]:
    of = link(one.number, words.called(one.number))
    return {"when": when(words.plant, one.at), "what": WHAT[one.what], "of": of}
