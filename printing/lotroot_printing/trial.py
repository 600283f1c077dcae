"""How does a page look on which each code stands alone, so that a scanner reads the one that is meant?

A4 upright at 300 dpi: a title, instructions, then one framed block a code, far from the next.
"""

from dataclasses import dataclass

from lotroot_printing.compose import symbol, write
from lotroot_printing.drawing import Drawing, Pen, Rect, dots, edges
from lotroot_printing.layout import SymbolBox, TextBox

DPI = 300
PAGE_MM = (210.0, 297.0)
LEAST_MODULE = 3  # dots, 0.254 mm
_WIDEST = {"code128": 4, "qr": 12}  # dots a module: 0.339 mm and 1.0 mm
_HEIGHT = {"code128": 44.0, "qr": 66.0}  # of a block, mm
_MARGIN, _TITLE, _LINE, _GAP = 14.0, 12.0, 6.0, 12.0


@dataclass(frozen=True)
class Block:
    """One code: `kind` is code128 or qr, `text` what a scanner sends; a heading above it and a note below."""

    kind: str
    text: str
    heading: str
    note: str = ""


@dataclass(frozen=True)
class Trial:
    """The page; `demo`, if set, is printed white on black at its head."""

    title: str
    lines: tuple[str, ...]
    blocks: tuple[Block, ...]
    demo: str = ""


def trial_pages(trial: Trial) -> tuple[Drawing, ...]:
    """The one page. Raises FieldRefused or GlyphMissing where something does not fit."""
    pen, y, width = Pen(), _MARGIN, PAGE_MM[0] - 2 * _MARGIN
    where = f"Sheet {trial.title}"
    if trial.demo:
        band = _box(PAGE_MM[0] - _MARGIN - 38, y + 0.5, 38, 7.5)
        box = TextBox("demo", "text", band, "", 4, 2.6, align="centre", bold=True, band=True)
        _text(pen, where, trial.demo, box)
    title = _box(_MARGIN, y, width - 42, 10)
    _text(pen, where, trial.title, TextBox("title", "text", title, "", 5.6, 3.2, bold=True))
    y += _TITLE
    for line in trial.lines:
        _text(pen, where, line, TextBox("line", "text", _box(_MARGIN, y, width, _LINE), "", 2.5, 2.2))
        y += _LINE
    for block in trial.blocks:
        y += _GAP
        _block(pen, where, block, _box(_MARGIN, y, width, _HEIGHT[block.kind]))
        y += _HEIGHT[block.kind]
    return (pen.drawing(trial.title, (dots(PAGE_MM[0], DPI), dots(PAGE_MM[1], DPI)), DPI),)


def _block(pen: Pen, where: str, block: Block, area: Rect) -> None:
    inset, heading, note = dots(4, DPI), dots(9, DPI), dots(6, DPI)
    pen.fills += edges(area, 2)
    across = area.width - 2 * inset
    top = Rect(area.x + inset, area.y + dots(2, DPI), across, heading)
    _text(pen, where, block.heading, TextBox("heading", "text", top, "", 4, 2.6, bold=True))
    low = Rect(area.x + inset, area.bottom - note - dots(1, DPI), across, note)
    _text(pen, where, block.note, TextBox("note", "text", low, "", 2.6, 2.2))
    inner = Rect(area.x + inset, top.bottom + inset // 2, across, low.y - top.bottom - inset)
    box = SymbolBox(block.kind, block.kind, inner, "", _WIDEST[block.kind], LEAST_MODULE, "left")
    pen.symbols.append(symbol(box, block.text, DPI, f"{where}, “{block.heading}”"))


def _text(pen: Pen, where: str, text: str, box: TextBox) -> None:
    if text:
        write(pen, box, text, DPI, f"{where}, “{text}”")


def _box(x: float, y: float, width: float, height: float) -> Rect:
    left, top = dots(x, DPI), dots(y, DPI)
    return Rect(left, top, dots(x + width, DPI) - left, dots(y + height, DPI) - top)
