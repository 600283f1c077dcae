"""Which runs are behind a figure of the yields, and how do those that changed stand before and now?"""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request
from sqlalchemy import Row

from lotroot.errors import LotrootError, Unreadable
from lotroot.plant.adopted import current_plant
from lotroot.reconciliation.behind import Behind, Change, Which, changes, runs
from lotroot.reconciliation.sums import Figures, figures_of
from lotroot.reconciliation.yields import of_sources
from lotroot.tracing.words import Words
from lotroot.web.answers import FILES, count, file_url, instead, iso, wanted
from lotroot.web.cells import Table, amounts, column, link, tag
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json
from lotroot.web.yields import kept
from lotroot.web.yields_asked import Question, frame_of, question, value_words
from lotroot.web.yields_tables import with_something, yield_of

blueprint = Blueprint("yields_runs", __name__)

MOST = 200
"""Runs of the page; the files have all."""
ABOUT = ("run", "process", "product", "station", "day", "shift")
FIELDS = (*ABOUT, "closed", "stream", "unit", *Figures._fields[2:], "yield_percent", "verdict")
_AMOUNTS = ("used", "good", "by_product", "scrap", "loss", "difference")
_HEADS = ("Used", "Goods", "By-products", "Scrap", "Loss", "Difference")
OF_PART = "Only what each run used of it: what was made of that, its scrap and its difference."


@blueprint.get("/yields/runs")
def page() -> Response:
    """The runs behind a figure, the largest difference first; ?beyond=1, ?reason= and ?how= narrow."""
    plant = signed_in().plant
    which = Which(
        bool(request.args.get("beyond")), request.args.get("reason", ""), request.args.get("how", "")
    )
    try:
        with desk().house.reading() as connection:
            asked, words = (
                question(connection, plant or current_plant(connection), desk().now()),
                Words(connection),
            )
            most = -1 if wanted() in FILES else MOST + 1
            found = runs(connection, asked.asked, which, most)
    except LotrootError as error:
        return instead("yields.html", error, kept("/yields/runs"))
    if wanted() in FILES:
        return _file(found)
    values = frame_of(asked, words, "/yields/runs")
    values["said"] = f"{values['said']} {_which_words(which, words)}".strip()
    values["tables"] = _tables(found, asked, words)
    return make_response(render_template("yields.html", **frame(**values, file_url=file_url)))


def _which_words(which: Which, words: Words) -> str:
    told = "Runs beyond tolerance." if which.beyond else ""
    if which.reason:
        how = f", {which.how}" if which.how else ""
        told += f" Runs with scrap for “{words.reason(which.reason)}”{how}; all scrap of each is shown."
    return told.strip()


def _tables(found: Sequence[Behind], asked: Question, words: Words) -> list[Table]:
    """One table for each stream and unit, so that what is compared stands in one; the most runs first."""
    sorts: dict[tuple[str, str], list[Behind]] = {}
    for one in found[:MOST]:
        sorts.setdefault((one.row.unit, one.row.stream), []).append(one)
    some = sorted(sorts.values(), key=len, reverse=True)
    tables = [_table(mine, words, len(some) > 1) for mine in some] or [_table([], words)]
    notes = [OF_PART if of_sources(asked.asked) else "", _more(found)]
    return [*tables[:-1], tables[-1]._replace(note=" ".join(filter(None, notes)))]


def _table(shown: Sequence[Behind], words: Words, several: bool = False) -> Table:
    columns = {
        name: amounts([(getattr(one.figures, name), one.row.unit) for one in shown], words.plant)
        for name in _AMOUNTS
    }
    rows = [
        {
            **_about(one.row, words),
            "what": f"{_what(one.row, words)}, {words.called(one.row.station)}",
            **{name: columns[name].texts[place] if getattr(one.figures, name) else "" for name in _AMOUNTS},
            "yield": yield_of(one.figures),
            "verdict": tag(one.row.verdict) if one.beyond else one.row.verdict,
        }
        for place, one in enumerate(shown)
    ]
    heads = [
        column("Run", "run"),
        column("What, and where", "what"),
        column("Closed in", "day"),
        *(column(head, name, columns[name].unit) for head, name in zip(_HEADS, _AMOUNTS, strict=True)),
        column("Yield", "yield", "%"),
        column("Difference is", "verdict"),
    ]
    title = f"Runs, the largest difference first{f': {shown[0].row.stream}' if several else ''}"
    return Table(title, with_something(heads, rows), rows, "No run was closed in this time.")


def _more(found: Sequence[Any]) -> str:
    return f"The first {count(MOST, 'run')}; the files have all." if len(found) > MOST else ""


