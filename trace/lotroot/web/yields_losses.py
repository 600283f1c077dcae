"""What was thrown away and why, and where did mass go missing?"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from flask import Blueprint, Response, make_response, render_template
from markupsafe import Markup

from lotroot.balance.reconciling import percent, permille
from lotroot.errors import LotrootError
from lotroot.plant.adopted import current_plant, parties
from lotroot.reconciliation.sums import OF_SOURCES
from lotroot.reconciliation.yields import GROUPINGS, Line, Thrown, scrap, yields
from lotroot.tracing.words import Words
from lotroot.web.answers import FILES, count, file_url, instead, wanted
from lotroot.web.cells import Table, amounts, column
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.lineage_files import csv_answer
from lotroot.web.pareto import Bar, pareto
from lotroot.web.problems import as_json
from lotroot.web.yields import kept
from lotroot.web.yields_asked import NAMES, Question, address, frame_of, narrowed, question, value_words
from lotroot.web.yields_tables import RUNS, linked, part

blueprint = Blueprint("yields_losses", __name__)

APPORTIONED = "apportioned"
TOP = 10
"""Bars of a picture, and lines of each table of what is missing; the files have all."""
LOSSES = tuple(name for name in GROUPINGS if name != "product")
SCRAP_FIELDS = ("reason", "words", "how", "stream", "unit", "runs", "amount")
MISSING_FIELDS = (
    "by",
    "value",
    "name",
    "stream",
    "unit",
    "runs",
    "used",
    "difference",
    "missing",
    "too_much",
)
LOSS_NOTE = "Of a supplier or a heat a loss that the process names is still in the difference."
OF_RUNS_NOTE = "Of a supplier or a heat: all scrap of the runs that used any of it."
SIGN = (
    "A difference above zero is missing, below zero too much; missing less too much is the difference. "
    "What is in question stays on the list of this morning."
)


@blueprint.get("/yields/scrap")
def thrown() -> Response:
    """Scrap by reason, the most first, with what all reasons so far come to."""
    try:
        asked, words, found, firms = _asked(lambda connection, about: scrap(connection, about.asked))
    except LotrootError as error:
        return instead("yields.html", error, kept("/yields/scrap"))
    if wanted() in FILES:
        rows = [{**one._asdict(), "words": words.reason(one.reason)} for one in found]
        return csv_answer("scrap", SCRAP_FIELDS, rows) if wanted() == "csv" else as_json({"scrap": rows}, 200)
    values = frame_of(asked, words, "/yields/scrap", firms)
    sorts = [list(some) for _, some in groupby(found, key=lambda one: (one.unit, one.stream))]
    sorts.sort(key=lambda some: -sum(one.runs for one in some))
    several = len(sorts) > 1  # then each picture says whose all is 100 %
    values["pictures"] = [_picture(some, words, f"hatch-{at}", several) for at, some in enumerate(sorts)]
    values["tables"] = [_scrap_table(some, asked, words) for some in sorts] or [
        Table("Scrap by reason", [], [], "No scrap was recorded in this time.")
    ]
    return make_response(render_template("yields.html", **frame(**values, file_url=file_url)))


def _asked(find: Any) -> tuple[Question, Words, Any, list[str]]:
    plant = signed_in().plant
    with desk().house.reading() as connection:
        asked, words = (
            question(connection, plant or current_plant(connection), desk().now()),
            Words(connection),
        )
        firms = [row.code for row in parties(connection, "supplier")]
        return asked, words, find(connection, asked), firms


def _by_reason(some: Sequence[Thrown]) -> list[tuple[str, dict[str, Thrown]]]:
    """Each reason with its scrap by how it is known; the most first."""
    found: dict[str, dict[str, Thrown]] = {}
    for one in some:
        found.setdefault(one.reason, {})[one.how] = one
    return sorted(found.items(), key=lambda one: (-_all(one[1]), one[0]))


def _all(hows: Mapping[str, Thrown]) -> int:
    return sum(one.amount for one in hows.values())


def _parts(some: Sequence[tuple[str, Mapping[str, Thrown]]]) -> Iterator[tuple[str, str]]:
    """The part of each reason, and of all so far, in percent."""
    whole, so_far = sum(_all(hows) for _, hows in some), 0
    for _, hows in some:
        so_far += _all(hows)
        yield percent(permille(_all(hows), whole)), percent(permille(so_far, whole))


def _picture(some: Sequence[Thrown], words: Words, hatch: str, named: bool) -> Markup:
    unit, stream = some[0].unit, some[0].stream
    reasons = _by_reason(some)
    bars = []
    for (reason, hows), (own, so_far) in zip(reasons, _parts(reasons), strict=True):
        told = " and ".join(f"{words.amount(one.amount, unit)} {how}" for how, one in sorted(hows.items()))
        name = f"{words.reason(reason)}: {own} %, all so far {so_far} %"
        apportioned = sum(one.amount for how, one in hows.items() if how == APPORTIONED)
        bars.append(Bar(name, told, _all(hows) - apportioned, apportioned))
    title = f"Scrap of {stream} by reason, the most first; the table below says the same"
    head = f"Scrap of {stream}, {words.amount(sum(one.amount for one in some), unit)}" if named else ""
    return pareto(title, bars[:TOP], hatch, head)


def _scrap_table(some: Sequence[Thrown], asked: Question, words: Words) -> Table:
    unit, stream = some[0].unit, some[0].stream
    reasons = _by_reason(some)
    hows = sorted({one.how for one in some}, reverse=True)
    total = amounts([(_all(each), unit) for _, each in reasons], words.plant)
    rows = []
    for text, (reason, each), (own, so_far) in zip(total.texts, reasons, _parts(reasons), strict=True):
        row = {"reason": words.reason(reason), "part": own, "so_far": so_far}
        row["amount"] = linked(text, address(RUNS, asked, reason=reason))
        for how, one in each.items():
            told = f"{words.amount(one.amount, unit)} ({count(one.runs, 'run')})"
            row[how] = linked(told, address(RUNS, asked, reason=reason, how=how))
        rows.append({**dict.fromkeys(hows, ""), **row})
    heads = [
        column("Why", "reason"),
        column("Scrap", "amount", total.unit),
        column("Of all scrap", "part", "%"),
        column("All so far", "so_far", "%"),
        *(column(how.capitalize(), how, "") for how in hows),
    ]
    note = OF_RUNS_NOTE if asked.asked.only.keys() & set(OF_SOURCES) else ""
    return Table(f"Scrap by reason: {stream}", heads, rows, note=note)


@blueprint.get("/yields/missing")
def missing() -> Response:
    """The largest differences of each grouping, with their sign."""
    try:
        asked, words, found, firms = _asked(
            lambda connection, about: {by: yields(connection, about.asked, by) for by in LOSSES}
        )
    except LotrootError as error:
        return instead("yields.html", error, kept("/yields/missing"))
    if wanted() in FILES:
        rows = [_missing_row(by, one, words) for by, lines in found.items() for one in _largest(lines)]
        if wanted() == "csv":
            return csv_answer("missing", MISSING_FIELDS, rows)
        return as_json({"missing": rows}, 200)
    values = frame_of(asked, words, "/yields/missing", firms)
    tables = [_missing_table(by, lines, asked, words) for by, lines in found.items()]
    values["tables"] = [
        *tables[:-1],
        tables[-1]._replace(note=" ".join((tables[-1].note, SIGN, LOSS_NOTE)).strip()),
    ]
    return make_response(render_template("yields.html", **frame(**values, file_url=file_url)))


def _largest(lines: Sequence[Line]) -> list[Line]:
    """Lines with a difference, the largest first; units apart, that of the most lines first."""
    off = [one for one in lines if one.figures.difference or one.figures.missing]
    units = Counter(one.unit for one in off)
    return sorted(off, key=lambda one: (-units[one.unit], one.unit, -abs(one.figures.difference), one.value))


def _missing_row(by: str, one: Line, words: Words) -> dict[str, Any]:
    figures = one.figures
    told = {"by": by, "value": one.value, "name": value_words(words, by, one.value)}
    off = {"difference": figures.difference, "missing": figures.missing}
    too_much = figures.missing - figures.difference
    return {**told, "stream": one.stream, "unit": one.unit, "runs": figures.runs, "used": figures.used} | {
        **off,
        "too_much": too_much,
    }


def _missing_table(by: str, lines: Sequence[Line], asked: Question, words: Words) -> Table:
    largest = _largest(lines)
    rows = []
    for one in largest[:TOP]:
        figures, to = one.figures, narrowed(RUNS, asked, by, one.value)
        too_much = figures.missing - figures.difference
        rows.append(
            {
                "value": linked(
                    value_words(words, by, one.value), narrowed("/yields/missing", asked, by, one.value)
                ),
                "stream": one.stream,
                "difference": linked(words.amount(figures.difference, one.unit), to),
                "part": part(figures.difference, figures.used),
                "missing": words.amount(figures.missing, one.unit) if figures.missing else "",
                "too_much": words.amount(too_much, one.unit) if too_much else "",
                "runs": linked(str(figures.runs), to),
            }
        )
    heads = [
        column(NAMES[by], "value"),
        column("Of", "stream"),
        column("Difference", "difference", ""),
        column("Of what was used", "part", "%"),
        column("Missing", "missing", ""),
        column("Too much", "too_much", ""),
        column("Runs", "runs", ""),
    ]
    more = f"{count(len(largest) - TOP, 'further line')} are in the file." if len(largest) > TOP else ""
    return Table(f"By {NAMES[by].lower()}", heads, rows, "Nothing is missing, and nothing too much.", more)
