"""Which months were closed, with which figures, and what has changed in them since?"""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, Response, make_response, render_template, url_for
from sqlalchemy import Connection, Row

from lotroot.errors import LotrootError
from lotroot.plant.adopted import current_plant
from lotroot.production.opening import shift_of
from lotroot.reconciliation.behind import Change, changes, figures_then
from lotroot.reconciliation.knowing import NOW
from lotroot.reconciliation.months import CloseMonth, find_month, latest_months, month_words, of_month
from lotroot.reconciliation.yields import Line, yields
from lotroot.tracing.words import Words
from lotroot.web import filled
from lotroot.web.acting import Errors, record
from lotroot.web.answers import FILES, count, file_url, instead, wanted
from lotroot.web.cells import Table, amounts, column, together
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.yields_asked import WAYS, Question
from lotroot.web.yields_runs import changes_file, changes_table
from lotroot.web.yields_tables import changed_tables, linked, part, with_something, yield_of

blueprint = Blueprint("months", __name__)

MOST = 13
"""Months of the page: a year, and the same one a year before."""
_AMOUNTS = ("used", "good", "by_product", "scrap", "loss", "difference")
_HEADS = ("Used", "Goods", "By-products", "Scrap", "Loss", "Difference")


@blueprint.get("/yields/months")
def page() -> Response:
    """The closed months with their figures as closed, and the form to close one."""
    return make_response(_page())


@blueprint.post("/yields/months")
def close() -> Response:
    """The manager closes a month."""
    return record(CloseMonth(filled.words("month")), url_for("months.page"), again=_page, field="month")


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        words = Words(connection)
        rows = [_closed(connection, row, words) for row in latest_months(connection, MOST)]
    today = shift_of(found.plant, desk().now()) if found.plant else ""
    values: dict[str, Any] = {
        "table": _table(rows),
        "may_close": found.may(CloseMonth),
        "month": filled.words("month") or _month_before(today[:7]),
        "ways": [(name, way, way == "/yields/months") for name, way in WAYS],
    }
    return render_template("months.html", **frame(errors=errors or [], **values))


def _month_before(month: str) -> str:
    """The month that one would close now."""
    if not month:
        return ""
    year, number = int(month[:4]), int(month[5:])
    return f"{year - (number == 1)}-{number - 1 or 12:02d}"


def _as_closed(connection: Connection, row: Row[Any]) -> tuple[list[Line], list[Line], list[Change]]:
    """Lines by process as closed, as known now, and what changed in between."""
    asked = of_month(row)
    changed = changes(connection, asked)
    now = yields(connection, asked._replace(then=NOW), "process")
    return figures_then(now, changed, "process"), now, changed


def _closed(connection: Connection, row: Row[Any], words: Words) -> dict[str, Any]:
    """A closed month in one line; amounts of different streams each for themselves."""
    then, _, changed = _as_closed(connection, row)
    whole: dict[tuple[str, str], Any] = {}
    for one in then:
        key = (one.stream, one.unit)
        whole[key] = whole[key].plus(one.figures) if key in whole else one.figures
    runs = len({one.run for one in changed})
    to = url_for("months.month", month=row.month)
    return {
        "month": linked(month_words(row.month), to),
        "closed": f"{words.time(row.at)}, {words.called(row.person)}",
        "yield": _each((stream, f"{yield_of(one)} %") for (stream, _), one in sorted(whole.items())),
        "used": _each(
            (stream, words.amount(one.used, unit)) for (stream, unit), one in sorted(whole.items())
        ),
        "off": _each(
            (stream, words.amount(one.difference, unit)) for (stream, unit), one in sorted(whole.items())
        ),
        "since": linked(f"{count(runs, 'run')} changed", to) if runs else "nothing",
    }


def _each(some: Any) -> Any:
    return together((f"{stream} {text}" for stream, text in some), ", ")


def _table(rows: Sequence[dict[str, Any]]) -> Table:
    heads = [
        column("Month", "month"),
        column("Closed", "closed"),
        column("Used, as closed", "used"),
        column("Yield, as closed", "yield"),
        column("Difference, as closed", "off"),
        column("Changed since", "since"),
    ]
    return Table("Closed months", heads, rows, "No month was closed yet.")


@blueprint.get("/yields/months/<month>")
def month(month: str) -> Response:
    """A closed month: its figures as closed, what they are now, and each run that changed, both versions."""
    plant = signed_in().plant
    try:
        with desk().house.reading() as connection:
            row, words = find_month(connection, month), Words(connection)
            then, now, changed = _as_closed(connection, row)
            plant = plant or current_plant(connection)
    except LotrootError as error:
        return instead("month.html", error, {"name": month, "ways": []})
    if wanted() in FILES:
        return changes_file(changed)
    asked = Question("process", of_month(row), "", "")
    sorts = sorted({(one.unit, one.stream) for one in then})
    tables = [_figures([one for one in then if (one.unit, one.stream) == sort], words) for sort in sorts]
    values: dict[str, Any] = {
        "name": month_words(row.month),
        "closed": f"Closed {words.time(row.at)} by {words.called(row.person)}, at event {row.events}.",
        "tables": [*tables, *changed_tables(then, now, asked, words), changes_table(changed, words)],
        "ways": [(name, way, False) for name, way in WAYS],
    }
    return make_response(render_template("month.html", **frame(**values, file_url=file_url)))


def _figures(lines: Sequence[Line], words: Words) -> Table:
    """The figures of a month as closed, process by process."""
    columns = {
        name: amounts([(getattr(one.figures, name), one.unit) for one in lines], words.plant)
        for name in _AMOUNTS
    }
    rows = [
        {
            "process": words.process(one.value),
            "runs": str(one.figures.runs),
            **{name: columns[name].texts[place] if getattr(one.figures, name) else "" for name in _AMOUNTS},
            "yield": yield_of(one.figures),
            "off": part(one.figures.difference, one.figures.used),
        }
        for place, one in enumerate(lines)
    ]
    heads = [
        column("Process", "process"),
        column("Runs", "runs", ""),
        *(column(head, name, columns[name].unit) for head, name in zip(_HEADS, _AMOUNTS, strict=True)),
        column("Yield", "yield", "%"),
        column("Difference", "off", "%"),
    ]
    return Table(f"As closed: {lines[0].stream}", with_something(heads, rows), rows)
