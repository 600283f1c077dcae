"""How do many codes go onto A4 paper, to be printed by any office printer?

For the practice sheet, the laminated command sheet, place and carrier labels to cut out: cards in
one or two columns under headings, each with a title, a note, the code as Code 128 and as QR, and the
code in letters. The pages are drawn for 300 dpi, which office printers at 300, 600 and 1200 dpi
reproduce in whole dots.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from lotroot_printing.compose import symbol, write
from lotroot_printing.drawing import Drawing, Pen, Rect, dots, edges, millimetres
from lotroot_printing.errors import FieldRefused
from lotroot_printing.layout import SymbolBox, TextBox
from lotroot_printing.symbols import QUIET_MODULES

DPI = 300
PAGE_MM = (210.0, 297.0)
LEAST_MODULE = 3  # dots, 0.254 mm

# The page in mm: margin, title line, note line, heading of a section, space between cards.
_MARGIN, _TITLE, _NOTE, _HEADING, _GAP = 10.0, 12.0, 10.0, 11.0, 4.0
_CLEAR = 1.2  # between a note of two lines and the bars, which a scanner held low would read as one


@dataclass(frozen=True)
class Card:
    """One code: `text` is what a scanner sends, `shown` the same for people (default: `text`)."""

    text: str
    title: str
    note: str = ""
    shown: str = ""


@dataclass(frozen=True)
class Section:
    """Cards under one heading."""

    heading: str
    cards: tuple[Card, ...]


@dataclass(frozen=True)
class Sheet:
    """Sections on A4 pages; `note` stands under the title of each page, `columns` is 1 or 2.

    `demo`, if set, is printed white on black at the head of every page.
    """

    title: str
    sections: tuple[Section, ...]
    note: str = ""
    columns: int = 2
    demo: str = ""


@dataclass(frozen=True)
class _Look:
    """Measures of a card in mm (widest modules in dots), for a number of columns."""

    height: float
    title: float
    note: float
    qr: float
    module: int
    qr_module: int


_LOOKS = {1: _Look(58, 8.5, 4, 42, 7, 15), 2: _Look(37, 4.4, 2.6, 26.5, 5, 9)}

_Row = str | tuple[Card, ...]


def pages(sheet: Sheet) -> tuple[Drawing, ...]:
    """The pages of `sheet`, A4 upright at 300 dpi.

    Raises FieldRefused or GlyphMissing if a card's texts or code do not fit its area.
    """
    if sheet.columns not in _LOOKS or not any(section.cards for section in sheet.sections):
        raise FieldRefused(
            f"Sheet {sheet.title} not printed: it has no card, or its columns are not known.",
            value=f"{sheet.columns} columns",
            expected="at least one card, in 1 or 2 columns",
            next_step="Give the sheet cards and print again.",
        )
    bodies = list(_paged(sheet))
    return tuple(
        _page(sheet, rows, f"Page {number} of {len(bodies)}") for number, rows in enumerate(bodies, start=1)
    )


def _rows(sheet: Sheet) -> Iterator[_Row]:
    """Headings and rows of cards, in order."""
    for section in sheet.sections:
        if section.cards and section.heading:
            yield section.heading
        for at in range(0, len(section.cards), sheet.columns):
            yield section.cards[at : at + sheet.columns]


def _paged(sheet: Sheet) -> Iterator[list[_Row]]:
    """The rows of each page; a heading is never the last thing on a page."""
    step = _LOOKS[sheet.columns].height + _GAP
    room = PAGE_MM[1] - 2 * _MARGIN - _head(sheet) + _GAP
    page: list[_Row] = []
    left = room
    for row in _rows(sheet):
        heading = isinstance(row, str)
        if page and (_HEADING + step if heading else step) > left:
            yield page
            page, left = [], room
        page.append(row)
        left -= _HEADING if heading else step
    yield page


def _head(sheet: Sheet) -> float:
    """Height of the page head in mm."""
    return _TITLE + (_NOTE if sheet.note else 0)


def _page(sheet: Sheet, rows: list[_Row], which: str) -> Drawing:
    pen = _SheetPen(sheet)
    pen.head(which)
    y = _MARGIN + _head(sheet)
    for row in rows:
        if isinstance(row, str):
            pen.text(row, _box(_MARGIN, y + 1.5, pen.width, _HEADING - 2), (4.6, 3), bold=True)
            y += _HEADING
        else:
            for column, card in enumerate(row):
                pen.card(card, _MARGIN + column * (pen.card_width + _GAP), y)
            y += pen.look.height + _GAP
    size = (dots(PAGE_MM[0], DPI), dots(PAGE_MM[1], DPI))
    return pen.pen.drawing(sheet.title, size, DPI)


def _box(x: float, y: float, width: float, height: float) -> Rect:
    left, top = dots(x, DPI), dots(y, DPI)
    return Rect(left, top, dots(x + width, DPI) - left, dots(y + height, DPI) - top)


class _SheetPen:
    """Draws the head and the cards of one page."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.look = _LOOKS[sheet.columns]
        self.pen = Pen()
        self.width = PAGE_MM[0] - 2 * _MARGIN
        self.card_width = (self.width - (sheet.columns - 1) * _GAP) / sheet.columns
        # The text starts where the first bar does: after the quiet zone of the widest module.
        self.pad = millimetres(QUIET_MODULES["code128"] * self.look.module, DPI)
        self.where = f"Sheet {sheet.title}"

    def text(
        self, text: str, area: Rect, sizes: tuple[float, float], *, lines: int = 1, bold: bool = False
    ) -> None:
        """Set `text` between the capital heights `sizes` (largest, least), in mm."""
        if text:
            box = TextBox(text, "text", area, "", *sizes, lines=lines, bold=bold)
            write(self.pen, box, text, DPI, f"{self.where}, “{text}”")

    def head(self, which: str) -> None:
        """Title, page number, note, and the demo band between them."""
        right = PAGE_MM[0] - _MARGIN
        self.text(self.sheet.title, _box(_MARGIN, _MARGIN, 112, 10), (5.6, 3.2), bold=True)
        box = TextBox("page", "text", _box(right - 32, _MARGIN + 2, 32, 5), "", 2.6, 2.4, align="right")
        write(self.pen, box, which, DPI, self.where)
        if self.sheet.demo:
            band = _box(right - 74, _MARGIN + 0.5, 38, 7.5)
            box = TextBox("demo", "text", band, "", 4, 2.6, align="centre", bold=True, band=True)
            write(self.pen, box, self.sheet.demo, DPI, self.where)
        self.text(self.sheet.note, _box(_MARGIN, _MARGIN + _TITLE - 1.5, self.width, 9), (2.6, 2.4), lines=2)

    def card(self, card: Card, x: float, y: float) -> None:
        """A framed card: title across, note, bars and letters at the left, QR at the right."""
        look, x_text = self.look, x + self.pad
        self.pen.fills += edges(_box(x, y, self.card_width, look.height), 2)
        across = self.card_width - 2 * self.pad
        title = look.title * 1.65
        self.text(card.title, _box(x_text, y + 2, across, title), (look.title, 2.4), bold=True)
        top, floor = y + 2 + title, y + look.height - 2
        beside = across - look.qr + self.pad
        notes, number = look.note * 3.4, look.note * 1.9
        self.text(card.note, _box(x_text, top, beside, notes), (look.note, 2.4), lines=2)
        shown = _box(x_text, floor - number, beside, number)
        self.text(card.shown or card.text, shown, (look.note * 1.1, 2.4), bold=True)
        above = top + notes + _CLEAR
        bars = _box(x, above, beside + self.pad, floor - number - above - 0.4)
        self._code("code128", card, bars)
        self._code("qr", card, _box(x + self.card_width - look.qr, top, look.qr, floor - top))

    def _code(self, kind: str, card: Card, area: Rect) -> None:
        """The card's code, flush with the card's text margin at the left or at the right."""
        widest, align = (self.look.module, "left") if kind == "code128" else (self.look.qr_module, "right")
        box = SymbolBox(kind, kind, area, "", widest, LEAST_MODULE, align)
        self.pen.symbols.append(symbol(box, card.text, DPI, f"{self.where}, “{card.title}”"))
