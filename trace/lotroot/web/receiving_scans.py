"""How does a coil or a pack get from the supplier's tag onto its own label: by scan, in any order?

What the tag's barcodes say is collected in the page (`tag_read`); one typed number is our weight or count
and records the receipt. What nobody has said by then is asked by numbered questions.
"""

import re
from collections.abc import Callable
from typing import Any, NamedTuple

from lotroot.errors import Refused
from lotroot.genealogy.lots import lot_or_none
from lotroot.holds.handling import PlaceHold
from lotroot.identity import Command, Number, is_lot
from lotroot.posting.door import answer_from
from lotroot.posting.recent import recent
from lotroot.processes.definition import Kind, Product
from lotroot.receiving.commands import ReceiveLot
from lotroot.receiving.details import COIL
from lotroot.receiving.facts import NOT_ON_TAG, TO_FOLLOW
from lotroot.receiving.receipts import usual_mass
from lotroot.reserved import is_reserved
from lotroot.web import tag_read
from lotroot.web.coming import choose_product, choose_supplier
from lotroot.web.receiving_shown import show
from lotroot.web.scene import Act, Page, Say, Scanned, Scene
from lotroot.web.tag_read import Tagged

KEPT = ("product", "supplier", "order_number", "delivery", "certificate")
"""What stays for the next piece of the same delivery."""
SAME = ("heats", "grade", "size")
"""What SAME AGAIN brings back beside it."""
HOLD = "HOLD "
"""What a reason's button scans, before its code."""
LONG = 5
"""Digits from which a number that nothing is expected of may be one of the tag's (our own choice)."""

_AMOUNT = re.compile(r"\d{1,6}([.,]\d{1,3})?( ?(kg|t|lb|pcs|l))?", re.IGNORECASE)

HELP = (
    "Scan every barcode on the supplier's tag, then type our weight or count. DONE takes theirs, SAME AGAIN "
    "takes the heat of the last one, UNDO forgets the last barcode, NEXT clears all."
)


class Coming(NamedTuple):
    """What the goods in hand are, and what their tag says of how much they are: g or pcs, 0 for nothing."""

    product: Product
    kind: Kind
    theirs: int


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """What a scan means here: a part of the tag, our amount, a label kept ready, or a command."""
    context = dict(scene.context)
    if isinstance(scanned.value, Command):
        return _command(scene, scanned.value, context)
    if scanned.value is not None:
        return _label(scene, scanned.value, context)
    text = scanned.text.strip()
    said = _word(scene, text, context)
    if said is not None:
        return said
    if _AMOUNT.fullmatch(text):
        return _typed(scene, text, context)
    return tag_read.read_part(scene, text, context)


def _command(scene: Scene, command: Command, context: Tagged) -> Act | Say | None:
    if command is Command.UNDO and not tag_read.begun(context):
        return None
    act = COMMANDS.get(command)
    return act(scene, context) if act else None


def _same_again(context: Tagged) -> Say:
    brought = [name for name in SAME if context.get(f"last_{name}")]
    if not brought:
        raise Refused(
            "Nothing was received here just before.",
            expected="A receipt of the same heat, a moment ago.",
            next_step="Scan what stands on the tag.",
        )
    for name in brought:
        tag_read.note(context, name, context[f"last_{name}"])
    heats = " and ".join(context.get("heats", []))
    return Say(f"The same again{f', heat {heats}' if heats else ''}. Scan the next number.", context=context)


def _label(scene: Scene, value: Any, context: Tagged) -> Say | None:
    """A label kept ready for goods to come; any other number is told what it is."""
    if not isinstance(value, Number) or not is_lot(value):
        return None
    if lot_or_none(scene.connection, str(value)) is not None or not is_reserved(scene.connection, value):
        return None
    tag_read.note(context, "number", str(value))
    return Say(f"{value.shown} is the label of these goods.", context=context)


def _word(scene: Scene, text: str, context: Tagged) -> Act | Say | None:
    """A reason to hold, which a button of the page scans, or the name of a product or supplier."""
    plain = text.upper()
    if plain.startswith(HOLD):
        return _hold(scene, plain.removeprefix(HOLD).strip(), context)
    known = tag_read.known_name(scene, text, context)
    return tag_read.chosen(scene, known, context) if known else None


def _product(scene: Scene, context: Tagged) -> Say:
    return tag_read.chosen(scene, ("product", choose_product(scene, context)), context)


def _supplier(scene: Scene, context: Tagged) -> Say:
    return tag_read.chosen(scene, ("supplier", choose_supplier(scene, context)), context)


def _certificate(_scene: Scene, context: Tagged) -> Say:
    if context.pop("certificate", ""):
        return Say("No certificate is waited for.", context=context)
    context["certificate"] = TO_FOLLOW
    return Say("The certificate is to follow, for this delivery.", context=context)


def _why(scene: Scene) -> str:
    return scene.ask(
        "why", "Why is it held?", {one.code: one.words for one in scene.plant.reasons_of("hold")}
    )


