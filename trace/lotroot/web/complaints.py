"""A customer complains: of which goods, where were those from, and where is the rest of that origin?"""

from typing import Any

from flask import Blueprint, Response, render_template, request, url_for
from sqlalchemy import Connection

from lotroot.complaints.cases import cases, find_case
from lotroot.complaints.handling import AddToComplaint, CloseComplaint, OpenComplaint
from lotroot.errors import LotrootError
from lotroot.holds.handling import PlaceHold
from lotroot.identity.showing import shown
from lotroot.ledger.book import keep_file
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import current_plant, parties, thing_or_none
from lotroot.quantities import show_amount
from lotroot.tracing import find, origins, siblings
from lotroot.tracing.lineage import OnHand, Shipped
from lotroot.web.acting import Errors, record
from lotroot.web.desk import desk
from lotroot.web.frame import Who, frame, signed_in, when
from lotroot.web.security import uploads

blueprint = Blueprint("complaints", __name__)
NAV = (("Complaints", "complaints.page"),)
MOST = 60
"""Siblings shown at once; the lineage of the source has them all."""


@blueprint.get("/complaints")
def page() -> str:
    """Complaints, the open ones first, and the form to take a new one."""
    return _page()


@blueprint.post("/complaints")
def take() -> Response:
    """Take a complaint: what the label says, as far as it can be read, and what the customer says."""
    form = request.form
    told = form.get("number", "").strip()
    with desk().house.reading() as connection:
        found = [one.number for one in find(connection, told)] if told else []
    numbers, read = ((found[0],), "") if len(found) == 1 else ((), told)
    rest = {name: form.get(name, "").strip() for name in ("words", "customer", "contact", "quantity")}
    command = OpenComplaint(numbers=numbers, read=read, **rest)
    return record(command, url_for("complaints.page"), again=_page, field="number")


@blueprint.get("/complaints/<number>")
def one(number: str) -> str:
    """One complaint with the origin of its goods and everything of the same origin."""
    found = signed_in()
    with desk().house.reading() as connection:
        case = find_case(connection, number.replace("-", ""))
        names = names_of(connection)
        goods = [_goods(connection, found, row.number) for row in case.numbers]
        guesses = [] if goods or not case.row.read else find(connection, case.row.read)
    entries = [
        {
            "words": row.words,
            "file": row.file,
            "by": names.get(row.person, row.person),
            "when": when(found.plant, row.at),
        }
        for row in case.entries
    ]
    values: dict[str, Any] = {
        "case": case.row,
        "number": shown(case.row.number),
        "customer": names.get(case.row.customer, case.row.customer),
        "contact": case.contact,
        "goods": goods,
        "guesses": guesses,
        "entries": entries,
        "shown": shown,
    }
    may: dict[str, Any] = {"may_hold": found.may(PlaceHold), "may_close": found.may(CloseComplaint)}
    return render_template("complaint.html", **frame(**values, **may))


@blueprint.post("/complaints/<number>/more")
@uploads
def more(number: str) -> Response:
    """Add what was learnt later: words, a photograph, another label."""
    told, given = request.form.get("number", "").strip(), request.files.get("file")
    digest = ""
    with desk().house.reading() as connection:
        found = [one.number for one in find(connection, told)] if told else []
    if given is not None and given.filename:
        with desk().house.writing() as connection:
            digest = keep_file(connection, given.filename[-120:], given.mimetype, given.read())
    command = AddToComplaint(number, request.form.get("words", "").strip(), digest, tuple(found[:1]))
    return record(command, url_for("complaints.one", number=number))


@blueprint.post("/complaints/<number>/close")
def close(number: str) -> Response:
    """Close a complaint with an answer."""
    command = CloseComplaint(number, request.form.get("answer", "").strip())
    return record(command, url_for("complaints.one", number=number))


@blueprint.post("/complaints/<number>/hold")
def hold(number: str) -> Response:
    """Hold a source, and with it everything that was made of it."""
    words = request.form.get("words", "").strip() or f"complaint {shown(number)}"
    command = PlaceHold(words, request.form.get("lot", ""))
    return record(command, url_for("complaints.one", number=number))


def _page(errors: Errors | None = None) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        names = names_of(connection)
        listed = [
            {
                "number": row.number,
                "shown": shown(row.number),
                "customer": names.get(row.customer, row.customer),
                "words": row.words,
                "state": row.state,
                "when": when(found.plant, row.opened),
            }
            for row in cases(connection)
        ]
        customers = [(row.code, names.get(row.code, row.code)) for row in parties(connection, "customer")]
    kept = {
        name: request.form.get(name, "") for name in ("number", "words", "customer", "contact", "quantity")
    }
    values: dict[str, Any] = {"cases": listed, "customers": customers, "kept": kept, "errors": errors or []}
    return render_template("complaints.html", **frame(**values, may_take=found.may(OpenComplaint)))


def _goods(connection: Connection, found: Who, number: str) -> dict[str, Any]:
    """One complained-of label: its origin, what stood between, and what else came of the same."""
    try:
        came, others = origins(connection, number), siblings(connection, number)
    except LotrootError as error:
        return {"number": number, "shown": shown(number), "trouble": str(error)}
    return {
        "number": number,
        "shown": shown(number),
        "sources": [_source(found, one) for one in came.sources],
        "between": came.between,
        "checks": came.checks,
        "on_hand": [_standing(connection, found, one) for one in others.on_hand[:MOST]],
        "more": max(len(others.on_hand) - MOST, 0),
        "shipments": [_shipped(connection, found, one) for one in others.shipments],
        "lots": len(others.lots),
    }


def _source(found: Who, one: Any) -> dict[str, Any]:
    unit = one.lot.amount.unit
    return {
        "number": one.lot.lot.number,
        "shown": shown(one.lot.lot.number),
        "product": one.lot.product,
        "supplier": one.source.supplier.name if one.source else "",
        "number_there": one.source.supplier_number if one.source else "",
        "heats": ", ".join(one.source.heats) if one.source else "",
        "part": "; ".join(_amount(found, amount, unit) for amount in one.part.values()),
        "held": one.held,
    }


def _standing(connection: Connection, found: Who, one: OnHand) -> dict[str, str]:
    thing = thing_or_none(connection, one.place)
    plant = current_plant(connection)
    place = plant.places.get(thing.code) if thing else None
    return {
        "lot": one.lot,
        "shown": shown(one.lot),
        "place": place.name if place else (thing.code if thing else shown(one.place)),
        "amount": _amount(found, one.amount, one.unit),
    }


def _shipped(connection: Connection, found: Who, one: Shipped) -> dict[str, str]:
    names = names_of(connection)
    return {
        "shipment": one.shipment,
        "shown": shown(one.shipment),
        "customer": names.get(one.customer, one.customer),
        "amount": _amount(found, one.amount, one.unit),
        "back": _amount(found, one.returned, one.unit) if one.returned else "",
    }


def _amount(found: Who, amount: int, unit: str) -> str:
    return show_amount(amount, unit, found.plant.units.get(unit, unit) if found.plant else unit)
