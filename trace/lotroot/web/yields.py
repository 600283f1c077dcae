"""What did the plant yield, sorted as one likes, over some production days, as known now or before?"""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request

from lotroot.errors import LotrootError
from lotroot.plant.adopted import current_plant, parties
from lotroot.reconciliation.knowing import NOW
from lotroot.reconciliation.sums import Figures
from lotroot.reconciliation.yields import GROUPINGS, Line, yields
from lotroot.tracing.words import Words
from lotroot.web.answers import FILES, file_url, instead, iso, wanted
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json
from lotroot.web.yields_asked import NAMES, Question, address, frame_of, question, value_words
from lotroot.web.yields_tables import changed_tables, yield_of, yield_tables

blueprint = Blueprint("yields", __name__)
NAV = (("Yields", "yields.page"),)

FIELDS = ("by", "value", "name", "stream", "unit", *Figures._fields, "yield_percent")
"""Columns of the file: codes, and base units."""
THEN_AND_NOW = tuple(f"{name}_now" for name in Figures._fields)
"""Further ones where ?known= asks for what was known before."""


@blueprint.get("/yields")
def page() -> Response:
    """Sorted ?by=, of the last ?days= or ?from= ?to=, as ?known= at a time."""
    plant = signed_in().plant
    values: dict[str, Any] = kept("/yields")
    try:
        with desk().house.reading() as connection:
            asked, words = (
                question(connection, plant or current_plant(connection), desk().now()),
                Words(connection),
            )
            found = yields(connection, asked.asked, asked.by)
            now = yields(connection, asked.asked._replace(then=NOW), asked.by) if asked.past else found
            firms = [row.code for row in parties(connection, "supplier")]
    except LotrootError as error:
        return instead("yields.html", error, values)
    if wanted() in FILES:
        return _file(found, now, asked, words)
    values |= frame_of(asked, words, "/yields", firms)
    values["tables"] = yield_tables(found, asked, words)
    if asked.past:
        values["tables"] += changed_tables(found, now, asked, words)
        values["more"] = [("The runs that changed since", address("/yields/changes", asked))]
    return make_response(render_template("yields.html", **frame(**values, file_url=file_url)))


def kept(way: str) -> dict[str, Any]:
    """The form as it was sent, for a page that says what was wrong with it."""
    told = {name: request.args.get(name, "") for name in ("by", "from", "to", "known", *GROUPINGS)}
    groupings = list(NAMES.items())
    return {"page": way, "asked": told, "only": told, "groupings": groupings, "choices": {}, "ways": []}


def _file(found: Sequence[Line], now: Sequence[Line], asked: Question, words: Words) -> Response:
    after = {(one.value, one.stream, one.unit): one.figures for one in now}
    rows = [_row(one, asked, words) for one in found]
    fields: Sequence[str] = FIELDS
    if asked.past:
        fields = (*FIELDS, *THEN_AND_NOW)
        before = {(one.value, one.stream, one.unit): one.figures for one in found}
        keys = [*before, *(key for key in after if key not in before)]
        rows = [
            _row(Line(*key, before.get(key, Figures())), asked, words) | _now(after.get(key, Figures()))
            for key in keys
        ]
    if wanted() == "csv":
        return csv_answer("yields", fields, rows)
    at = asked.asked.then.at
    body = {"by": asked.by, "from": asked.asked.first, "to": asked.asked.last, "only": dict(asked.asked.only)}
    return as_json({**body, "known": iso(at) if at is not None else "", "yields": rows}, 200)


def _row(one: Line, asked: Question, words: Words) -> dict[str, Any]:
    name = value_words(words, asked.by, one.value)
    of = {"by": asked.by, "value": one.value, "name": name, "stream": one.stream, "unit": one.unit}
    return {**of, **one.figures._asdict(), "yield_percent": yield_of(one.figures)}


def _now(figures: Figures) -> dict[str, Any]:
    return {f"{name}_now": amount for name, amount in figures._asdict().items()}