def _about(row: Row[Any], words: Words) -> dict[str, Any]:
    shift = value_words(words, "shift", row.shift) if row.shift else ""
    return {
        "run": link(row.run),
        "what": _what(row, words),
        "station": words.called(row.station),
        "day": f"{row.day} {shift}".strip(),
        "stream": row.stream,
    }


def _what(row: Row[Any], words: Words) -> str:
    return words.product(row.product) or words.process(row.process)


def _about_columns() -> list[dict[str, Any]]:
    return [
        column("Run", "run"),
        column("What", "what"),
        column("Machine", "station"),
        column("Closed in", "day"),
        column("Of", "stream"),
    ]


def _file(found: Sequence[Behind]) -> Response:
    rows = [
        {name: getattr(one.row, name) for name in (*ABOUT, "stream", "unit", "verdict")}
        | one.figures._asdict()
        | {"closed": iso(one.row.closed), "yield_percent": yield_of(one.figures)}
        for one in found
    ]
    if wanted() == "csv":
        return csv_answer("yield-runs", FIELDS, rows)
    return as_json({"runs": [{name: row[name] for name in FIELDS} for row in rows]}, 200)


@blueprint.get("/yields/changes")
def changed() -> Response:
    """The runs that are not as they were ?known= at a time, both versions side by side."""
    plant = signed_in().plant
    try:
        with desk().house.reading() as connection:
            asked, words = (
                question(connection, plant or current_plant(connection), desk().now()),
                Words(connection),
            )
            if not asked.past:
                raise Unreadable(
                    "Since when is not told.",
                    expected="A day and a time in “As known on”.",
                    next_step="Enter it, or come here from the yields as known before.",
                )
            found = changes(connection, asked.asked)
    except LotrootError as error:
        return instead("yields.html", error, kept("/yields/changes"))
    if wanted() in FILES:
        return changes_file(found)
    values = frame_of(asked, words, "/yields/changes")
    values["tables"] = [changes_table(found, words)]
    return make_response(render_template("yields.html", **frame(**values, file_url=file_url)))


def changes_table(found: Sequence[Change], words: Words) -> Table:
    """Each run that changed, as it was known then and as it is known now."""
    rows = []
    for one in found[:MOST]:
        then, now = (figures_of(row) if row is not None else None for row in (one.then, one.now))
        rows.append(
            {
                **_about(one.about, words),
                "then": _side(then, one.unit, words) or "not known yet",
                "now": _side(now, one.unit, words) or "does not count here any more",
                "more": _moved(then, now, one.unit, words),
            }
        )
    heads = [column("As known then", "then"), column("As known now", "now"), column("Change", "more")]
    empty = "Nothing has changed since."
    return Table("Runs that changed since", [*_about_columns(), *heads], rows, empty, _more(found))


def _side(figures: Figures | None, unit: str, words: Words) -> str:
    if figures is None:
        return ""
    named = ((head.lower(), getattr(figures, name)) for head, name in zip(_HEADS, _AMOUNTS, strict=True))
    told = [f"{name} {words.amount(amount, unit)}" for name, amount in named if amount]
    return (
        ", ".join([*told, f"yield {yield_of(figures)} %"])
        if figures.used > 0
        else ", ".join(told) or "nothing"
    )


def _moved(then: Figures | None, now: Figures | None, unit: str, words: Words) -> str:
    """By how much each figure changed."""
    by = (now or Figures()).plus(then or Figures(), -1)
    made = by.good + by.by_product
    named = (("used", by.used), ("made", made), ("scrap", by.scrap), ("difference", by.difference))
    told = [
        f"{name} {'+' if amount > 0 else ''}{words.amount(amount, unit)}" for name, amount in named if amount
    ]
    return ", ".join(told) or ("the same amounts" if then and now else "")


def changes_file(found: Sequence[Change]) -> Response:
    """The same as CSV or JSON; empty where a run did not stand."""
    names = ("day", "verdict", *_AMOUNTS)
    fields = ("run", "stream", "unit", *(f"{name}_{side}" for name in names for side in ("then", "now")))
    rows = []
    for one in found:
        row: dict[str, Any] = {"run": one.run, "stream": one.stream, "unit": one.unit}
        for side, version in (("then", one.then), ("now", one.now)):
            told = figures_of(version)._asdict() if version is not None else {}
            told |= {"day": version.day, "verdict": version.verdict} if version is not None else {}
            row |= {f"{name}_{side}": told.get(name, "") for name in names}
        rows.append(row)
    if wanted() == "csv":
        return csv_answer("yield-changes", fields, rows)
    return as_json({"changes": rows}, 200)
