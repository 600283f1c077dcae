"""How is a pallet built by scan: open it, scan what goes on, take off what is wrong, finish it?"""

from typing import Any

from flask import Blueprint, render_template, request
from sqlalchemy import Row, select

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.identity import Command, Number, is_carrier
from lotroot.identity.showing import shown
from lotroot.moving.pallets import ClosePallet, EmptyCarrier, OpenPallet, PutOn, Restack, TakeOff, state_words
from lotroot.processes.definition import Plant
from lotroot.stock.carriers import carrier_or_none, find_carrier
from lotroot.stock.standing import at_spot
from lotroot.stock.tables import OPEN_PALLET, carrier
from lotroot.web.frame import signed_in
from lotroot.web.packages import items_of, lot_words, weight_of
from lotroot.web.rows import Goods, begins_row, first_of_row, goods_scanned, span, without_row
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown

blueprint = Blueprint("packing", __name__)
NAV = (("Packing", "packing.page"),)
HELP = "NEXT opens a pallet. Scan what goes on it. DONE finishes it."

_open = select(carrier.c.number).where(OPEN_PALLET).order_by(carrier.c.since.desc()).limit(8)


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
        return _command(scene, scanned.value, context)
    value = goods_scanned(scene, scanned)
    if value is None:
        return None
    if isinstance(value, Number) and is_carrier(value):
        return _carrier(scene, str(value), context)
    return _goods(value, context)


def _goods(value: Goods, context: dict[str, Any]) -> Act | Say:
    """Goods go onto the chosen pallet, or come off theirs."""
    if "stack" in context:
        raise Unreadable(
            "Pallets are re-stacked here just now.",
            value=shown(str(value)),
            expected="A pallet that is taken apart.",
            next_step="Scan the pallets, then DONE; to stop re-stacking, scan NEXT or load the page again.",
        )
    if context.get("off"):
        return _off(value, context)
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


def _off(value: Goods, context: dict[str, Any]) -> Act | Say:
    """One comes off, or after ROW the first to the last of a row."""
    first = first_of_row(value, context)
    if first is not None:
        return first
    number, last = span(value, context)
    return Act(TakeOff(number, to=last), without_row(context))


def _stack(scanned: Scanned, context: dict[str, Any]) -> Say | None:
    if scanned.value is not Command.STACK:
        return None
    return Say(
        "Re-stacking: scan the pallets that are taken apart, then DONE.", context={**context, "stack": []}
    )


def _command(scene: Scene, command: Command, context: dict[str, Any]) -> Act | Say | None:
    if command is Command.NEXT:
        return Act(OpenPallet(), goto=lambda answer: f"/packing?pallet={answer.numbers[0]}")
    if command is Command.PART:
        return Say("Scan what comes off.", context={**without_row(context), "off": 1})
    if command is Command.EMPTY:
        return Say("Scan the pan or pallet that is empty.", context={**without_row(context), "empty": 1})
    if command is Command.DONE and "stack" in context:
        return _restacked(context)
    if command is Command.DONE and context.get("carrier"):
        return _done(scene, str(context["carrier"]))
    return None


def _done(scene: Scene, number: str) -> Act | Say:
    """A pallet is finished; a tram or pan stays what it is."""
    found = find_carrier(scene.connection, number)
    if found.reusable:
        return Say(f"{carrier_name(scene.plant, found)} is done. Scan the next one.", context={})
    return Act(ClosePallet(number), {})


def carrier_name(plant: Plant, found: Row[Any]) -> str:
    """What people call it: Tram 1, Pan 17, or a pallet's number."""
    return plant.carriers[found.code].name if found.code in plant.carriers else shown(found.number)


def _restacked(context: dict[str, Any]) -> Act | Say:
    """All that was scanned goes onto a new pallet; nothing scanned, nothing re-stacked."""
    stack = tuple(str(one) for one in context["stack"])
    if not stack:
        kept = {name: value for name, value in context.items() if name != "stack"}
        return Say("Nothing was re-stacked.", context=kept)
    return Act(Restack(stack), goto=lambda answer: f"/packing?pallet={answer.numbers[0]}")


def _carrier(scene: Scene, number: str, context: dict[str, Any]) -> Act | Say:
    found = find_carrier(scene.connection, number)
    name = carrier_name(scene.plant, found)
    if context.get("empty"):
        return Act(EmptyCarrier(number), without_row(context))
    if "stack" in context:
        _refuse_to_stack(found, name)
        stack = [one for one in context["stack"] if one != number] + [number]
        return Say(f"{name} is taken apart, {len(stack)} now.", context={**context, "stack": stack})
    chosen = {**without_row(context), "carrier": number}
    if not found.reusable and found.state != "open":
        return Say(f"{name} {state_words(found)}. Nothing more goes on it.", context=chosen)
    return Say(f"{name}. Scan what goes on it.", context=chosen)


def _refuse_to_stack(found: Row[Any], name: str) -> None:
    """Refuse at once what the new pallet could not be made of, so that DONE is not refused for it."""
    where = f"is on shipment {shown(found.spot)}" if found.spot.startswith("D") else state_words(found)
    if found.reusable or found.state not in ("open", "closed") or found.spot.startswith("D"):
        raise Refused(
            f"{name} is no pallet." if found.reusable else f"{name} {where}.",
            value=found.number,
            expected="A pallet that stands here.",
            next_step="Scan the pallets that are taken apart, then DONE.",
        )


def show(scene: Scene) -> Shown:
    """What is on the pallet, and which others are open."""
    number = str(scene.context.get("carrier", ""))
    found = carrier_or_none(scene.connection, number)
    rows = at_spot(scene.connection, number) if found else []
    others = [row.number for row in scene.connection.execute(_open) if row.number != number]
    values = {
        "name": carrier_name(scene.plant, found) if found else "",
        "state": state_words(found) if found and not found.reusable and found.state != "open" else "",
        "lines": [_line(scene, row) for row in rows],
        "count": sum(items_of(row) for row in rows),
        "weight": weight_of(scene.connection, rows).words,
        "others": [(one, shown(one)) for one in others],
        "stack": [shown(one) for one in scene.context.get("stack", [])],
    }
    return Shown(
        _next(scene, found is not None and (found.state == "open" or found.reusable)),
        {"on-pallet": render_template("_on_pallet.html", **values)},
    )


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


def _line(scene: Scene, row: Row[Any]) -> dict[str, str]:
    lot = find_lot(scene.connection, row.lot)
    product = scene.plant.products.get(lot.product)
    return {
        "lot": lot_words(row),
        "product": product.name if product else lot.product,
        "amount": scene.amount(row.amount, lot.unit),
    }


PAGE = Page("packing", meaning, show, HELP)
