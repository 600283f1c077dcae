"""Which figures are worth a look, station by station, and which runs stand behind each?"""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple

from flask import Blueprint, Response, make_response, render_template, request, url_for
from markupsafe import Markup
from sqlalchemy import Connection

from lotroot.errors import LotrootError, NotAllowed, Unknown, Unreadable
from lotroot.holds.handling import SettleQuestion
from lotroot.plant.adopted import code_of
from lotroot.processes.definition import Plant
from lotroot.production.opening import shift_of
from lotroot.production.runs import find_run
from lotroot.reconciliation.balances import known_balance
from lotroot.reconciliation.days import Days
from lotroot.reconciliation.figures import Figures, closed_runs, figures, runs_of_series
from lotroot.reconciliation.who_typed import runs_typed_by_hand
from lotroot.tracing.words import Words
from lotroot.web.answers import FILES, file_url, instead, wanted
from lotroot.web.cells import Table, column, link
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in, when
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json
from lotroot.web.yields_asked import day_or_none

blueprint = Blueprint("figures", __name__)
NAV = (("Figures worth a look", "figures.page"),)

DAYS_BACK = 29
"""Thirty days, today's among them, unless others are asked for."""
LONGEST = 3660
MOST = 200
"""Runs of a table; the file has all."""
FIELDS = (
    *("station", "runs", "exact", "same_times", "same_grams", "scrap", "by_hand", "unknown"),
    *("first_day", "last_day", "weights", "weights_by_hand", "weights_unknown"),
)
MEANING = (
    "Nothing here is wrong by itself. A run that adds up to the gram was hardly weighed at both ends; a "
    "scale does not show the same weight many times over; behind a weight that fingers typed stands no scale."
)
CLOSED, EXACT, SAME, SCRAP = "closed", "exact", "same", "scrap"
BEHIND = {
    CLOSED: "Runs closed",
    EXACT: "Runs closed at exactly zero",
    SAME: "Runs with the longest series of one weight",
    SCRAP: "Runs with scrap typed by hand",
}


class Asked(NamedTuple):
    """The plant and the days that are asked about."""

    plant: Plant
    days: Days


@blueprint.get("/figures")
def page() -> Response:
    """Of the production days ?first= to ?last=, thirty up to today unless told."""
    values = typed_days()
    try:
        asked = asked_for(values)
        with desk().house.reading() as connection:
            found, words = figures(connection, asked.plant, asked.days), Words(connection)
    except LotrootError as error:
        return instead("figures.html", error, values)
    if wanted() in FILES:
        return _file(found, asked, words)
    more: dict[str, Any] = {"said": MEANING, "tables": [_table(found, asked, words)], "file_url": file_url}
    return make_response(render_template("figures.html", **frame(**values, **more)))


@blueprint.get("/figures/runs")
def behind() -> Response:
    """The runs behind one figure: ?what= of ?station= (its number)."""
    what, values = request.args.get("what", ""), typed_days()
    if what not in BEHIND:
        raise Unknown(
            "There is no such figure.",
            value=what,
            expected=f"One of: {', '.join(BEHIND)}.",
            next_step="Choose a figure.",
        )
    asked = asked_for(values)
    station = request.args.get("station", "")
    with desk().house.reading() as connection:
        code_of(connection, station, "station")
        runs = _behind(connection, asked, what, station)
        words = Words(connection)
        rows = [] if wanted() in FILES else [_run(connection, number, words) for number in runs[:MOST]]
    if wanted() in FILES:
        told = [{"run": number} for number in runs]
        return csv_answer("runs", ("run",), told) if wanted() == "csv" else as_json({"runs": runs}, 200)
    names = {"run": "Run", "what": "Of", "closed": "Closed", "off": "Differs"}
    columns = [column(label, key) for key, label in names.items()]
    note = f"And {len(runs) - MOST} more; the file has all." if len(runs) > MOST else ""
    table = Table(f"{BEHIND[what]}: {words.called(station)}", columns, rows, "No run stands behind it.", note)
    more: dict[str, Any] = {"tables": [table], "file_url": file_url, "back": address("figures.page", asked)}
    return make_response(render_template("figures.html", **frame(**values, **more)))


def _behind(connection: Connection, asked: Asked, what: str, station: str) -> list[str]:
    """The numbers of the runs behind one figure of a station."""
    if what == SAME:
        mine = [one for one in figures(connection, *asked) if one.station == station]
        return runs_of_series(connection, *asked, mine[0]) if mine else []
    if what == SCRAP:
        return runs_typed_by_hand(connection, *asked, station)
    return closed_runs(connection, *asked, station, exact=what == EXACT)


def _run(connection: Connection, number: str, words: Words) -> dict[str, Any]:
    """A run with what it made, when it was closed, and how far each stream of it is off."""
    row = find_run(connection, number).row
    product = words.product(row.product) if row.product else ""
    off = [words.amount(one.difference, one.unit) for one in known_balance(connection, number)]
    return {
        "run": link(number),
        "what": ", ".join(part for part in (words.process(row.process), product) if part),
        "closed": when(words.plant, row.closed) if row.closed is not None else "still open",
        "off": ", ".join(off),
    }


