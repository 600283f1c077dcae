"""What does a layout file say, and is it written as a layout should be?

Reads the TOML format described in `layout.py` and refuses whatever is not that format, down to a
key nobody knows. Whether the layout gives good labels is asked by `checks.py`.
"""

import tomllib
from pathlib import Path
from typing import Any

from lotroot_printing.drawing import Rect, dots
from lotroot_printing.layout import (
    LEAST_MODULE_MM,
    Element,
    Free,
    Layout,
    Rule,
    Sign,
    SymbolBox,
    TextBox,
    refused,
)
from lotroot_printing.layout_table import LARGEST, LayoutTable

_KINDS = "text, number, code128, gs1_128, qr, datamatrix, gs1_datamatrix, box, line, sign or free"
_EXPOSURES = ("wet", "oil", "sun", "heat")
_MOST_SIDES = 2
_COARSEST, _FINEST = 100, LARGEST  # dots an inch of any label or office printer
_LEAST_DOTS = 2  # one dot a module leaves a printer nothing to be exact with


def _area(table: LayoutTable, dpi: int) -> Rect:
    """The element's area, edges snapped to dots, so that neighbours in mm stay neighbours."""
    (x, y), (width, height) = table.pair("at"), table.pair("size")
    left, top = dots(x, dpi), dots(y, dpi)
    return Rect(left, top, dots(x + width, dpi) - left, dots(y + height, dpi) - top)


def _text_box(table: LayoutTable, kind: str, area: Rect) -> TextBox:
    capital = float(table.take("capital", (int, float)))
    return TextBox(
        table.element,
        kind,
        area,
        table.take("text", (str,)),
        capital,
        least=float(table.take("least", (int, float), capital)),
        lines=table.take("lines", (int,), 1),
        align=table.align(),
        bold=table.take("bold", (bool,), kind == "number"),
        caption=table.take("caption", (str,), ""),
        band=table.take("band", (bool,), False),
        when=table.take("when", (str,), ""),
    )


def _symbol_box(table: LayoutTable, kind: str, area: Rect, dpi: int) -> SymbolBox:
    text = table.take("text", (str,))
    widest = table.take("module", (int, float))
    least = table.take("least_module", (int, float), widest)
    if not LEAST_MODULE_MM <= least <= widest:
        raise table.refused(
            "its modules are too narrow, or least_module is above module",
            f"module {widest} mm, least_module {least} mm",
            f"{LEAST_MODULE_MM} mm <= least_module <= module",
        )
    module, least_module = (max(_LEAST_DOTS, dots(width, dpi)) for width in (widest, least))
    return SymbolBox(
        table.element, kind, area, text, module, least_module, table.align(), table.take("when", (str,), "")
    )


def _frame(table: LayoutTable, kind: str, area: Rect, dpi: int) -> Rule:
    """A frame whose strokes leave an inside."""
    asked = table.take("weight", (int, float), 0.4)
    weight = max(1, dots(asked, dpi))
    if min(area.width, area.height) <= 2 * weight:
        raise table.refused("its strokes fill it", f"{asked} mm", "less than half its width and height")
    return Rule(table.element, kind, area, weight, table.take("when", (str,), ""))


def _element(table: LayoutTable, dpi: int) -> Element:
    kind, area = table.take("kind", (str,)), _area(table, dpi)
    element: Element
    match kind:
        case "text" | "number":
            element = _text_box(table, kind, area)
        case "code128" | "gs1_128" | "qr" | "datamatrix" | "gs1_datamatrix":
            element = _symbol_box(table, kind, area, dpi)
        case "box":
            element = _frame(table, kind, area, dpi)
        case "line":
            element = Rule(table.element, kind, area, 0, table.take("when", (str,), ""))
        case "sign":
            element = Sign(
                table.element, kind, area, table.take("sign", (str,)), table.take("when", (str,), "")
            )
        case "free":
            element = Free(table.element, kind, area)
        case _:
            raise table.refused("kind is unknown", kind, _KINDS)
    table.end()
    return element


def _sample(table: LayoutTable) -> dict[str, str]:
    sample = table.take("sample", (dict,))
    for name, value in sample.items():
        if not isinstance(value, str):
            raise table.refused(f"sample {name} is no text", value, "a text")
    return dict(sample)


def _resolutions(head: LayoutTable) -> tuple[int, ...]:
    """The dots an inch the layout is made for: one number, or several different ones."""
    found = head.take("dpi", (int, list))
    named = found if isinstance(found, list) else [found]
    right = all(type(each) is int and _COARSEST <= each <= _FINEST for each in named)
    if not named or not right or len(set(named)) < len(named):
        raise head.refused(
            "dpi is no list of resolutions",
            found,
            f"one or more different whole numbers from {_COARSEST} to {_FINEST}, such as [203, 300]",
        )
    return tuple(named)


def _exposure(head: LayoutTable) -> tuple[str, ...]:
    """What the label must stand."""
    found = head.words("exposure")
    if not set(found) <= set(_EXPOSURES):
        expected = "some of " + ", ".join(_EXPOSURES)
        raise head.refused("exposure is unknown", ", ".join(found), expected)
    return found


def _sides(head: LayoutTable) -> int:
    """How often each label is printed, once for every side it goes on."""
    sides = int(head.take("sides", (int,), 1))
    if not 1 <= sides <= _MOST_SIDES:
        raise head.refused("sides is out of range", sides, f"from 1 to {_MOST_SIDES}")
    return sides


def _elements(layout: str, tables: list[Any], dpi: int) -> tuple[Element, ...]:
    """The elements with their areas in dots of `dpi`."""
    found = []
    for each in tables:
        if not isinstance(each, dict):
            head = LayoutTable(layout, "")
            raise head.refused("an element is no table", each, "{ name = ..., kind = ... }")
        left = dict(each)
        name = str(left.pop("name", "without a name"))
        found.append(_element(LayoutTable(layout, name, left), dpi))
    return tuple(found)


def read_layout(text: str, origin: str) -> dict[int, Layout]:
    """The layout a TOML text describes, at each resolution it names, in the order it names them.

    `origin` names it while its own name is not yet known. Raises LayoutRefused for anything that is not
    the format of `layout.py`. Use `render.load_layout`, which also refuses what would give a bad label.
    """
    try:
        head = LayoutTable(origin, "", tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise refused(origin, "", "the file is no TOML", found=error, expected="a TOML file") from error
    name = head.layout = head.take("name", (str,))
    resolutions = _resolutions(head)
    size = head.pair("size")
    tables = head.take("element", (list,))
    said: dict[str, Any] = {
        "sample": _sample(head),
        "optional": frozenset(head.words("optional")),
        "resolutions": resolutions,
        "stock": head.take("stock", (str,), ""),
        "ribbon": head.take("ribbon", (str,), ""),
        "exposure": _exposure(head),
        "sides": _sides(head),
    }
    head.end()
    found = {}
    for dpi in resolutions:
        width, height = (dots(side, dpi) for side in size)
        found[dpi] = Layout(name, width, height, dpi, elements=_elements(name, tables, dpi), **said)
    return found


def read_layout_file(path: Path) -> dict[int, Layout]:
    """The layout in the file at `path` (UTF-8), see `read_layout`."""
    try:
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise refused(path.stem, "", "the file is no UTF-8 text", found=error, expected="UTF-8") from error
    return read_layout(text, path.stem)
