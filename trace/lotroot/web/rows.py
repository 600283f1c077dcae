"""How is a row of items said with two scans: ROW, then the first of them, then the last?

Pages that put goods somewhere share this; what they keep between the scans stands in the page's context.
"""

from typing import Any

from lotroot.identity import Command, ItemNumber, Number, is_carrier, is_lot, number_from
from lotroot.identity.showing import shown
from lotroot.stock.carriers import carrier_or_none
from lotroot.web.scene import Say, Scanned, Scene

Goods = ItemNumber | Number
ENDED = ("row", "first", "off", "empty", "chosen")
"""What a page's context says of the next scan only."""


def goods_scanned(scene: Scene, scanned: Scanned) -> Goods | None:
    """The lot, item or carrier that was scanned, or a pan whose code was typed; None for anything else."""
    value = scanned.value
    if value is None:
        pan = carrier_or_none(scene.connection, scanned.text.strip().lower().replace(" ", "_"))
        return number_from(pan.number) if pan is not None else None
    if isinstance(value, ItemNumber):
        return value
    if isinstance(value, Number) and (is_lot(value) or is_carrier(value)):
        return value
    return None


def begins_row(scanned: Scanned, context: dict[str, Any]) -> Say | None:
    """ROW was scanned: the next scan is the first of a row."""
    if scanned.value is not Command.ROW:
        return None
    return Say("A row of boxes: scan the first of it.", context={**context, "row": 1, "first": ""})


def first_of_row(value: Goods, context: dict[str, Any]) -> Say | None:
    """The first of a row was scanned; the next scan is the last."""
    if not context.get("row") or context.get("first") or not isinstance(value, ItemNumber):
        return None
    words = f"From {shown(str(value))}. Now scan the last of the row."
    return Say(words, context={**context, "first": str(value)})


def span(value: Goods, context: dict[str, Any]) -> tuple[str, str]:
    """The first and the last of what is meant: a whole row, or one thing and nothing."""
    first = str(context.get("first", ""))
    return (first, str(value)) if first else (str(value), "")


def without_row(context: dict[str, Any]) -> dict[str, Any]:
    """What is kept once a row, or one thing taken off, is done with."""
    return {name: value for name, value in context.items() if name not in ENDED}
