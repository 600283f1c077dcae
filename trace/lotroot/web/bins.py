"""What did bins of scrap weigh, which runs is it apportioned to, and what if a weight was wrong?"""

from typing import Any

from flask import Blueprint, Response, render_template, url_for
from markupsafe import Markup
from sqlalchemy import Connection, Row

from lotroot.errors import LotrootError, Unknown
from lotroot.plant.adopted import thing_or_none
from lotroot.processes.definition import Plant
from lotroot.production.apportioning import latest_weighings, parts_of, weighing_or_none
from lotroot.production.bins import CorrectBin
from lotroot.tracing.words import Words
from lotroot.web import filled
from lotroot.web.acting import Errors, record, shown_again
from lotroot.web.answers import count
from lotroot.web.cells import Table, column, link, plain
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in, when

blueprint = Blueprint("bins", __name__)
NAV = (("Scrap bins", "bins.page"),)
MOST = 50
"""Weighings shown, the latest."""


@blueprint.get("/bins")
def page() -> str:
    """The latest weighings, each leading to its runs."""
    plant = signed_in().plant
    with desk().house.reading() as connection:
        words = Words(connection)
        rows = [_row(connection, plant, words, row) for row in latest_weighings(connection, MOST)]
    columns = [
        column("When", "when"),
        column("Bin", "bin"),
        column("Why", "reason"),
        column("Held", "held", ""),
        column("Of it weighed before", "named", ""),
        column("Apportioned", "shared", ""),
        column("To", "runs"),
        column("By", "person"),
    ]
    table = Table("Weighed as they were emptied", columns, rows, "No bin was weighed yet.")
    return render_template("bins.html", **frame(table=table))


@blueprint.get("/bins/<int:weighing>")
def one(weighing: int) -> str:
    """One weighing: the runs it is apportioned to, and its weight to correct."""
    return _one(weighing, [])


@blueprint.post("/bins/<int:weighing>")
def correct(weighing: int) -> Response:
    """The scale showed something else, or it was scrap for another reason."""
    try:
        command = CorrectBin(weighing, filled.amount("weight", "g"), filled.words("reason"))
    except LotrootError as error:
        return shown_again(error, lambda errors: _one(weighing, errors), "weight")
    return record(command, url_for("bins.page"), again=lambda errors: _one(weighing, errors), field="weight")


def _row(connection: Connection, plant: Plant | None, words: Words, row: Row[Any]) -> dict[str, Any]:
    runs = len({part.run for part in parts_of(connection, row.event)})
    address = Markup('<a href="/bins/{}">{}</a>').format(row.event, when(plant, row.at))
    return {
        "when": address,
        "bin": words.called(row.bin),
        "reason": words.reason(row.reason),
        "held": words.amount(row.weight, "g"),
        "named": words.amount(row.named, "g") if row.named else "",
        "shared": words.amount(row.shared, "g") if row.shared else "",
        "runs": count(runs, "run") if runs else "none",
        "person": words.called(row.person),
    }


def _one(weighing: int, errors: Errors) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        row = weighing_or_none(connection, weighing)
        if row is None or row.voided:
            raise Unknown(
                "No such weighing of a bin stands.",
                value=str(weighing),
                expected="A weighing on the page of bins.",
                next_step="It may have been taken back or corrected; look at the list.",
            )
        words = Words(connection)
        values = _told(connection, found.plant, words, row)
    may = found.may(CorrectBin)
    return render_template("bin.html", **frame(errors=errors, may_correct=may, weighing=weighing, **values))


def _told(connection: Connection, plant: Plant | None, words: Words, row: Row[Any]) -> dict[str, Any]:
    scale = row.weight + row.tare
    pairs = [
        ("Weighed", f"{when(plant, row.at)}, by {words.called(row.person)}{words.typed(row.typed_by)}"),
        ("Filled since", when(plant, row.since)),
        ("Why it is scrap", words.reason(row.reason)),
        ("The scale showed", words.amount(scale, "g")),
        ("The bin weighs", words.amount(row.tare, "g") if row.tare else "taken off on the scale"),
        ("It held", words.amount(row.weight, "g")),
        ("Of it weighed before", words.amount(row.named, "g")),
        ("Apportioned", words.amount(row.shared, "g")),
    ]
    rows = [
        {"run": link(part.run), "load": str(part.load), "amount": words.amount(part.amount, "g")}
        for part in parts_of(connection, row.event)
    ]
    columns = [column("Run", "run"), column("Load", "load", ""), column("Scrap", "amount", "")]
    thing = thing_or_none(connection, row.bin)
    found = plant.bins.get(thing.code) if plant is not None and thing is not None else None
    of_any = plant.reasons_of("scrap") if plant is not None and found and found.reason is None else ()
    return {
        "name": words.called(row.bin),
        "pairs": pairs,
        "table": Table("Apportioned to", columns, rows, "To no run."),
        "scale": plain(scale, "g", plant),
        "unit": plant.units.get("g", "g") if plant else "g",
        "reasons": [(one.code, one.words) for one in of_any],
        "reason": row.reason,
    }
