"""What is held now, why, how far does each hold reach, and how is it placed or released?"""

from typing import Any

from flask import Blueprint, Response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.errors import LotrootError, Unreadable
from lotroot.genealogy.lots import find_lot, ids_below, lots_by_id
from lotroot.holds.handling import AWAITING, EndHold, PlaceHold, ReleaseHold, named_by
from lotroot.holds.naming import WORDS, lots_named, source_words
from lotroot.holds.reach import lots_held_by
from lotroot.holds.standing import Standing, standing_holds
from lotroot.identity import ItemNumber, Number, is_lot
from lotroot.identity.reading import read
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of
from lotroot.plant.adopted import parties
from lotroot.tracing.recall import recall
from lotroot.tracing.words import Words, items
from lotroot.web import filled
from lotroot.web.acting import Errors, record, shown_again
from lotroot.web.desk import desk
from lotroot.web.frame import Who, frame, signed_in, when
from lotroot.web.proving import lacking

blueprint = Blueprint("holds", __name__)
NAV = (("Holds", "holds.page"),)

FIELDS = ("number", "to", "heat", "delivery", "supplier", "reason", "words")

CHOOSE = ("", "Choose")
"""No reason is chosen beforehand: nobody releases as *checked, good* by not choosing."""


@blueprint.get("/holds")
def page() -> str:
    """All holds that stand, and the form to place one."""
    return _page()


@blueprint.post("/holds")
def place() -> Response:
    """Place a hold by lot, items from first to last, heat, delivery or supplier."""
    told = {name: request.form.get(name, "").strip() for name in ("heat", "delivery", "supplier")}
    try:
        lot, first, last = _part_read(filled.words("number"), filled.words("to"))
    except LotrootError as error:
        return shown_again(error, _page, "number")
    try:
        reason = filled.reason(signed_in().plant, "reason")
    except LotrootError as error:
        return shown_again(error, _page, "reason")
    command = PlaceHold(reason=reason, lot=lot, first=first, last=last, **told)
    if any(told.values()) and not filled.words("later") and not _found(command):
        return shown_again(_nothing_found(told), _page, "heat")
    return record(command, url_for("holds.page"), again=_page, field="number")


@blueprint.post("/holds/<int:hold>/release")
def release(hold: int) -> Response:
    """Release one lot, or some of its items, from one hold."""
    try:
        lot, first, last = _part_read(filled.words("number"), filled.words("to"))
        reason = filled.reason(signed_in().plant, "reason")
    except LotrootError as error:
        return shown_again(error, _page, f"release-{hold}")
    return record(ReleaseHold(hold, lot, reason, first, last), url_for("holds.page"), again=_page)


@blueprint.post("/holds/<int:hold>/end")
def end(hold: int) -> Response:
    """Let a hold by heat, delivery or supplier catch nothing that comes later."""
    try:
        reason = filled.reason(signed_in().plant, "reason")
    except LotrootError as error:
        return shown_again(error, _page, f"end-{hold}")
    return record(EndHold(hold, reason), url_for("holds.page"), again=_page)


def _found(command: PlaceHold) -> list[str]:
    with desk().house.reading() as connection:
        return lots_named(connection, named_by(command))


def _nothing_found(told: dict[str, str]) -> Unreadable:
    """A heat mistyped in haste would hold nothing, and look as if it did."""
    named = " and ".join(f"{scheme} {value}" for scheme, value in told.items() if value)
    return Unreadable(
        f"No lot here is of {named}; nothing is on hold.",
        value=named,
        expected="A heat, delivery or supplier of lots that are here.",
        next_step="Correct it, or tick below that it is to stop what comes later.",
    )


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    plant = found.plant
    with desk().house.reading() as connection:
        words = Words(connection)
        firms = parties(connection, "supplier")
        holds = [_seen(connection, found, one, words) for one in standing_holds(connection)]
    reasons = [CHOOSE] + ([(one.code, one.words) for one in plant.reasons_of("hold")] if plant else [])
    lifted = [CHOOSE] + ([(one.code, one.words) for one in plant.reasons_of("release")] if plant else [])
    placing = request.endpoint == "holds.place"
    kept = {name: request.form.get(name, "") if placing else "" for name in FIELDS}
    suppliers = [("", "any")] + [(row.code, words.party(row.code)) for row in firms]
    values: dict[str, Any] = {
        "suppliers": suppliers,
        "holds": holds,
        "reasons": reasons,
        "release_reasons": lifted,
        "kept": kept,
    }
    may: dict[str, Any] = {
        "may_place": found.may(PlaceHold),
        "may_release": found.may(ReleaseHold),
        "may_end": found.may(EndHold),
    }
    return render_template("holds.html", **frame(errors=errors or [], **values, **may))


