"""A coil is bad between two positions: which outputs hold that stretch, and how much does that save?

?from= and ?to= count from ?end= (outer, inner or unknown) in the plant's unit or in metres ("120 m");
?lane_from= and ?lane_to= narrow it across a slit coil, in mm from the operator side.
"""

from typing import Any, NamedTuple

from flask import Blueprint, Response, make_response, render_template, request
from sqlalchemy import Connection

from lotroot.dispatch.shipments import loads_of_lots
from lotroot.errors import LotrootError
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.stock.standing import standings_of
from lotroot.tracing.meaning import meant
from lotroot.tracing.stretched import ALL, SERIAL, Holding, Piece, Stretched, as_end, stretched
from lotroot.tracing.whereabouts import LEFT
from lotroot.tracing.words import Words, items
from lotroot.web.answers import FILES, count, file_url, instead, wanted
from lotroot.web.cells import Table, column, link, tag, together
from lotroot.web.desk import desk
from lotroot.web.frame import frame, signed_in
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json
from lotroot.web.stretch_read import check, read_lane, read_stretch, unit_of

blueprint = Blueprint("stretch", __name__)

PLACES = ("from", "to", "lane_from", "lane_to")
FIELDS = ("number", "end", *PLACES)
ENDS = (("outer", "outer end"), ("inner", "inner end"), ("unknown", "not known, so both"))
MOST = 200
COLUMNS = ("lot", "product", "depth", "held_in", "doubted", "standing", "shipments")
"""Columns of the file; `held_in` is all, items, or amounts in base units from an end."""


class Answer(NamedTuple):
    """What holds the stretch, with where the goods that do are: amounts standing, shipments by lot."""

    found: Stretched
    standing: dict[str, int]
    left: dict[str, list[str]]


@blueprint.get("/stretch")
def page() -> Response:
    """What holds a stretch of ?number=."""
    plant = signed_in().plant
    values: dict[str, Any] = {name: request.args.get(name, "").strip() for name in FIELDS}
    values |= {"ends": ENDS, "begin": values["from"], "end": values["end"] or "unknown"}
    if not values["number"]:
        return make_response(render_template("stretch.html", **frame(**values)))
    try:
        with desk().house.reading() as connection:
            lot = find_lot(connection, meant(connection, values["number"])[:11])
            values |= {"lot": lot.number, "shown": shown(lot.number), "unit": unit_of(plant, lot)}
            check(lot)
            if any(values[name] for name in PLACES):
                piece = Piece(as_end(values["end"]), read_stretch(connection, plant, lot, values))
                lane = read_lane(plant, lot, values)
                answer = _answer(connection, stretched(connection, lot, piece, lane))
                words = Words(connection)
                words.learn(one.lot.number for one in answer.found.holding)
                if wanted() in FILES:
                    return _file(answer, words)
                values |= {"said": _said(answer, words), "tables": [_table(answer, words)]}
                values["file_url"] = file_url
    except LotrootError as error:
        return instead("stretch.html", error, values)
    return make_response(render_template("stretch.html", **frame(**values)))


def _answer(connection: Connection, found: Stretched) -> Answer:
    """Of lots of items only those count that hold it, of others all that stands or left."""
    spans = {one.lot.number: one for one in found.holding}
    standing: dict[str, int] = {}
    for row in standings_of(connection, spans):
        if row.amount > 0 and _meets(spans[row.lot], row.first, row.last):
            standing[row.lot] = standing.get(row.lot, 0) + row.amount
    left: dict[str, list[str]] = {}
    for row in loads_of_lots(connection, sorted(spans)):
        if row.state == LEFT and _meets(spans[row.lot], row.first, row.last):
            some = left.setdefault(row.lot, [])
            some += [row.shipment] if row.shipment not in some else []
    return Answer(found, standing, left)


def _meets(one: Holding, first: int, last: int) -> bool:
    if one.pieces == (ALL,) or one.lot.axis != SERIAL or not first:
        return True
    return any(piece.stretch.start < last and first <= piece.stretch.stop for piece in one.pieces)


def _said(answer: Answer, words: Words) -> str:
    found = answer.found
    if not found.holding:
        return (
            f"Nothing made of it holds that stretch; {count(found.plain, 'lot')} made of it need no recall."
        )
    spared = found.plain - len(found.holding)
    left = sorted({one for some in answer.left.values() for one in some})
    said = [
        f"{len(found.holding)} of the {count(found.plain, 'lot')} made of it hold that stretch; "
        f"{spared} {'needs' if spared == 1 else 'need'} no recall."
    ]
    if left:
        said.append(f"They left on {', '.join(words.called(one) for one in left[:8])}.")
    return " ".join(said)


def _table(answer: Answer, words: Words) -> Table:
    rows = [
        {
            "lot": together([link(one.lot.number), tag("doubted") if one.doubted else ""]),
            "product": words.product(one.lot.product),
            "in": _held_in(one, words),
            "stands": words.amount(answer.standing.get(one.lot.number, 0), one.lot.unit)
            if answer.standing.get(one.lot.number)
            else "",
            "left": together((link(each) for each in answer.left.get(one.lot.number, ())), ", "),
        }
        for one in answer.found.holding[:MOST]
    ]
    columns = [
        column("Lot", "lot"),
        column("What it is", "product"),
        column("Which of it", "in"),
        column("Stands here", "stands"),
        column("Left on", "left"),
    ]
    more = len(answer.found.holding) - MOST
    note = f"{more} more are in the file." if more > 0 else ""
    return Table("Lots that hold that stretch", columns, rows, "None.", note)


def _held_in(one: Holding, words: Words) -> str:
    if one.pieces == (ALL,):
        return "all of it"
    if one.lot.axis == SERIAL:
        return ", ".join(items(piece.stretch.start + 1, piece.stretch.stop) for piece in one.pieces)
    return ", ".join(_from_end(piece, one.lot.unit, words) for piece in one.pieces)


def _from_end(piece: Piece, unit: str, words: Words) -> str:
    start, stop = (words.amount(position, unit) for position in piece.stretch)
    return f"{start} to {stop} from the {piece.end} end"


def _file(answer: Answer, words: Words) -> Response:
    rows = [
        {
            "lot": one.lot.number,
            "product": one.lot.product,
            "depth": one.depth,
            "held_in": [_plainly(piece) for piece in one.pieces],
            "doubted": one.doubted,
            "standing": answer.standing.get(one.lot.number, 0),
            "shipments": answer.left.get(one.lot.number, []),
        }
        for one in answer.found.holding
    ]
    if wanted() == "csv":
        return csv_answer(f"{answer.found.asked.number}-stretch", COLUMNS, rows)
    piece = answer.found.piece
    asked = {"lot": answer.found.asked.number, "end": piece.end, "from": piece.stretch.start}
    return as_json({**asked, "to": piece.stretch.stop, "visited": answer.found.plain + 1, "lots": rows}, 200)


def _plainly(piece: Piece) -> str:
    if piece == ALL:
        return "all"
    start = piece.stretch.start + (piece.end == SERIAL)
    return f"{'items' if piece.end == SERIAL else piece.end} {start}-{piece.stretch.stop}"
