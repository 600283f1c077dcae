"""How does a lineage look: every lot from raw material to customer, and what hangs on what?

/lots/<number>/picture is the page, picture.svg the drawing alone, picture.pdf a page to print. Above 150
nodes like ones are folded; ?unfold= names those to show one by one.
"""

import re
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request
from sqlalchemy import Connection

from lotroot.errors import LotrootError
from lotroot.papers.charts import chart_pdf
from lotroot.tracing.picture import Picture, picture
from lotroot.tracing.words import Words
from lotroot.web.answers import count
from lotroot.web.cells import Table, column, link, tag, together
from lotroot.web.desk import desk
from lotroot.web.drawn import chart, svg
from lotroot.web.find import instead
from lotroot.web.frame import frame, signed_in
from lotroot.web.lineage_tables import not_followed

blueprint = Blueprint("lineage_picture", __name__)

FOLD = re.compile(r"fold-[A-Z]\d{10}")
MOST_UNFOLDED = 50


@blueprint.get("/lots/<number>/picture")
def page(number: str) -> Response:
    """The picture, and the same in a table."""
    signed_in()
    try:
        with desk().house.reading() as connection:
            found, words = _picture(connection, number), Words(connection)
            values: dict[str, Any] = {
                "number": found.asked.number,
                "shown": words.called(found.asked.number),
                "picture": svg(found, words, _unfold()),
                "said": _said(found, words),
                "tables": [_table(found, words)],
                "folded": any(node.folded for node in found.nodes),
                "unfolded": bool(_unfold()),
                "unfold": _unfold(),
            }
    except LotrootError as error:
        return instead(number, error)
    return make_response(render_template("picture.html", **frame(**values)))


@blueprint.get("/lots/<number>/picture.svg")
def drawing(number: str) -> Response:
    """The drawing alone, as a file."""
    signed_in()
    with desk().house.reading() as connection:
        found = _picture(connection, number)
        text = str(svg(found, Words(connection), _unfold()))
    answer = Response(text, content_type="image/svg+xml; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="{found.asked.number}.svg"'
    return answer


@blueprint.get("/lots/<number>/picture.pdf")
def paper(number: str) -> Response:
    """The picture on one page, to be printed."""
    signed_in()
    with desk().house.reading() as connection:
        found = _picture(connection, number)
        content = chart_pdf(chart(found, Words(connection)))
    answer = Response(content, content_type="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{found.asked.number}.pdf"'
    return answer


def _picture(connection: Connection, number: str) -> Picture:
    return picture(connection, number, _unfold().split(","))


def _unfold() -> str:
    """The folds named in the address, whatever else stands there left out."""
    return ",".join(FOLD.findall(request.args.get("unfold", ""))[:MOST_UNFOLDED])


def _said(found: Picture, words: Words) -> str:
    several = sum(node.folded for node in found.nodes)
    said = f"{count(found.visited, 'lot')}, raw material on the left. A strand is the wider the more it gave."
    said += f" {not_followed(found.older, words)}" if found.older else ""
    return f"{said} Like lots are folded into {several}; press one to see them." if several else said


def _table(found: Picture, words: Words) -> Table:
    called = {node.key: node for node in found.nodes}
    above: dict[str, list[str]] = {}
    for strand in found.strands:
        above.setdefault(strand.end, []).append(strand.start)
    rows = [
        {
            "lot": together([_name(node.key, node.title), tag("held", "stop") if node.held else ""]),
            "what": node.words,
            "amount": " and ".join(words.amount(each, unit) for unit, each in sorted(node.amounts.items())),
            "of": together(
                (_name(one, called[one].title) for one in dict.fromkeys(above.get(node.key, ()))), ", "
            ),
        }
        for node in found.nodes
    ]
    columns = [
        column("Lot", "lot"),
        column("What it is", "what"),
        column("Amount", "amount"),
        column("Made of", "of"),
    ]
    return Table("The same as a table", columns, rows)


def _name(key: str, title: str) -> Any:
    return title if key.startswith("fold-") else link(key)