def _seen(connection: Connection, found: Who, standing: Standing, words: Words) -> dict[str, Any]:
    """One hold as the page shows it: each root with what it reaches, each release with its reason."""
    row = standing.hold
    return {
        "id": row.id,
        "kind": WORDS[row.kind],
        "reason": row.reason,
        "by": name_of(connection, row.person),
        "when": when(found.plant, row.at),
        "named": source_words(row),
        "catching": standing.catching,
        "roots": [_root(connection, standing, root, words) for root in standing.roots if root.live],
        "releases": [
            {"lot": _span(one), "reason": one.reason, "by": name_of(connection, one.person)}
            for one in standing.releases
        ],
    }


def _root(connection: Connection, standing: Standing, root: Any, words: Words) -> dict[str, Any]:
    row, plant = find_lot(connection, root.lot), signed_in().plant
    below = lots_by_id(connection, ids_below(connection, row.id)).values()
    reached = lots_held_by(connection, root.hold, [one.id for one in below if not one.voided])
    return {
        "number": root.lot,
        "shown": _span(root),
        "product": words.product(row.product) or words.kind(row.kind),
        "reach": reach_words(len(reached - {row.id})),
        "sent": [] if root.last or row.voided else whom_to_call(connection, root.lot, words),
        "lacks": lacking(connection, plant, root.lot) if plant and standing.hold.kind in AWAITING else [],
    }


def whom_to_call(connection: Connection, lot: str, words: Words) -> list[str]:
    """The customers that have some of a lot, each with how much of it where that is a unit or more."""
    found = recall(connection, lot)
    told = {
        words.party(customer): f" ({words.amount(amount, found.unit)} of it)" if found.unit and amount else ""
        for customer, amount in found.customers.items()
    }
    return sorted(customer + amount for customer, amount in told.items())


def reach_words(lots: int) -> str:
    """How much a hold reaches beyond the lot that it names."""
    if not lots:
        return "nothing was made of it yet"
    return "and 1 lot made of it" if lots == 1 else f"and {lots} lots made of it"


def _span(row: Any) -> str:
    if not row.last:
        return shown(row.lot)
    return f"{shown(row.lot)}, {items(row.first, row.last) or 'part of it'}"


def _part_read(text: str, to: str) -> tuple[str, int, int]:
    """The lot of a typed number, and the serials from an item's to that of another; empty for nothing."""
    (lot, first), (other, last) = _lot_read(text), _lot_read(to)
    if to and not (first and last and other == lot):
        raise Unreadable(
            "A range runs from one item to another of the same lot.",
            value=f"{text} to {to}",
            expected="The labels of the first and of the last item.",
            next_step="Scan both again, or leave the last one empty.",
        )
    return lot, min(first, last or first), max(first, last)


def _lot_read(text: str) -> tuple[str, int]:
    """The lot a typed number is of, and the serial where it is an item's; empty for nothing typed."""
    if not text.strip():
        return "", 0
    value = read(text).value
    if isinstance(value, ItemNumber):
        return str(value.lot), value.serial
    if isinstance(value, Number) and is_lot(value):
        return str(value), 0
    raise Unreadable(
        "A hold names goods.",
        value=text,
        expected="The number of a lot or item.",
        next_step="Scan the label on the goods.",
    )
