"""Where does every letter and bar of one label stand?

Layout and fields become one drawing in whole dots, or an error: a field missing or unknown, a text
that does not fit at its least size, a character the font cannot show. Nothing is ever cut off.
"""

import re
from collections.abc import Mapping

from lotroot_printing import fonts, symbols
from lotroot_printing.checks import caption_height
from lotroot_printing.drawing import MM_PER_INCH, Drawing, DrawnSymbol, Pen, Rect, TextRun, edges, millimetres
from lotroot_printing.errors import FieldRefused
from lotroot_printing.fit import Fitted, Room, fit
from lotroot_printing.layout import (
    CAPTION_MM,
    Element,
    Layout,
    Rule,
    Sign,
    SymbolBox,
    TextBox,
    fields_in,
    filled,
)
from lotroot_printing.signs import sign_dots

_COPY = re.compile(r"[1-9]\d?")
_NUMBER = re.compile(r"[A-Z0-9-]+")


def compose(layout: Layout, fields: Mapping[str, str]) -> Drawing:
    """The drawing of one label; absent and empty fields are the same.

    `copy` is "1".."99" and printed from "2" on, after the word `mark`: COPY, where nothing else is given;
    `scan` is derived: the number, followed by K and the copy from copy 2 on; and `side`, "1 of 2", where the
    layout is printed for more than one. Raises FieldRefused or GlyphMissing.
    """
    values = _values(layout, fields)
    pen = Pen()
    for element in layout.elements:
        _draw(pen, layout, element, values)
    title = " ".join((layout.name, values.get("number", ""))).strip()
    return pen.drawing(title, (layout.width, layout.height), layout.dpi)


def _values(layout: Layout, fields: Mapping[str, str]) -> dict[str, str]:
    """The fields that are printed, checked against what the layout takes."""
    unknown = sorted(set(fields) - layout.fields)
    missing = sorted(name for name in layout.required if not fields.get(name, "").strip())
    if unknown or missing:
        raise FieldRefused(
            f"Label {layout.name} not printed: a field is {'unknown' if unknown else 'missing'}.",
            value=", ".join(unknown or missing),
            expected=f"required {', '.join(sorted(layout.required))}; "
            f"optional {', '.join(sorted(layout.optional))}",
            next_step="Give the fields of this layout and print again.",
        )
    values = {name: value for name, value in fields.items() if value.strip()}
    if "copy" in values:
        _settle_copy(layout, values)
    if layout.sides > 1:
        values["side"] = f"{layout.side} of {layout.sides}"
    if "number" in values:
        values["scan"] = values["number"] + (f"K{values['copy']}" if "copy" in values else "")
    return values


def _settle_copy(layout: Layout, values: dict[str, str]) -> None:
    """Refuse a copy that is no count; the first copy is not marked."""
    if not _COPY.fullmatch(values["copy"]):
        raise FieldRefused(
            f"Label {layout.name} not printed: its copy is no count.",
            value=values["copy"],
            expected="a whole number from 1 to 99",
            next_step="Print again with a copy number.",
        )
    if values["copy"] == "1":
        del values["copy"]
        values.pop("mark", None)
    else:
        values.setdefault("mark", "COPY")


def _text_of(element: TextBox | SymbolBox, values: Mapping[str, str]) -> str:
    """The element's text; a line that names an absent field is left out."""
    lines = element.text.split("\n")
    kept = [line for line in lines if all(name in values for name in fields_in(line))]
    return "\n".join(filled(line, values) for line in kept)


def _draw(pen: Pen, layout: Layout, element: Element, values: Mapping[str, str]) -> None:
    """Draw an element unless it waits for a field that is absent, or nothing of its text is left."""
    if element.when and element.when not in values:
        return
    where = f"Label {layout.name}, element {element.name}"
    if isinstance(element, TextBox | SymbolBox):
        if text := _text_of(element, values):
            if isinstance(element, SymbolBox):
                pen.symbols.append(symbol(element, text, layout.dpi, where))
            else:
                write(pen, element, text, layout.dpi, where)
    elif isinstance(element, Sign):
        pen.fills += sign_dots(element.sign, element.area)
    elif isinstance(element, Rule):
        framed = element.kind == "box"
        pen.fills += edges(element.area, element.weight) if framed else [element.area]


