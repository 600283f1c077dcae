"""Would every label of this layout be a good one?

What can be known before the first label prints is checked when the layout is loaded: quiet zones,
module widths, text sizes, room for the least size, overlaps, and unknown or unused fields.
"""

import itertools
from collections.abc import Iterator

from lotroot_printing import fonts, signs
from lotroot_printing.drawing import Rect, edges, millimetres
from lotroot_printing.fit import height_of
from lotroot_printing.layout import (
    CAPTION_MM,
    Element,
    Free,
    Layout,
    Rule,
    Sign,
    SymbolBox,
    TextBox,
    fields_in,
    refused,
)
from lotroot_printing.symbol_checks import check_symbol

LEAST_TEXT_MM = 2.3  # capitals seen under 16 minutes of arc at half a metre

LEAST_SIGN_MM = 8.0  # a sign's strokes are a tenth of it and must still be seen at arm's length; our own

# Derived for every label, see compose: the number, with K and the copy from copy 2 on; "1 of 2".
DERIVED_FIELDS = frozenset({"scan", "side"})


def check(layout: Layout) -> Layout:
    """`layout`, if it can give good labels; raises LayoutRefused naming the first fault."""
    _check_names(layout)
    for element in layout.elements:
        _check_place(layout, element)
        _check_fields(layout, element)
        if isinstance(element, TextBox):
            _check_text(layout, element)
        elif isinstance(element, SymbolBox):
            check_symbol(layout, element)
        elif isinstance(element, Sign):
            _check_sign(layout, element)
    _check_overlaps(layout)
    _check_unused(layout)
    return layout


def _check_names(layout: Layout) -> None:
    names = [element.name for element in layout.elements]
    for name in names:
        if names.count(name) > 1:
            raise refused(layout.name, name, "two elements share a name", found=name, expected="one of each")
    unknown = layout.optional - layout.fields
    if unknown:
        raise refused(
            layout.name,
            "",
            "an optional field has no sample",
            found=", ".join(sorted(unknown)),
            expected="a line under [sample]",
        )


def _check_place(layout: Layout, element: Element) -> None:
    page = Rect(0, 0, layout.width, layout.height)
    if element.area.width < 1 or element.area.height < 1 or not page.holds(element.area):
        raise refused(
            layout.name,
            element.name,
            "its area is not on the label",
            found=_mm(element.area, layout.dpi),
            expected=f"inside {_mm(page, layout.dpi)}",
        )


def _named(element: Element) -> tuple[str, ...]:
    text = element.text if isinstance(element, TextBox | SymbolBox) else ""
    return fields_in(text) + ((element.when,) if element.when else ())


def _check_fields(layout: Layout, element: Element) -> None:
    for name in _named(element):
        if name not in layout.fields | DERIVED_FIELDS:
            raise refused(
                layout.name,
                element.name,
                "it names a field the layout does not have",
                found=name,
                expected=", ".join(sorted(layout.fields)),
            )


def _check_unused(layout: Layout) -> None:
    used = {name for element in layout.elements for name in _named(element)}
    if ("side" in used) != (layout.sides > 1):
        raise refused(
            layout.name,
            "",
            "which side a label is for is printed where there is more than one, and only there",
            found=f"sides = {layout.sides}, {{side}} {'printed' if 'side' in used else 'printed nowhere'}",
            expected="sides = 2 and an element with {side}, or neither",
        )
    if "scan" in used:
        used |= {"number", "copy"}
    unused = layout.fields - used
    if unused:
        raise refused(
            layout.name,
            "",
            "a field is printed nowhere",
            found=", ".join(sorted(unused)),
            expected="an element for each field under [sample]",
        )


def _check_text(layout: Layout, element: TextBox) -> None:
    if min(element.capital, element.least) < LEAST_TEXT_MM or element.least > element.capital:
        raise refused(
            layout.name,
            element.name,
            "its text may get too small to read, or least is above capital",
            found=f"capital {element.capital} mm, least {element.least} mm",
            expected=f"{LEAST_TEXT_MM} mm <= least <= capital",
        )
    if element.lines < 1:
        raise refused(layout.name, element.name, "it has no line", found=element.lines, expected="1 or more")
    pitch = fonts.least_pitch(element.least, layout.dpi)
    needed = height_of(element.lines, pitch, number=element.number) + caption_height(element, layout.dpi)
    if needed > element.area.height:
        raise refused(
            layout.name,
            element.name,
            f"its area is too low for {element.lines} line(s) at the least size",
            found=f"{millimetres(element.area.height, layout.dpi):.1f} mm",
            expected=f"at least {millimetres(needed, layout.dpi):.1f} mm",
        )


def caption_height(element: TextBox, dpi: int) -> int:
    """Room the caption takes above the text, in dots."""
    return fonts.line_dots(fonts.least_pitch(CAPTION_MM, dpi)) if element.caption else 0


def _check_sign(layout: Layout, element: Sign) -> None:
    if element.sign not in signs.NAMES:
        raise refused(
            layout.name,
            element.name,
            "its sign is not there",
            found=element.sign,
            expected=", ".join(signs.NAMES),
        )
    side = millimetres(min(element.area.width, element.area.height), layout.dpi)
    if side < LEAST_SIGN_MM:
        raise refused(
            layout.name,
            element.name,
            "its sign is too small to be seen",
            found=f"{side:.1f} mm",
            expected=f"at least {LEAST_SIGN_MM} mm high and wide",
        )


def _inked(element: Element) -> Iterator[Rect]:
    """The areas an element claims: all of it, or the strokes of a frame."""
    if isinstance(element, Rule) and element.kind == "box":
        yield from edges(element.area, element.weight)
    else:
        yield element.area


def _check_overlaps(layout: Layout) -> None:
    """Rules may touch rules (a grid of cells); everything else keeps its area to itself."""
    for one, other in itertools.combinations(layout.elements, 2):
        if isinstance(one, Rule) and isinstance(other, Rule):
            continue
        if any(a.overlaps(b) for a in _inked(one) for b in _inked(other)):
            raise refused(
                layout.name,
                other.name,
                f"it overlaps {one.name}" + (", which is kept free" if isinstance(one, Free) else ""),
                found=f"{_mm(other.area, layout.dpi)} over {_mm(one.area, layout.dpi)}",
                expected="areas that do not meet",
            )


def _mm(area: Rect, dpi: int) -> str:
    x, y, width, height = (millimetres(each, dpi) for each in (area.x, area.y, area.width, area.height))
    return f"{width:.1f} x {height:.1f} mm at {x:.1f}, {y:.1f}"
