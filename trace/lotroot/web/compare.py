"""What do several goods have in common?

Labels are scanned into a field of several lines, one after the other.
"""

from typing import Any

from flask import Blueprint, Response, make_response, render_template, request

from lotroot.errors import LotrootError
from lotroot.tracing.causes import Cause, Causes, causes
from lotroot.tracing.words import Words
from lotroot.web.answers import FILES, count, file_url, instead, iso, wanted, when_words
from lotroot.web.cells import Table, column, link, together
from lotroot.web.desk import desk
from lotroot.web.find import is_badge
from lotroot.web.frame import frame, signed_in
from lotroot.web.lineage_files import csv_answer
from lotroot.web.problems import as_json

blueprint = Blueprint("compare", __name__)

COMMON = ("what", "number", "name", "covers", "of", "others_shipped", "since", "until")
"""Columns of the file."""


@blueprint.get("/compare")
def common() -> Response:
    """What the goods named in ?q=, a number a line, have in common."""
    signed_in()
    lines = [line.strip() for line in request.args.get("q", "").splitlines() if line.strip()]
    values: dict[str, Any] = {"q": "\n".join(line for line in lines if not is_badge(line))}
    if not lines:
        return make_response(render_template("compare.html", **frame(**values)))
    try:
        with desk().house.reading() as connection:
            found, words = causes(connection, lines), Words(connection)
            if wanted() in FILES:
                return _common_file(found, words)
            words.learn([*found.asked, *(one.number for one in found.causes)])
            values |= {"said": _common_words(found), "tables": [_common_table(found, words)]}
            values["file_url"] = file_url
    except LotrootError as error:
        return instead("compare.html", error, values)
    return make_response(render_template("compare.html", **frame(**values)))


def _common_words(found: Causes) -> str:
    goods = len(found.asked)
    whole = sum(len(one.covers) == goods for one in found.causes)
    looked = f"{found.visited} lots were looked at."
    if not found.causes:
        return f"These {goods} share nothing that is recorded. {looked}"
    return f"{count(whole, 'thing')} all {goods} share, the most telling first. {looked}"


def _common_table(found: Causes, words: Words) -> Table:
    rows = [
        {
            "what": one.what,
            "called": _called(one, words),
            "covers": f"{len(one.covers)} of {len(found.asked)}",
            "which": _which(one, found),
            "others": str(one.others),
            "when": when_words(one.window, words) if one.what not in ("lot", "heat") else "",
        }
        for one in found.causes
    ]
    columns = [
        column("What", "what"),
        column("Which", "called"),
        column("Shared by", "covers"),
        column("Those are", "which"),
        column("Other lots that left", "others", ""),
        column("When", "when"),
    ]
    note = f"{found.left_off} more, shared by fewer, are left off." if found.left_off else ""
    return Table("What they share", columns, rows, "Nothing.", note)


def _which(one: Cause, found: Causes) -> Any:
    if len(one.covers) == len(found.asked):
        return "all of them"
    return together((link(each) for each in one.covers), ", ")


def _called(one: Cause, words: Words) -> Any:
    if one.what == "lot":
        row = words.lot(one.number)
        return together([link(one.number), words.product(row.product) if row is not None else ""])
    return words.party(one.number) if one.what == "supplier" else words.called(one.number)


def _common_file(found: Causes, words: Words) -> Response:
    rows = [
        {
            "what": one.what,
            "number": one.number,
            "name": words.party(one.number) if one.what == "supplier" else words.called(one.number),
            "covers": list(one.covers),
            "of": len(found.asked),
            "others_shipped": one.others,
            "since": iso(one.window.since),
            "until": iso(one.window.until),
        }
        for one in found.causes
    ]
    if wanted() == "csv":
        return csv_answer("common", COMMON, rows)
    body = {"asked": list(found.asked), "visited": found.visited, "left_off": found.left_off, "causes": rows}
    return as_json(body, 200)
