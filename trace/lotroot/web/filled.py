"""How is what somebody typed, chose or sent in a form read into a command's fields?

Every reader raises a LotrootError that names the value and what was expected; a number that can be meant in
two ways is refused with both readings rather than asked about on a page of its own.
"""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from flask import request
from sqlalchemy import Connection

from lotroot.errors import Question, Unreadable
from lotroot.ledger.book import keep_file
from lotroot.processes.definition import Plant
from lotroot.quantities import read_amount
from lotroot.tracing.meaning import meant
from lotroot.web.desk import desk
from lotroot.web.frame import signed_in
from lotroot.work import MICROSECONDS

LONGEST_NAME = 120


def words(name: str) -> str:
    """A line of text, blanks round it left out."""
    return request.form.get(name, "").strip()


def whole(name: str) -> int:
    """A whole number that a page put into its own form; 0 for none. Raises Unreadable."""
    text = words(name) or "0"
    if not text.isdecimal() or len(text) > 18:
        raise Unreadable(
            "This is no whole number.", value=text, expected="Digits only.", next_step="Correct it."
        )
    return int(text)


def span(name: str, after: str = "") -> tuple[str, int, int]:
    """Goods as a page's form names them, "N2600001327:33:36" or "N2600001327:0:0", in a text or behind a
    mark in it."""
    text = words(name).partition(after)[2] if after else words(name)
    lot, _, rest = text.partition(":")
    first, _, last = rest.partition(":")
    if not (first or "0").isdecimal() or not (last or "0").isdecimal() or len(rest) > 12:
        raise Unreadable(
            "These are no goods.", value=words(name)[:40], expected="One of the choices.", next_step="Choose."
        )
    return lot, int(first or 0), int(last or 0)


def amount(name: str, unit: str, expected: int | None = None) -> int:
    """An amount in base units, typed in the unit the plant shows it in; 0 where nothing is typed."""
    text = words(name)
    if not text:
        return 0
    plant = signed_in().plant
    display = plant.units.get(unit, unit) if plant else unit
    try:
        return read_amount(text, display, expected)
    except Question as question:
        raise ambiguous(text, question) from None


def ambiguous(text: str, question: Question) -> Unreadable:
    """What to say of a number that can be read in two ways, where no page asks which is meant."""
    return Unreadable(
        f"“{text}” can be read in two ways.",
        value=text,
        expected=" or ".join(question.choices.values()) + ".",
        next_step="Write all digits after the comma or point, or none.",
    )


def time(name: str) -> int:
    """A time of the plant's clocks, as a field of type datetime-local sends it, in microseconds UTC."""
    return time_of(words(name), signed_in().plant)


def time_of(text: str, plant: Plant | None) -> int:
    """A time of the plant's clocks in microseconds UTC; its zone is the plant's. Raises Unreadable."""
    try:
        told = datetime.fromisoformat(text)
    except ValueError:
        raise Unreadable(
            "A day and a time are missing.",
            value=text[:40],
            expected="Such as 2026-11-24T14:05.",
            next_step="Enter both.",
        ) from None
    zone = ZoneInfo(plant.zone if plant else "UTC")
    at = told if told.tzinfo else told.replace(tzinfo=zone)
    return int(at.timestamp()) * MICROSECONDS


def number(connection: Connection, name: str) -> str:
    """The canonical number of what was scanned or typed, or its other name; empty for nothing."""
    return meant(connection, words(name)) if words(name) else ""


def kept(name: str) -> str:
    """Keep an uploaded file byte for byte; its hash, or empty where none came."""
    return next(iter(kept_all(name)), "")


def kept_all(name: str) -> list[str]:
    """Keep all files that were sent under a name; their hashes in order."""
    found = []
    for given in request.files.getlist(name):
        if given.filename:
            with desk().house.writing() as connection:
                title = given.filename[-LONGEST_NAME:]
                found.append(keep_file(connection, title, given.mimetype, given.read()))
    return found


def reason(plant: Plant | None, name: str, typed: str = "words") -> str:
    """The same for an act that needs one. Raises Unreadable where neither was told."""
    found = chosen(plant, name, typed)
    if not found:
        raise Unreadable(
            "The reason is missing.",
            expected="One of the reasons, or your own words.",
            next_step="Choose it, then send it again.",
        )
    return found


def chosen(plant: Plant | None, name: str, typed: str = "words") -> str:
    """What was typed, else the words of the reason button that was chosen."""
    code: Any = words(name)
    reason = plant.reasons.get(code) if plant else None
    return words(typed) or (reason.words if reason else code)
