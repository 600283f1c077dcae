"""What was recorded wrongly about a number, and how is it put right without anything being erased?

Every form posts a correction that names what it corrects (RULES 14-16): what was recorded before stays
readable, and what depends on it is worked out anew.
"""

from typing import Any

from flask import Blueprint, Response, make_response, redirect, render_template, request
from sqlalchemy import Connection, Row, select

from lotroot.accounts.people import everybody
from lotroot.dispatch.shipments import find_shipment
from lotroot.errors import LotrootError, Unknown
from lotroot.genealogy.lots import find_lot
from lotroot.goods import ITEM_LENGTH
from lotroot.identity.showing import shown
from lotroot.ledger.book import events_naming
from lotroot.ledger.names import with_names
from lotroot.ledger.tables import posting
from lotroot.plant.adopted import parties
from lotroot.production.correcting_remainders import ESTIMATED, RECKONED, WEIGHED, came_off
from lotroot.production.relinking import in_own_unit
from lotroot.production.runs import Run, find_run, loads_of_lot
from lotroot.receiving.receipts import source_of
from lotroot.tracing.words import Words, items
from lotroot.voiding.handling import PASSED_BY, said
from lotroot.web.acting import Errors, errors_of, record
from lotroot.web.cells import link, plain
from lotroot.web.correcting import NOBODY, OF_KIND, READERS, beginning
from lotroot.web.desk import desk
from lotroot.web.find import address
from lotroot.web.frame import Who, frame, signed_in
from lotroot.web.problems import kind_of

blueprint = Blueprint("corrections", __name__, url_prefix="/lots/<number>/correct")

MOST_POSTINGS = 40
"""So many postings are offered to be taken back; older ones have long been built upon."""
KINDS = {"U": "run", "P": "carrier", "D": "shipment"}
HOWS = [
    ("weighed", "Weighed"),
    ("counted", "Counted"),
    ("theirs", "By their papers"),
    ("estimated", "Estimated"),
]

HOWS_LEFT = [(WEIGHED, "Weighed"), (ESTIMATED, "Estimated"), (RECKONED, "Calculated")]

Choices = list[tuple[str, str]]


@blueprint.get("")
def page(number: str) -> Response:
    """What can be put right about a lot, run, carrier or shipment."""
    if len(number) == ITEM_LENGTH:
        return make_response(redirect(f"/lots/{number[:11]}/correct"))
    return make_response(_page(number, []))


@blueprint.post("/<what>")
def correct(number: str, what: str) -> Response:
    """Post one correction."""
    reader, _, field = READERS.get(what, (None, None, ""))
    if reader is None:
        raise Unknown("There is no such correction.", value=what, next_step="Go back to the page.")
    try:
        with desk().house.reading() as connection:
            command = reader(connection, number)
    except LotrootError as error:
        return make_response(_page(number, errors_of(error, field)), kind_of(error).status)
    return record(command, address(number), again=lambda errors: _page(number, errors), field=field)


def may_correct(found: Who, kind: str) -> bool:
    """Whether somebody may put anything right about a number of a kind."""
    return any(found.may(READERS[what][1]) for what in OF_KIND.get(kind, ()))


def _page(number: str, errors: Errors) -> str:
    found = signed_in()
    with desk().house.reading() as connection:
        words = Words(connection)
        kind = KINDS.get(number[:1], "lot")
        forms = {what for what in OF_KIND[kind] if found.may(READERS[what][1])}
        values = _values(connection, number, kind, words)
        if values.get("source") is None:
            forms.discard("receipt")
        if "void" in forms:
            values["postings"] = _postings(connection, number, words)
    kept = {**values.pop("kept", {}), **(dict(request.form.items()) if errors else {})}
    more: dict[str, Any] = {
        "number": number,
        "shown": shown(number),
        "forms": forms,
        "kept": kept,
        "errors": errors,
    }
    return render_template("correct.html", **frame(**values, **more))


def _values(connection: Connection, number: str, kind: str, words: Words) -> dict[str, Any]:
    """What the forms of a kind of number need. Raises Unknown, Unreadable."""
    if kind == "run":
        return _run(connection, find_run(connection, number), words)
    if kind == "shipment":
        row = find_shipment(connection, number).row
        firms = [(one.code, words.party(one.code)) for one in parties(connection, "customer")]
        return {"customers": firms, "kept": {"customer": row.customer, "customer_order": row.order_number}}
    if kind == "lot":
        return _lot(connection, find_lot(connection, number), words)
    return {}


