"""What of all that could stand on a label does not: too long, no room, no place, not known?

Worked out from the finished drawing, whatever shortened it.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from lotroot_printing.drawing import Drawing
from lotroot_printing.layout import Layout

from lotroot.identity.gs1_scans import SEPARATOR
from lotroot.labelling.outside import FOR

_UNSEEN = ("number", "shown", "name", "kind", "mark", "copy", "demo", FOR, "part", "count", "items", "named")
"""Values that stand on every label, make up another field, or say nothing by themselves."""


def given(name: str, values: Mapping[str, Any]) -> bool:
    """Whether a field that a layout needs is known; an amount may be a count alone."""
    if name == "caution":
        return bool(values.get("cautions"))
    return bool(values.get(name) or (name == "amount" and values.get("count")))


def unsaid(layout: Layout, values: Mapping[str, Any]) -> str:
    """What must stand on every label of it and has no place in this layout; empty where there is nothing."""
    held = bool(values.get("held") or values.get("part"))
    names = [("held", held), ("demo", bool(values.get("demo")))]
    known = " and ".join(name.upper() for name, there in names if there and name not in layout.fields)
    return f"This layout has no place for {known}, which must stand on the label." if known else ""


def shortened(layout: Layout, values: Mapping[str, Any], drawing: Drawing) -> list[str]:
    """Which words gave way: what stands on the label is compared with all that there was to say."""
    whole = _squeezed("".join(run.text for run in drawing.texts))
    squares = [symbol.text.replace(SEPARATOR, "") for symbol in drawing.symbols]
    found = []
    for name, text in _said_of(values):
        if _squeezed(text) in whole or re.sub("[()]", "", text) in squares:
            continue
        if name in layout.fields:
            found.append(_cut(word(name), text, whole))
        elif "extra" in layout.fields and name in _EXTRA:
            found.append(f"There is no room left for the {word(name)}: “{text}”.")
    return found


def _cut(what: str, text: str, whole: str) -> str:
    ends = (text[:end] for end in range(len(text), 2, -1))
    kept = next((one.rstrip() for one in ends if _squeezed(one) + "…" in whole), "")
    if not kept:
        return f"The {what} is left out, it does not fit: “{text}”."
    return f"The {what} is too long: “{text}” is shortened to “{kept}…”."


_EXTRA = (
    *("customer_item", "mass", "welds", "paint_batch", "supplier_number", "supplier"),
    *("content", "cautions"),
)
"""What goes into the lines that are good to have, where a layout gives it no place of its own."""


def homeless(layout: Layout, values: Mapping[str, Any]) -> tuple[str, ...]:
    """What is known of the goods and has no place in this layout, in one sentence."""
    own = layout.fields | {"held", *(_EXTRA if "extra" in layout.fields else ())}
    own |= {"cautions"} if "caution" in layout.fields else set()
    there = [_squeezed(text) for name, text in _said_of(values) if name in own]
    names = [
        word(name)
        for name, text in _said_of(values)
        if name not in own and not any(_squeezed(text) in other for other in there)
    ]
    known = ", ".join(dict.fromkeys(names))
    return (f"This layout has no place for: {known}.",) if known else ()


def _said_of(values: Mapping[str, Any]) -> list[tuple[str, str]]:
    """The values by name, lists line by line."""
    found: list[tuple[str, str]] = []
    for name, value in values.items():
        if name not in _UNSEEN and value:
            found += [(name, str(one)) for one in (value if isinstance(value, list) else [value])]
    return found


def _squeezed(text: str) -> str:
    """Without blanks of any kind: lines are broken at them."""
    return "".join(text.split())


def word(name: str) -> str:
    words = {"gs1": "GS1 number", "gs1_content": "GS1 content", "customer_item": "customer's item code"}
    return words.get(name, name.replace("_", " "))


def missing(names: Sequence[str]) -> str:
    return f"This layout needs what is not known of it: {', '.join(names)}."
