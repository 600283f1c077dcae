"""How is a pallet built by scan: open it, scan what goes on, take off what is wrong, finish it?"""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, render_template, request
from sqlalchemy import Connection, Row, select

from lotroot.errors import Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import Command, Number, is_carrier
from lotroot.identity.showing import shown
from lotroot.moving.pallets import ClosePallet, EmptyCarrier, OpenPallet, PutOn, Restack, TakeOff
from lotroot.stock.carriers import carrier_or_none, find_carrier
from lotroot.stock.standing import at_spot
from lotroot.stock.tables import carrier
from lotroot.web.frame import signed_in
from lotroot.web.rows import Goods, begins_row, first_of_row, goods_scanned, span, without_row
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown

blueprint = Blueprint("packing", __name__)
NAV = (("Packing", "packing.page"),)
HELP = "NEXT opens a pallet. Scan what goes on it. DONE finishes it."

_open = (
    select(carrier.c.number)
    .where(carrier.c.kind == "pallet", carrier.c.state == "open")
    .order_by(carrier.c.since.desc())
    .limit(8)
)


@blueprint.get("/packing")
def page() -> str:
    """The packing page, with the pallet that was just opened."""
    signed_in()
    given = request.args.get("pallet", "")
    context = {"carrier": given} if given else {}
    return render_template("packing.html", **scan_frame(PAGE, context=context))


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """A pallet, what goes on or off it, or a command."""
    context = dict(scene.context)
    said = begins_row(scanned, context) or _stack(scanned, context)
    if said is not None:
        return said
    if isinstance(scanned.value, Command):
        return _command(scanned.value, context)
    value = goods_scanned(scanned)
    if value is None:
        return None
    if isinstance(value, Number) and is_carrier(value):
        return _carrier(scene, str(value), context)
    return _goods(value, context)


def _goods(value: Goods, context: dict[str, Any]) -> Act | Say:
    """Goods go onto the chosen pallet, or come off theirs."""
    if context.get("off"):
        return Act(TakeOff(str(value)), without_row(context))
    if not context.get("carrier"):
        raise Unreadable(
            "No pallet is being built here.",
            value=shown(str(value)),
            expected="An open pallet.",
            next_step="Scan NEXT to open one, or the label of an open one; then this again.",
        )
    first = first_of_row(value, context)
    if first is not None:
        return first
    number, last = span(value, context)
    return Act(PutOn(str(context["carrier"]), number, last), without_row(context))


def _stack(scanned: Scanned, context: dict[str, Any]) -> Say | None:
    if scanned.text.strip().upper() != "STACK":
        return None
    return Say(
        "Re-stacking: scan the pallets that are taken apart, then DONE.", context={**context, "stack": []}
    )


def _command(command: Command, context: dict[str, Any]) -> Act | Say | None:
    if command is Command.NEXT:
        return Act(OpenPallet(), goto=lambda answer: f"/packing?pallet={answer.numbers[0]}")
    if command is Command.PART:
        return Say("Scan what comes off.", context={**without_row(context), "off": 1})
    if command is Command.EMPTY:
        return Say("Scan the pan or pallet that is empty.", context={**without_row(context), "empty": 1})
    if command is Command.DONE and context.get("stack"):
        return Act(
            Restack(tuple(context["stack"])), goto=lambda answer: f"/packing?pallet={answer.numbers[0]}"
        )
    if command is Command.DONE and context.get("carrier"):
        return Act(ClosePallet(str(context["carrier"])), {})
    return None


def _carrier(scene: Scene, number: str, context: dict[str, Any]) -> Act | Say:
    found = find_carrier(scene.connection, number)
    name = found.code or shown(number)
    if context.get("empty"):
        return Act(EmptyCarrier(number), without_row(context))
    if "stack" in context:
        stack = [one for one in context["stack"] if one != number] + [number]
        return Say(f"{name} is taken apart, {len(stack)} now.", context={**context, "stack": stack})
    return Say(f"{name}. Scan what goes on it.", context={**without_row(context), "carrier": number})


def show(scene: Scene) -> Shown:
    """What is on the pallet, and which others are open."""
    number = str(scene.context.get("carrier", ""))
    found = carrier_or_none(scene.connection, number)
    values = {
        "name": (found.code or shown(number)) if found else "",
        "lines": _lines(scene, at_spot(scene.connection, number)) if found else [],
        "others": [(row.number, shown(row.number)) for row in scene.connection.execute(_open)],
        "stack": [shown(one) for one in scene.context.get("stack", [])],
    }
    return Shown(_next(scene, bool(found)), {"on-pallet": render_template("_on_pallet.html", **values)})


def _next(scene: Scene, any_pallet: bool) -> str:
    context = scene.context
    if "stack" in context:
        return "Scan the pallets that are taken apart, then DONE"
    for name, words in (("off", "Scan what comes off"), ("empty", "Scan what is empty")):
        if context.get(name):
            return words
    if context.get("row"):
        return "Scan the last of the row" if context.get("first") else "Scan the first of the row"
    return (
        "Scan what goes on it; DONE finishes it" if any_pallet else "NEXT opens a pallet, or scan an open one"
    )


def _lines(scene: Scene, rows: Sequence[Row[Any]]) -> list[dict[str, str]]:
    return [_line(scene, scene.connection, row) for row in rows]


def _line(scene: Scene, connection: Connection, row: Row[Any]) -> dict[str, str]:
    lot = find_lot(connection, row.lot)
    product = scene.plant.products.get(lot.product)
    span_words = (
        "" if not row.first else (str(row.first) if row.first == row.last else f"{row.first} to {row.last}")
    )
    return {
        "lot": shown(row.lot),
        "items": span_words,
        "product": product.name if product else lot.product,
        "amount": scene.amount(row.amount, lot.unit),
    }


PAGE = Page("packing", meaning, show, HELP)