def _hold(scene: Scene, code: str, context: Tagged) -> Act | Say:
    """One key holds what is in hand, or what was received here last while nothing is in hand."""
    buttons = {one.code.upper(): one for one in scene.plant.reasons_of("hold")}
    reason = buttons.get(code.upper()) or scene.plant.reason(code)
    made = next(iter(recent(scene.connection, scene.station)), None) if scene.station else None
    if not tag_read.begun(context) and made is not None:
        if made.command == "PlaceHold":
            raise Refused("It was held just now.", word="already", next_step="Scan the next tag.")
        if made.command in ("ReceiveLot", "OpenStock"):
            return Act(PlaceHold(reason.words, answer_from(made).numbers[0]), context)
    tag_read.note(context, "hold_reason", reason.code)
    return Say(f"It will be on hold: {reason.words}.", context=context)


def _coming(scene: Scene, context: Tagged) -> Coming:
    """What is in hand; what nobody has told of it yet is asked."""
    context["product"] = context.get("product") or choose_product(scene, context)
    context["supplier"] = context.get("supplier") or choose_supplier(scene, context)
    product = scene.plant.product(context["product"])
    kind = scene.plant.kind(product.kind)
    if kind.letter == COIL and not context.get("heats"):
        scene.ask("heat", "No heat was read. Is there one?", {"no-heat": "The tag names no heat"})
        context["heats"] = [NOT_ON_TAG]
    theirs = context.get("pieces" if kind.unit == "pcs" else "mass_theirs", 0)
    return Coming(product, kind, int(theirs) if kind.unit in ("g", "pcs") else 0)


def _theirs(scene: Scene, context: Tagged) -> Act:
    """DONE: as much as the tag says."""
    coming = _coming(scene, context)
    if coming.kind.axis == "serial":
        return _received(context, how="theirs", items=int(context.get("pieces", 0)))
    return _received(context, how="theirs", amount=coming.theirs)


def _typed(scene: Scene, text: str, context: Tagged) -> Act | Say:
    """One number: our weight or count, unless it may as well be one of the tag's."""
    if not context.get("product") and _of_the_tag(scene, text, context):
        name = _which(scene, text, "Our own weight or count")
        if name != "ours":
            return tag_read.read_part(scene, text, context, name)
    coming = _coming(scene, context)
    if coming.kind.axis == "serial":
        return _received(context, items=scene.typed(text, "pcs"), typed_by=scene.typed_by)
    expected = coming.theirs
    if not expected and coming.kind.unit == "g":
        expected = usual_mass(scene.connection, coming.product.code)
    amount = scene.typed(text, coming.kind.unit, expected or None)
    if _doubtful(scene, text, amount, expected):
        name = _which(scene, text, f"Our own: {scene.amount(amount, coming.kind.unit)}")
        if name != "ours":
            return tag_read.read_part(scene, text, dict(scene.context), name)
    return _received(context, amount=amount, typed_by=scene.typed_by)


def _which(scene: Scene, text: str, ours: str) -> str:
    return scene.ask(tag_read.QUESTION, f"What is {text}?", {"ours": ours, **tag_read.CHOICES})


def _of_the_tag(scene: Scene, text: str, context: Tagged) -> bool:
    """Whether a number may be one of the tag's while no product is told: it then weighs, as coils do.

    The first number of a tag may always be: hardly anybody types the weight of what was not read yet.
    """
    if not text.isdecimal() or not tag_read.begun(context):
        return text.isdecimal()
    return _doubtful(scene, text, scene.typed(text, "g"), int(context.get("mass_theirs", 0)))


def _doubtful(scene: Scene, text: str, amount: int, expected: int) -> bool:
    if not text.isdecimal():
        return False
    if expected:
        far = scene.plant.far_off
        return not expected <= amount * far <= expected * far * far
    return len(text) >= LONG


def _received(context: Tagged, how: str = "weighed", **more: Any) -> Act:
    """The receipt of what is in hand, and the page ready for the next piece."""
    texts = (
        "product", "supplier", "supplier_number", "grade", "size", "order_number", "delivery", "paint_batch",
    )  # fmt: skip
    others = ("number", "hold_reason", "certificate")
    told: dict[str, Any] = {name: str(context.get(name, "")) for name in (*texts, *others)}
    told |= {"heats": tuple(context.get("heats", [])), "mass_theirs": int(context.get("mass_theirs", 0))}
    command = ReceiveLot(**told, how=how, **more)
    kept = {name: context[name] for name in KEPT if context.get(name)}
    return Act(command, {**kept, **{f"last_{name}": context[name] for name in SAME if context.get(name)}})


COMMANDS: dict[Command, Callable[[Scene, Tagged], Act | Say]] = {
    Command.DONE: _theirs,
    Command.NEXT: lambda _scene, _context: Say("Cleared. Scan the next tag.", context={}),
    Command.SAME_AGAIN: lambda _scene, context: _same_again(context),
    Command.UNDO: lambda _scene, context: tag_read.taken_back(context),
    Command.NOT_ON_TAG: lambda _scene, context: tag_read.no_heat(context),
    Command.EMERGENCY: lambda _scene, context: _received(context, emergency=True),
    Command.PRODUCT: _product,
    Command.SUPPLIER: _supplier,
    Command.CERTIFICATE: _certificate,
    Command.HOLD: lambda scene, context: _hold(scene, _why(scene), context),
}
"""What each command does here; UNDO only while something has been read off a tag."""

PAGE = Page("receiving", meaning, show, HELP)
