"""Which way did a day's mass go, from coil to pallet?

/mass?day=2026-11-12, or from= and to=; the latest day with closed runs unless told. ?of= names a node: the
runs behind it are listed. /mass.pdf is the same on one page to print, /mass.svg one unit's picture alone.
"""

from collections.abc import Sequence
from datetime import date
from typing import Any, NamedTuple
from urllib.parse import urlencode

from flask import Blueprint, Response, make_response, render_template, request
from sqlalchemy import Connection

from lotroot.errors import LotrootError, Unreadable
from lotroot.holds.handling import SettleQuestion
from lotroot.papers.flows import flows_pdf
from lotroot.tracing.mass_days import Behind, Days, days_beside, latest_day, runs_behind
from lotroot.tracing.mass_flow import STEP, Flow, flow
from lotroot.tracing.mass_gathered import gathered
from lotroot.tracing.mass_rows import mass_facts
from lotroot.tracing.words import Words
from lotroot.web.answers import FILES, file_url, instead, wanted
from lotroot.web.cells import Table
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.lineage_files import csv_answer
from lotroot.web.mass_drawn import Drawn, chart, drawn, svg
from lotroot.web.mass_tables import band_table, rows_of, run_table
from lotroot.web.mass_words import name_of
from lotroot.web.problems import as_json

blueprint = Blueprint("mass", __name__)
NAV = (("Mass of a day", "mass.page", SettleQuestion),)

FIELDS = ("unit", "from", "to", "from_code", "to_code", "what", "amount")
"""Columns of the file; codes, and base units."""
MOST_DAYS = 366
BY_KINDS = (
    "By kinds, not lot by lot: of a kind that was made and used, what was made counts as used first, and the "
    "rest as from stock. Where goods stand is as of now. Runs count on the day they were closed."
)


class Part(NamedTuple):
    """One unit's picture on the page: its title, the drawing, and the same numbers in a table."""

    unit: str
    title: str
    picture: Any
    tables: list[Table]


@blueprint.get("/mass")
def page() -> Response:
    """The pictures of a day or range, one a unit, and the same numbers in tables."""
    signed_in()
    values: dict[str, Any] = {"days": Days("", ""), "heading": "Mass of a day"}
    try:
        with desk().house.reading() as connection:
            days, words = _days(latest_day(connection)), Words(connection)
            flows = _flows(connection, days, words)
            beside = days_beside(connection, days) if days.first else days
            values |= {"days": days, "heading": _heading(days), "beside": beside, "by_kinds": BY_KINDS}
            values |= {"parts": [_part(one, days, words) for one in flows], "file_url": file_url}
            values["behind"] = _behind(connection, days, flows, words)
            values["asked"] = urlencode(_asked(days))
    except LotrootError as error:
        return instead("mass.html", error, values)
    if wanted() in FILES:
        return _file(days, flows, words)
    return make_response(render_template("mass.html", **frame(**values)))


@blueprint.get("/mass.pdf")
def paper() -> Response:
    """All pictures of the day or range on one page."""
    signed_in()
    with desk().house.reading() as connection:
        days, words = _days(latest_day(connection)), Words(connection)
        found = [_drawn(one, words) for one in _flows(connection, days, words)]
    title = f"{_heading(days)}, {words.plant.name if words.plant else ''}"
    content = flows_pdf(title, [chart(one, _unit(one.found.unit, words)) for one in found])
    return _sent(content, "application/pdf", f"inline; filename=mass-{days.first}.pdf")


@blueprint.get("/mass.svg")
def drawing() -> Response:
    """The picture of ?unit=, the first unless told, as a file."""
    signed_in()
    with desk().house.reading() as connection:
        days, words = _days(latest_day(connection)), Words(connection)
        flows = _flows(connection, days, words)
    some = [one for one in flows if one.unit == request.args.get("unit", one.unit)]
    if not some:
        raise Unreadable(
            "Nothing was worked in that unit.",
            value=request.args.get("unit", "")[:20],
            expected=f"One of: {', '.join(one.unit for one in flows) or 'none'}.",
            next_step="Correct the address.",
        )
    picture = _drawn(some[0], words)
    text = str(svg(picture, words, _heading(days), _address(days, some[0].unit)))
    return _sent(text, "image/svg+xml; charset=utf-8", f"attachment; filename=mass-{days.first}.svg")


def _sent(content: str | bytes, kind: str, how: str) -> Response:
    answer = Response(content, content_type=kind)
    answer.headers["Content-Disposition"] = how
    return answer


def _flows(connection: Connection, days: Days, words: Words) -> list[Flow]:
    return [flow(one) for one in mass_facts(connection, days, words.plant)] if days.first else []


def _drawn(found: Flow, words: Words) -> Drawn:
    return drawn(gathered(found), words)


def _part(found: Flow, days: Days, words: Words) -> Part:
    title = _unit(found.unit, words)
    said = f"{_heading(days)}, {title}: from stock on the left to where goods stand on the right"
    picture = svg(_drawn(found, words), words, said, _address(days, found.unit))
    return Part(found.unit, title, picture, [band_table(found, title, words)])


def _unit(unit: str, words: Words) -> str:
    return f"in {words.plant.units.get(unit, unit) if words.plant else unit}"


def _behind(connection: Connection, days: Days, flows: Sequence[Flow], words: Words) -> Table | None:
    """The runs behind the node of ?of=, of the processes it hangs on."""
    unit, _, key = request.args.get("of", "").partition(".")
    for found in (gathered(one) for one in flows if one.unit == unit):
        for node in (one for one in found.nodes if one.key == key):
            near = {key, *(end for band in found.bands if key in band[:2] for end in band[:2])}
            steps = tuple(one.code for one in found.nodes if one.part == STEP and one.key in near)
            asked = Behind(unit, (node.code,) if node.part == STEP else steps, node.part)
            return run_table(name_of(node, words), runs_behind(connection, days, asked), words)
    return None


def _file(days: Days, flows: Sequence[Flow], words: Words) -> Response:
    rows = [row for one in flows for row in rows_of(one, words)]
    if wanted() == "csv":
        return csv_answer(f"mass-{days.first}", FIELDS, rows)
    return as_json({"from": days.first, "to": days.last, "bands": rows}, 200)


def _asked(days: Days) -> dict[str, str]:
    return {"day": days.first} if days.first == days.last else {"from": days.first, "to": days.last}


def _address(days: Days, unit: str) -> str:
    return f"/mass?{urlencode(_asked(days))}&of={unit}."


def _heading(days: Days) -> str:
    if not days.first:
        return "Mass of a day"
    first, last = (f"{date.fromisoformat(day):%a %-d %b %Y}" for day in days)
    return f"Mass of {first}" if first == last else f"Mass from {first} to {last}"


def _days(latest: str) -> Days:
    """The production days that are asked for. Raises Unreadable."""
    day = _day("day") or latest
    first, last = _day("from") or _day("to") or day, _day("to") or _day("from") or day
    if first and (date.fromisoformat(last) - date.fromisoformat(first)).days not in range(MOST_DAYS):
        raise Unreadable(
            "These days cannot be shown.",
            value=f"{first} to {last}",
            expected=f"A last day after the first, at most {MOST_DAYS} days.",
            next_step="Enter other days.",
        )
    return Days(first, last)


def _day(name: str) -> str:
    text = request.args.get(name, "").strip()
    try:
        return date.fromisoformat(text).isoformat() if text else ""
    except ValueError:
        raise Unreadable(
            "That is no day.",
            value=text[:20],
            expected="Year, month and day, as 2026-11-12.",
            next_step="Enter the day so.",
        ) from None