def typed_days() -> dict[str, Any]:
    """The days as they were typed, for whoever answers for these figures. Raises NotAllowed."""
    found = signed_in()
    if not found.may(SettleQuestion):
        raise NotAllowed(
            "These figures are for whoever answers for them.",
            value=found.name,
            expected="A supervisor, QA or the manager.",
            next_step="Ask one of them.",
        )
    now = desk().now()
    today = shift_of(found.plant, now)[:10] if found.plant else ""
    last = request.args.get("last", "").strip() or today
    first = request.args.get("first", "").strip() or _back(last)
    return {"first": first, "last": last}


def _back(last: str) -> str:
    try:
        return (date.fromisoformat(last) - timedelta(days=DAYS_BACK)).isoformat()
    except (ValueError, OverflowError):
        return last


def asked_for(values: dict[str, Any]) -> Asked:
    """The plant in force and the days. Raises Unknown, Unreadable."""
    plant = signed_in().plant
    if plant is None:
        raise Unknown("No plant is set up here yet.", next_step="Set it up first.")
    first, last = (_day(values[name]) for name in ("first", "last"))
    if not 0 <= (last - first).days <= LONGEST:
        raise Unreadable(
            "These days do not follow each other.",
            value=f"{first} to {last}",
            expected=f"A first day, and a last one at most {LONGEST} days later.",
            next_step="Correct one of them.",
        )
    return Asked(plant, Days(first, last))


def _day(text: str) -> date:
    found = day_or_none(text)
    if found is None:
        raise Unreadable(
            "This is no day.", value=text[:40], expected="Such as 2026-11-24.", next_step="Correct it."
        )
    return found


def _table(found: Sequence[Figures], asked: Asked, words: Words) -> Table:
    rows = [_row(one, asked, words) for one in found]
    columns = [
        column("Station", "station"),
        column("Runs closed", "runs", ""),
        column("At exactly zero", "exact", ""),
        column("Most weights alike in a row", "same", ""),
        column("Weights entered", "weights", ""),
        column("Typed by hand", "weights_by_hand", ""),
        column("Not known how", "weights_unknown", ""),
        column("Of scrap", "scrap", ""),
        column("Scrap by hand", "by_hand", ""),
        column("Scrap not known how", "unknown", ""),
    ]
    return Table("By station", columns, rows, "Nothing was closed, weighed or thrown away in these days.")


def _row(one: Figures, asked: Asked, words: Words) -> dict[str, Any]:
    series = f"{one.series.times} × {words.amount(one.series.amount, 'g')}" if one.series else ""
    return {
        "station": words.called(one.station),
        "runs": _opens(one.runs, CLOSED, one, asked),
        "exact": _opens(one.exact, EXACT, one, asked),
        "same": _opens(series, SAME, one, asked),
        "weights": _figure(one.weights.weights),
        "weights_by_hand": _by_hand(one, asked),
        "weights_unknown": _figure(one.weights.unknown),
        "scrap": _figure(one.scrap.weights),
        "by_hand": _opens(one.scrap.by_hand, SCRAP, one, asked),
        "unknown": _figure(one.scrap.unknown),
    }


def _opens(figure: int | str, what: str, one: Figures, asked: Asked) -> Markup | str:
    """A figure that leads to the runs behind it; nothing for none."""
    to = address("figures.behind", asked, what=what, station=one.station)
    return Markup('<a href="{}">{}</a>').format(to, figure) if figure else ""


def _figure(number: int) -> str:
    return str(number) if number else ""


def _by_hand(one: Figures, asked: Asked) -> Markup | str:
    """How many weights were typed by hand, leading to each of them; nothing for none."""
    to = address("figures_typed.page", asked, station=one.station)
    figure = one.weights.by_hand
    return Markup('<a href="{}">{}</a>').format(to, figure) if figure else ""


def address(endpoint: str, asked: Asked, **more: Any) -> str:
    """A page of the same days."""
    days: dict[str, Any] = {"first": asked.days.first.isoformat(), "last": asked.days.last.isoformat()}
    return url_for(endpoint, **more, **days)


def _file(found: Sequence[Figures], asked: Asked, words: Words) -> Response:
    """Codes, counts and grams, one row a station."""
    rows = [_plain(one, asked, words) for one in found]
    return csv_answer("figures", FIELDS, rows) if wanted() == "csv" else as_json({"figures": rows}, 200)


def _plain(one: Figures, asked: Asked, words: Words) -> dict[str, Any]:
    return {
        "station": words.called(one.station),
        "runs": one.runs,
        "exact": one.exact,
        "same_times": one.series.times if one.series else 0,
        "same_grams": one.series.amount if one.series else 0,
        "scrap": one.scrap.weights,
        "by_hand": one.scrap.by_hand,
        "unknown": one.scrap.unknown,
        "first_day": asked.days.first.isoformat(),
        "last_day": asked.days.last.isoformat(),
        "weights": one.weights.weights,
        "weights_by_hand": one.weights.by_hand,
        "weights_unknown": one.weights.unknown,
    }
