"""Which dies are in each set, what went through them, when are they due, and what row would draw a wire?"""

from decimal import Decimal
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request, url_for

from lotroot.dies.handling import HOWS, RecutDie
from lotroot.dies.sizes import recuts_of
from lotroot.errors import LotrootError
from lotroot.processes.definition import Plant
from lotroot.tracing.wear import sets_with_dies, wear
from lotroot.tracing.words import Words
from lotroot.web import filled
from lotroot.web.acting import Errors, record, shown_again
from lotroot.web.answers import FILES, file_url, wanted
from lotroot.web.desk import desk
from lotroot.web.die_rows import runs_file, sets_file
from lotroot.web.die_schedule import FIELDS, TAPERS, WrongField, proposed, schedule_table
from lotroot.web.die_tables import KNOWN, dies_table, readings_table, recuts_table, runs_table, wear_words
from lotroot.web.frame import frame, signed_in

blueprint = Blueprint("dies", __name__)
NAV = (("Dies", "dies.page"),)

USUAL_MOST = "20"
"""Offered where no process of the plant limits a draft: a usual reduction of low carbon wire (memory)."""


@blueprint.get("/dies")
def page() -> Response:
    """Every die set; with ?rod= and ?wire= also a row of dies that would draw the one to the other."""
    plant = signed_in().plant
    with desk().house.reading() as connection:
        words, sets = Words(connection), sets_with_dies(connection)
    if wanted() in FILES:
        return sets_file(sets)
    shown = [
        {"number": each.thing, "table": dies_table(each, words), "wear": wear_words(each)} for each in sets
    ]
    values: dict[str, Any] = {"sets": shown, "known": KNOWN, "file_url": file_url, "tapers": TAPERS.items()}
    proposal, status = _proposal(plant)
    return make_response(render_template("dies.html", **frame(**values, **proposal)), status)


def _proposal(plant: Plant | None) -> tuple[dict[str, Any], int]:
    """What the form below shows, and the status of the answer."""
    most, whole = _limits(plant)
    given = {"rod": "", "wire": "", "most": most, "taper": "equal"}
    asked = {name: request.args.get(name, given[name]).strip() for name in FIELDS}
    values: dict[str, Any] = {"asked": asked, "schedule": None, "errors": []}
    if not asked["rod"] and not asked["wire"]:
        return values, 200
    try:
        return {**values, "schedule": schedule_table(proposed(asked, whole))}, 200
    except WrongField as wrong:
        return {**values, "errors": [{"field": wrong.field, "text": str(wrong.error)}]}, 422


def _limits(plant: Plant | None) -> tuple[str, Decimal]:
    """The most that one draft and all of them may reduce, by the first process that says so."""
    drafts = [one.drafts for one in plant.processes.values() if one.drafts] if plant else []
    if not drafts:
        return USUAL_MOST, Decimal("99.9")
    return drafts[0].most_percent, Decimal(drafts[0].total_most_percent)


@blueprint.get("/dies/<thing>")
def one(thing: str) -> Response:
    """One set: its dies, their history, the runs, and the form that says a die is another now."""
    signed_in()
    if wanted() in FILES:
        with desk().house.reading() as connection:
            return runs_file(wear(connection, thing))
    return make_response(_one(thing))


@blueprint.post("/dies/<thing>/recut")
def recut(thing: str) -> Response:
    """A die is recut, moved or replaced."""

    def again(errors: Errors) -> str:
        return _one(thing, errors)

    try:
        place = filled.whole("place")
    except LotrootError as error:
        return shown_again(error, again, "place")
    command = RecutDie(thing, place, filled.words("size"), filled.words("how"), filled.words("words"))
    return record(command, url_for("dies.one", thing=thing), again=again, field="size")


def _one(thing: str, errors: Errors | None = None) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        words, worn = Words(connection), wear(connection, thing)
        recuts = recuts_of(connection, thing)
        tables = [
            dies_table(worn, words),
            readings_table(worn.readings, words),
            recuts_table(recuts, words),
            runs_table(worn.runs, words),
        ]
    places = [(str(part.die.place), f"{part.die.place}: {part.die.size_mm} mm") for part in worn.dies]
    kept = {name: request.form.get(name, "") for name in ("place", "size", "how", "words")}
    values: dict[str, Any] = {
        "name": worn.resource.name,
        "number": thing,
        "wear": wear_words(worn) if worn.dies else "",
        "tables": tables,
        "places": list(reversed(places)),  # the last die wears fastest
        "hows": list(HOWS.items()),
        "kept": {**kept, "how": kept["how"] or "recut"},
        "known": KNOWN,
        "file_url": file_url,
        "errors": errors or [],
        "may_recut": found.may(RecutDie) and bool(worn.dies) and bool(found.person),
    }
    return render_template("die_set.html", **frame(**values))
