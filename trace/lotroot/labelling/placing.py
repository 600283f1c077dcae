"""Which of a label's fields go where on a layout, and what gives way when there is too little room?

A label that does not print leaves steel without a number, so words that only describe may be
shortened, visibly. Numbers, amounts, dates, cautions and what is held or demo never are.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from lotroot_printing.compose import compose
from lotroot_printing.drawing import Drawing
from lotroot_printing.errors import FieldRefused, GlyphMissing
from lotroot_printing.layout import Layout

SHORTENED = (
    *("kind", "product", "size", "grade", "coating", "carrier", "station"),
    *("heat", "coil", "solution", "supplier_number", "customer", "order"),
)
"""What gives way, where it does not fit even at its least size. The name of a place never does."""

LEFT_OUT = ("length",)
"""What is left out where it does not fit: part of it would say something else, and it is told by the name."""

_SAME = (
    "number",
    "shown",
    "kind",
    "name",
    *("product", "size", "grade", "coating", "length", "carrier"),
    "date",
    "station",
    *("heat", "coil", "welds", "supplier_number", "solution"),
    "run",
    "customer",
    "order",
    *("gs1", "gs1_content", "customer_item"),
)
_ALWAYS = ("held", "copy", "demo", "caution")
"""Must stand on the label: a layout without them is refused, not obeyed."""


def drawn(layout: Layout, values: Mapping[str, Any]) -> Drawing:
    """The drawing of a label with these fields, so that they fit on `layout`.

    Raises FieldRefused where what must stand there does not fit, GlyphMissing where a character cannot
    be printed.
    """
    fields = {name: str(values[name]) for name in _SAME if values.get(name) and name in layout.fields}
    if "size" in fields and values.get("named"):
        fields["product"] = str(values["named"])  # without its size, which has a place of its own
    fields["day"] = str(values.get("date", "")).rpartition(" ")[0]
    part = values.get("part", "") if layout.name != "part_coil" else ""
    fields["amount"] = _joined(", ", values.get("count", ""), values.get("amount", ""))
    fields["held"] = _joined(" · ", part, values.get("held", ""))
    fields |= {name: str(values[name]) for name in ("copy", "mark", "demo") if values.get(name)}
    cautions = list(values.get("cautions", ()))
    if "caution" in layout.fields or "extra" not in layout.fields:
        fields["caution"] = "\n".join(cautions)
        cautions = []
    present = _present(layout, fields)
    return _fitting(layout, present, cautions, _extras(layout, values), str(values.get("named", "")))


def _present(layout: Layout, fields: Mapping[str, str]) -> dict[str, str]:
    return {
        name: text for name, text in fields.items() if text and (name in layout.fields or name in _ALWAYS)
    }


def _extras(layout: Layout, values: Mapping[str, Any]) -> list[str]:
    """Lines that are good to have, the most useful first, without what has a place of its own."""
    lines = [
        ("customer_item", "{}"),
        ("mass", "Mass {}"),
        ("welds", "Holds {}"),
        ("paint_batch", "Paint batch {}"),
        ("supplier_number", "Supplier's number {}"),
        ("supplier", "From {}"),
    ]
    kept = [(name, words) for name, words in lines if values.get(name) and name not in layout.fields]
    return [words.format(values[name]) for name, words in kept] + list(values.get("content", ()))


def _fitting(
    layout: Layout, fields: dict[str, str], cautions: list[str], extras: list[str], named: str
) -> Drawing:
    """As much as fits: at first everything, else what must stand there and then one field at a time.

    A product is told without its size, as it is `named`, before any of its name is cut.
    """
    whole = _tried(layout, _with_extra(layout, fields, cautions + extras))
    if whole is not None:
        return whole
    shortened = [name for name in SHORTENED if name in fields and (name in layout.optional or name == "kind")]
    whole_or_not = [name for name in LEFT_OUT if name in fields]
    least = {name: list(_shorter(fields[name]))[-1] for name in shortened if name not in layout.optional}
    kept = {name: text for name, text in fields.items() if name not in (*shortened, *whole_or_not)} | least
    kept = _with_extra(layout, kept, cautions)
    drawing = compose(layout, kept)  # raises what no shortening can help
    shorter = {"product": named} if named else {}
    choices = [_lengths(name, fields[name], shorter.get(name, fields[name])) for name in shortened]
    choices += [iter([{name: fields[name]}]) for name in whole_or_not]
    lines = [cautions + extras[:count] for count in range(len(extras), 0, -1)]
    choices.append(_with_extra(layout, {}, longer) for longer in lines)
    for choice in choices:
        for more in choice:
            tried = _tried(layout, {**kept, **more})
            if tried is not None:
                kept, drawing = {**kept, **more}, tried
                break
    return drawing


def _lengths(name: str, text: str, shorter: str) -> Iterator[dict[str, str]]:
    """A field as it is, then in a shorter wording, then at ever less of that."""
    yield {name: text}
    for each in _shorter(shorter):
        yield {name: each}


def _with_extra(layout: Layout, fields: dict[str, str], lines: list[str]) -> dict[str, str]:
    return {**fields, "extra": "\n".join(lines)} if lines and "extra" in layout.fields else fields


def _tried(layout: Layout, fields: Mapping[str, str]) -> Drawing | None:
    """The drawing, or None where it does not fit; what cannot be printed is never shortened away."""
    try:
        return compose(layout, fields)
    except GlyphMissing:
        raise
    except FieldRefused:
        return None


_LONGEST = (
    200  # characters; no field of any label holds more, and a page of text is not tried letter by letter
)


def _shorter(text: str) -> Iterator[str]:
    """The text, then ever less of it, marked as cut."""
    yield text
    for length in range(min(len(text), _LONGEST) - 1, 2, -1):
        yield text[:length].rstrip() + "…"


def _joined(joint: str, *texts: str) -> str:
    return joint.join(text for text in texts if text)