def _lot(connection: Connection, lot: Row[Any], words: Words) -> dict[str, Any]:
    plant, source = words.plant, source_of(connection, lot.number)
    kind = plant.kinds.get(lot.kind) if plant else None
    same = (
        [one for one in plant.products.values() if plant.kind(one.kind).letter == lot.number[0]]
        if plant
        else []
    )
    return {
        "amount": words.amount(lot.amount, lot.unit),
        "unit": plant.units.get(lot.unit, lot.unit) if plant else lot.unit,
        "mass": words.amount(lot.mass or 0, "g") if kind and kind.mass else "",
        "mass_unit": plant.units.get("g", "g") if plant else "g",
        "hows": HOWS,
        "reasons": [(one.code, one.words) for one in plant.reasons_of("correct")] if plant else [],
        "source": source,
        "products": [(one.code, words.product(one.code)) for one in same],
        "suppliers": [("", "not known")]
        + [(one.code, words.party(one.code)) for one in parties(connection, "supplier")],
        "run": link(lot.run) if lot.run else "",
        "run_number": lot.run,
        "left_in": _left_in(connection, lot.number),
        "kept": {**beginning(source), "receipt_product": lot.product, "amount_how": lot.how},
    }


def _left_in(connection: Connection, lot: str) -> Choices:
    """The runs a lot came off from with something left: their numbers, and how they are shown."""
    runs = dict.fromkeys(one.run for one in loads_of_lot(connection, lot) if came_off(one))
    return [(run, shown(run)) for run in runs]


def _run(connection: Connection, run: Run, words: Words) -> dict[str, Any]:
    words.learn([one.lot for one in (*run.inputs, *run.outputs)])
    loads = [(str(one.load), _load(one, words)) for one in run.inputs]
    outputs = [(str(one.seq), _output(one, words)) for one in run.outputs]
    times = [(f"output-{seq}", f"finished: {what}") for seq, what in outputs]
    times += [(f"load-{seq}", f"put on: {what}") for seq, what in loads]
    plant = words.plant
    tools = [(one.code, one.name) for one in plant.resources.values()] if plant else []
    used: Choices = [(one.thing, words.called(one.thing)) for one in run.uses]
    people = [(row.number, words.called(row.number)) for row in everybody(connection)]
    return {
        "loads": loads,
        "lefts": [(str(one.load), _left(one, words)) for one in run.inputs if came_off(one)],
        "hows_left": HOWS_LEFT,
        "next_loads": [("0", "none"), *loads],
        "outputs": outputs,
        "times": times,
        "tools": [(NOBODY, "no such tool"), *tools],
        "used": [("", "none: one is missing"), *dict.fromkeys(used)],
        "people": people,
        "own": {str(one.seq): plain(one.own, _unit(one, words), plant) for one in run.outputs},
        "kept": {"worker": run.row.person},
    }


def _load(one: Row[Any], words: Words) -> str:
    return f"{one.load}: {shown(one.lot)}, {words.amount_of(one.lot, one.own)}, {words.time(one.at)}"


def _left(one: Row[Any], words: Words) -> str:
    much = words.amount_of(one.lot, in_own_unit(one, one.remainder))
    return f"{one.load}: {shown(one.lot)}, {much} left, {one.left_how}, {words.time(one.unloaded_at)}"


def _output(one: Row[Any], words: Words) -> str:
    which = f", {items(one.first, one.last)}" if one.first else ""
    amount = words.amount_of(one.lot, one.own)
    return f"{one.seq}: {shown(one.lot)}{which}, {amount}, {words.time(one.ended)}"


def _unit(one: Row[Any], words: Words) -> str:
    row = words.lot(one.lot)
    return row.unit if row is not None else "g"


def _postings(connection: Connection, number: str, words: Words) -> Choices:
    """What was posted about a number and stands, the latest first, in the words it was answered with."""
    made = {recorded.posting.id: recorded.posting for recorded in events_naming(connection, number)}
    query = select(posting.c.voids).where(posting.c.voids.in_(made))
    back = {row.voids for row in connection.execute(query)}
    standing = [
        one for key, one in made.items() if key not in back and one.command not in PASSED_BY and one.answer
    ]
    latest = sorted(standing, key=lambda one: -one.id)[:MOST_POSTINGS]
    return [
        (
            str(one.id),
            f"{words.time(one.happened)}, {words.called(one.person)}: "
            f"{with_names(connection, said(one))[:90]}",
        )
        for one in latest
    ]
