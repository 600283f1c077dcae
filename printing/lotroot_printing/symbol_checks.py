"""Can every symbol of this layout be read: its modules, its quiet zones, its height?

What can be known before a label's own text is: a module in whole dots within its limits, room for the
shortest text, and for GS1 symbols the sizes their application standard asks.
"""

from lotroot_printing.drawing import millimetres
from lotroot_printing.layout import LEAST_MODULE_MM, Layout, SymbolBox, refused
from lotroot_printing.reading import (
    CODE128,
    DATAMATRIX,
    GS1,
    GS1_128,
    GS1_DATAMATRIX,
    LINEAR,
    QR,
    QUIET_MODULES,
)

# Symbol alone at the shortest text: start, character, check, stop; the same with FNC1, an AI and two
# characters in digit pairs; version 1; 10 x 10.
_SHORTEST = {CODE128: 35, GS1_128: 11 * 5 + 13, QR: 21, DATAMATRIX: 10, GS1_DATAMATRIX: 10}

# GS1 General Specifications for goods in distribution: bars, and one and a half times that for squares.
_GS1_MODULE_MM = {GS1_128: (0.495, 1.016), GS1_DATAMATRIX: (0.743, 1.524)}
_GS1_LEAST_HEIGHT_MM = 32.0


def check_symbol(layout: Layout, element: SymbolBox) -> None:
    """Raises LayoutRefused naming the first fault."""
    _check_module(layout, element)
    _check_room(layout, element)
    if element.kind in GS1:
        _check_gs1(layout, element)


def _check_module(layout: Layout, element: SymbolBox) -> None:
    width = millimetres(element.least_module, layout.dpi)
    if width < LEAST_MODULE_MM:
        raise refused(
            layout.name,
            element.name,
            f"its modules are too narrow in whole dots of {layout.dpi} dpi",
            found=f"{element.least_module} dots, {width:.3f} mm",
            expected=f"at least {LEAST_MODULE_MM} mm",
        )


def _check_room(layout: Layout, element: SymbolBox) -> None:
    linear, quiet = element.kind in LINEAR, QUIET_MODULES[element.kind]
    needed = (_SHORTEST[element.kind] + 2 * quiet) * element.least_module
    room = element.area.width if linear else min(element.area.width, element.area.height)
    if room < needed:
        zones = f"{quiet} module{'s' * (quiet > 1)} " + ("left and right" if linear else "on all sides")
        raise refused(
            layout.name,
            element.name,
            f"its area has no room for a symbol and its quiet zones ({zones})",
            found=f"{millimetres(room, layout.dpi):.1f} mm at {layout.dpi} dpi",
            expected=f"at least {millimetres(needed, layout.dpi):.1f} mm",
        )


def _check_gs1(layout: Layout, element: SymbolBox) -> None:
    least, most = _GS1_MODULE_MM[element.kind]
    widths = [millimetres(each, layout.dpi) for each in (element.least_module, element.module)]
    if not least <= widths[0] <= widths[1] <= most:
        raise refused(
            layout.name,
            element.name,
            f"its modules in whole dots of {layout.dpi} dpi are outside what GS1 symbols on goods may have",
            found=" to ".join(f"{each:.3f} mm" for each in widths),
            expected=f"{least} to {most} mm",
        )
    height = millimetres(element.area.height, layout.dpi)
    if element.kind == GS1_128 and height < _GS1_LEAST_HEIGHT_MM:
        raise refused(
            layout.name,
            element.name,
            "its bars are too low for GS1-128 on goods",
            found=f"{height:.1f} mm",
            expected=f"at least {_GS1_LEAST_HEIGHT_MM} mm",
        )
