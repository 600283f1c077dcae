"""Which figures does the program go by, how sure is each, and who stands behind it?"""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from flask import Blueprint, Response, render_template, request, url_for
from markupsafe import Markup
from sqlalchemy import Connection

from lotroot.confirmed.figures import Figure, column_words
from lotroot.confirmed.standing import Standing, decisions_on, standing, standings
from lotroot.errors import Unknown
from lotroot.plant.figures import OF_THE_PLANT, called, figures_of, titled
from lotroot.quality.confirming import (
    DEFINED,
    WORDS_ONLY,
    ConfirmFigure,
    OverrideFigure,
    WithdrawFigure,
    decidable,
)
from lotroot.quality.two_units import twins
from lotroot.reference import names
from lotroot.tracing.figure_words import SURE, by_whom, stands
from lotroot.tracing.words import Words
from lotroot.web import cautions
from lotroot.web.acting import Errors, record
from lotroot.web.cells import Table, column, tag, together
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in, somebody

blueprint = Blueprint("tables", __name__, url_prefix="/tables")
NAV = (("Tables", "tables.page"),)

ABOUT = {
    "plant-limits": "What plant.toml asks of readings",
    "plant-losses": "What plant.toml says each step loses, in thousandths",
}
SHORT = 16
"""Digits of a figure's digest in its address."""


@blueprint.get("")
def page() -> str:
    """All tables, with how many rows are how sure."""
    found = signed_in()
    with desk().house.reading() as connection:
        known = {
            name: standings(connection, figures_of(found.plant, name)) for name in (*OF_THE_PLANT, *names())
        }
    rows = [_counted(name, said) for name, said in known.items()]
    columns = [
        column("Table", "name"),
        column("Rows", "rows", ""),
        *(column(words.capitalize(), word, "") for word, words in SURE.items()),
        column("By name", "by_name", ""),
        column("Open", "open", ""),
    ]
    note = "Open: from memory, and nobody here has confirmed it. Nothing is accepted by such a figure."
    return render_template("tables.html", **frame(table=Table("All tables", columns, rows, "", note)))


@blueprint.get("/<name>")
def rows(name: str) -> str:
    """The rows of one table, those that nobody has confirmed yet first."""
    found = signed_in()
    with desk().house.reading() as connection:
        words = Words(connection)
        said = sorted(standings(connection, figures_of(found.plant, name)), key=lambda one: one.counts)
    columns = [
        column("Row", "row"),
        column("In force", "values"),
        column("How sure", "sure"),
        column("From", "source"),
    ]
    table = Table(
        "Rows",
        columns,
        [_row(one, words) for one in said],
        "The table has no rows.",
    )
    unsure = [cautions.UNCONFIRMED] if any(not one.counts for one in said) else []
    values: dict[str, Any] = {"name": name, "about": ABOUT.get(name, ""), "table": table}
    return render_template("table.html", **frame(**values, cautions=cautions.sentences(unsure)))


@blueprint.get("/<name>/<digest>")
def figure(name: str, digest: str) -> str:
    """One figure with all that was said of it, and the forms to confirm or override it."""
    return _page(name, digest)


@blueprint.post("/<name>/<digest>/confirm")
def confirm(name: str, digest: str) -> Response:
    """Somebody compared it with its source."""
    one = _found(name, digest)
    command = ConfirmFigure(name, one.row, request.form.get("against", ""), one.digest)
    return _recorded(command, one, "against")


@blueprint.post("/<name>/<digest>/override")
def override(name: str, digest: str) -> Response:
    """The plant goes by other values: those of the form that are not the figure's own.

    What stood in the form already and says in another unit what was typed anew is left to follow from that.
    """
    one = _found(name, digest)
    with desk().house.reading() as connection:
        stood = standing(connection, one).values
    typed = {column: request.form.get(f"value-{column}", text).strip() for column, text in one.values.items()}
    anew = {column for column, text in typed.items() if text != stood[column]}
    follows = {twin.other for twin in twins(one) if twin.column in anew} - anew
    given = tuple(
        f"{column}={text}"
        for column, text in typed.items()
        if text != one.values[column] and column not in follows
    )
    command = OverrideFigure(name, one.row, given, request.form.get("reason", ""), one.digest)
    return _recorded(command, one, "reason")


@blueprint.post("/<name>/<digest>/withdraw")
def withdraw(name: str, digest: str) -> Response:
    """What was said of it counts no more."""
    one = _found(name, digest)
    return _recorded(WithdrawFigure(name, one.row, request.form.get("why", "")), one, "why")