def symbol(element: SymbolBox, text: str, dpi: int, where: str) -> DrawnSymbol:
    """The symbol at the widest module that fits, from `module` down to `least_module`.

    `where` names page and element in the FieldRefused that is raised if none fits, or no symbol says it.
    """
    try:
        modules = symbols.modules(element.kind, text)
    except FieldRefused as error:
        what = f"{where} cannot be printed: no symbol can be made of its text."
        raise FieldRefused(
            what, value=error.value, expected=error.expected, next_step=error.next_step
        ) from error
    area = element.area
    room = area.width if element.kind in symbols.LINEAR else min(area.width, area.height)
    if element.kind == symbols.GS1_128:
        room = min(room, int(symbols.GS1_LONGEST_MM * dpi / MM_PER_INCH))
    for module in range(element.module, element.least_module - 1, -1):
        if modules * module + _shift(element, module) <= room:
            return _placed(element, text, module)
    needed = modules * element.least_module
    raise FieldRefused(
        f"{where} cannot be printed: the symbol with its quiet zones is too wide.",
        value=f"{text}, {millimetres(needed, dpi):.1f} mm",
        expected=f"at most {millimetres(room - _shift(element, element.least_module), dpi):.1f} mm",
        next_step="Use a wider label, or a shorter text.",
    )


def _shift(element: SymbolBox, module: int) -> int:
    """Dots by which narrower modules move inwards, so that the first bar stays flush with its margin."""
    spared = symbols.QUIET_MODULES[element.kind] * (element.module - module)
    return 0 if element.align == "centre" else spared


def _placed(element: SymbolBox, text: str, module: int) -> DrawnSymbol:
    """The symbol in its area, with `module` dots a module."""
    kind, area = element.kind, element.area
    width = symbols.modules(kind, text) * module
    shift = _shift(element, module)
    x = area.x + _indent(area.width - width - 2 * shift, element.align) + shift
    placed = (
        Rect(x, area.y, width, area.height)
        if kind in symbols.LINEAR
        else Rect(x, area.y + (area.height - width) // 2, width, width)
    )
    return DrawnSymbol(kind, symbols.said(kind, text), placed, symbols.bars(kind, text, placed, module))


def _indent(spare: int, align: str) -> int:
    return {"left": 0, "centre": spare // 2, "right": spare}[align]


def write(pen: Pen, element: TextBox, text: str, dpi: int, where: str) -> None:
    """Set `text` and the element's caption into its area; raises FieldRefused or GlyphMissing."""
    text = fonts.printable_lines(text, where=where)
    head = caption_height(element, dpi)
    area = Rect(element.area.x, element.area.y + head, element.area.width, element.area.height - head)
    fitted = _fitted(element, text, area, dpi, where)
    if element.band:
        pen.fills.append(element.area)
    if head:
        _caption(pen, element, dpi, where)
    _set(pen, element, area, fitted)


def _fitted(element: TextBox, text: str, area: Rect, dpi: int, where: str) -> Fitted:
    """The lines of `text` at their size, or the refusal."""
    if element.number and not _NUMBER.fullmatch(text):
        raise FieldRefused(
            f"{where} cannot be printed: this is no number.",
            value=text,
            expected="capital letters, digits and hyphens",
            next_step="Correct the number and print again.",
        )
    least = fonts.least_pitch(element.least, dpi)
    largest = max(fonts.widest_pitch(element.capital, dpi), least)
    width = area.width - (least if element.band else 0)
    fitted = fit(text, Room(width, area.height, largest, least, element.lines, element.number))
    if fitted is None:
        raise FieldRefused(
            f"{where} cannot be printed: the text does not fit, even at its least size.",
            value=text,
            expected=f"at most {element.lines} line(s) of {width // least} characters",
            next_step="Shorten the text, or use a larger label.",
        )
    return fitted


def _caption(pen: Pen, element: TextBox, dpi: int, where: str) -> None:
    pitch = fonts.least_pitch(CAPTION_MM, dpi)
    caption = fonts.printable(element.caption, where=where)
    spare = element.area.width - len(caption) * pitch
    if spare < 0:
        raise FieldRefused(
            f"{where} cannot be printed: its caption is too long.",
            value=caption,
            expected=f"at most {element.area.width // pitch} characters",
            next_step="Shorten the caption in the layout file.",
        )
    x = element.area.x + _indent(spare, element.align)
    pen.texts.append(TextRun(caption, x, element.area.y + fonts.ascent_dots(pitch), pitch))


def _set(pen: Pen, element: TextBox, area: Rect, fitted: Fitted) -> None:
    """Place the lines: bands in the middle, captioned cells on their floor, all else at the top."""
    spare = area.height - fitted.height
    top = area.y + (spare // 2 if element.band else spare if element.caption else 0)
    rise = fonts.capital_dots if element.number else fonts.ascent_dots
    for index, line in enumerate(fitted.lines):
        width = len(line) * fitted.pitch
        x = area.x + _indent(area.width - width, element.align)
        baseline = top + rise(fitted.pitch) + index * fitted.step
        pen.texts.append(TextRun(line, x, baseline, fitted.pitch, element.bold, element.band))