def _recorded(command: Any, one: Figure, field: str) -> Response:
    back = url_for("tables.figure", name=one.table, digest=one.digest[:SHORT])
    return record(command, back, again=lambda errors: _page(one.table, one.digest, errors), field=field)


def _found(name: str, digest: str) -> Figure:
    """The figure whose digest begins so. Raises Unknown where it says something else by now."""
    for one in figures_of(somebody().plant, name):
        if len(digest) >= SHORT and one.digest.startswith(digest):
            return one
    raise Unknown(
        "This figure has changed, or was never there.",
        value=digest[:SHORT],
        expected=f"A row of table {name}.",
        next_step="Open the table and choose the row.",
    )


def _page(name: str, digest: str, errors: Errors | None = None) -> str:
    one, found = _found(name, digest), signed_in()
    with desk().house.reading() as connection:
        words = Words(connection)
        said = standing(connection, one)
        history = _history(connection, said, words)
    open_to_all = decidable(one)
    values: dict[str, Any] = {
        "figure": one,
        "called": titled(found.plant, one),
        "facts": _facts(said, words),
        "said": said,
        "history": history,
        "in_two_units": any(twins(one)),
        "fields": [
            (column, *column_words(column), request.form.get(f"value-{column}", text))
            for column, text in said.values.items()
        ],
        "kept": {field: request.form.get(field, "") for field in ("against", "reason", "why")},
        "address": url_for("tables.figure", name=name, digest=one.digest[:SHORT]),
    }
    may: dict[str, Any] = {
        "may_confirm": open_to_all and found.may(ConfirmFigure) and (not said.by_name or said.overridden),
        "may_override": open_to_all and name not in DEFINED and found.may(OverrideFigure),
        "may_withdraw": said.by_name and found.may(WithdrawFigure),
    }
    unsure = cautions.sentences([] if said.counts else [cautions.UNCONFIRMED])
    return render_template("figure.html", **frame(errors=errors or [], cautions=unsure, **values, **may))


def _facts(said: Standing, words: Words) -> list[tuple[str, str]]:
    """How sure a figure is, what it says, and what it said before it was overridden."""
    one = said.figure
    before = [("As published", one.said())] if said.overridden else []
    told = [("In force", one.said(said.values)), *before, ("How sure", _sure(one))]
    return [*told, ("From", one.source or "plant.toml"), ("At this plant", stands(said, words) or "as it is")]


def _sure(one: Figure) -> str:
    parts = f"; from memory: {', '.join(one.doubtful)}" if one.doubtful else ""
    return SURE[one.confidence] + parts


def _history(connection: Connection, said: Standing, words: Words) -> Table:
    """What was ever said of the row, the latest first, also of what it said before."""
    rows = [
        {
            "act": by_whom(row.person, row.at, words, overridden=bool(row.overridden)),
            "stood": row.stood,
            "reason": row.reason,
            "now": _now(row, said),
        }
        for row in reversed(decisions_on(connection, said.figure))
    ]
    columns = [
        column("What", "act"),
        column("The figure then", "stood"),
        column("Against what, or why", "reason"),
        column("Now", "now"),
    ]
    return Table("What was said of it", columns, rows, "Nobody has confirmed or overridden it.")


def _now(row: Any, said: Standing) -> Markup | str:
    """What has become of a word: it is in force, was withdrawn, or was of another text than today's."""
    if row.withdrawn:
        return tag("withdrawn")
    if row.digest != said.figure.digest:
        return tag("of another text")
    return tag("in force") if row.event == said.event else ""


def _counted(name: str, said: Sequence[Standing]) -> dict[str, Any]:
    counts = Counter(one.figure.confidence for one in said)
    return {
        "name": Markup('<a href="{}">{}</a>').format(url_for("tables.rows", name=name), name),
        "rows": str(len(said)),
        **{word: str(counts[word] or "") for word in SURE},
        "by_name": str(sum(one.by_name for one in said) or ""),
        "open": str(sum(not one.counts for one in said) or ""),
    }


def _row(said: Standing, words: Words) -> dict[str, Any]:
    one, doubt = said.figure, stands(said, words)
    address = url_for("tables.figure", name=one.table, digest=one.digest[:SHORT])
    linked = Markup('<a href="{}">{}</a>').format(address, called(words.plant, one))
    return {
        "row": called(words.plant, one) if one.table in WORDS_ONLY else linked,
        "values": one.said(said.values),
        "sure": together([_sure(one), doubt if said.counts else tag(doubt)], ", "),
        "source": one.source,
    }
