"""How is a form laid out that is written on by hand and scanned row by row later?

A4 across, at 300 dpi: instructions at the head of each page, below them one row a code: the number in letters
over its bars, then empty cells. Rows stand in the order of their codes, so that nobody has to look for one.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from lotroot_printing.compose import symbol, write
from lotroot_printing.drawing import Drawing, Pen, Rect, dots, edges
from lotroot_printing.errors import FieldRefused
from lotroot_printing.layout import SymbolBox, TextBox

DPI = 300
PAGE_MM = (297.0, 210.0)
LEAST_MODULE = 3  # dots, 0.254 mm
_MODULE = 4  # dots, 0.339 mm: what an office printer and a hand scanner at arm's length do well

# The page in mm. A row is high enough to be written in with gloves on (common practice, no source).
_MARGIN, _TITLE, _LINE, _HEADS, _ROW, _FOOT = 9.0, 11.0, 5.0, 9.0, 15.0, 6.0
_CODE = 52.0
_EDGE, _HEAVY = 2, 4  # dots


class Cell(NamedTuple):
    """An empty cell of each row: its heading, a hint below that, and its width in mm."""

    heading: str
    hint: str
    width: float


@dataclass(frozen=True)
class Row:
    """One code: `text` is what a scanner sends, `shown` the same for people."""

    text: str
    shown: str


@dataclass(frozen=True)
class Form:
    """Rows to be filled in. `lines` are instructions, one sentence a line; `foot` stands below the rows.

    `demo`, if set, is printed white on black at the head of every page.
    """

    title: str
    lines: tuple[str, ...]
    cells: tuple[Cell, ...]
    rows: tuple[Row, ...]
    foot: str = ""
    demo: str = ""


def form_pages(form: Form) -> tuple[Drawing, ...]:
    """The pages of `form`. Raises FieldRefused or GlyphMissing where it does not fit."""
    width = _CODE + sum(cell.width for cell in form.cells)
    if not form.rows or width > PAGE_MM[0] - 2 * _MARGIN:
        raise FieldRefused(
            f"Form {form.title} not printed: it has no row, or its cells are too wide.",
            value=f"{len(form.rows)} rows, {width:.0f} mm",
            expected=f"at least one row, at most {PAGE_MM[0] - 2 * _MARGIN:.0f} mm",
            next_step="Give the form rows, or fewer cells, and print again.",
        )
    parts = list(_parts(form))
    return tuple(
        _FormPen(form, f"Page {number} of {len(parts)}").page(rows)
        for number, rows in enumerate(parts, start=1)
    )


def rows_a_page(form: Form) -> int:
    """How many rows fit below the instructions."""
    room = PAGE_MM[1] - 2 * _MARGIN - _head(form) - _HEADS - _FOOT
    return max(int(room // _ROW), 1)


def _head(form: Form) -> float:
    return _TITLE + _LINE * len(form.lines) + 2


def _parts(form: Form) -> Iterator[tuple[Row, ...]]:
    step = rows_a_page(form)
    for at in range(0, len(form.rows), step):
        yield form.rows[at : at + step]


def _box(x: float, y: float, width: float, height: float) -> Rect:
    left, top = dots(x, DPI), dots(y, DPI)
    return Rect(left, top, dots(x + width, DPI) - left, dots(y + height, DPI) - top)


class _FormPen:
    """Draws one page."""

    def __init__(self, form: Form, which: str) -> None:
        self.form = form
        self.which = which
        self.pen = Pen()
        self.where = f"Form {form.title}"

    def page(self, rows: tuple[Row, ...]) -> Drawing:
        """The page with these rows."""
        self._top()
        y = _MARGIN + _head(self.form)
        self._heads(y)
        y += _HEADS
        for row in rows:
            self._row(row, y)
            y += _ROW
        self._text(self.form.foot, _box(_MARGIN, y + 1.5, PAGE_MM[0] - 2 * _MARGIN, 5), (2.4, 2.2))
        size = (dots(PAGE_MM[0], DPI), dots(PAGE_MM[1], DPI))
        return self.pen.drawing(self.form.title, size, DPI)

    def _text(self, text: str, area: Rect, sizes: tuple[float, float], **look: object) -> None:
        if text:
            settled = {"align": "left", "bold": False, "band": False, **look}
            box = TextBox(
                text,
                "text",
                area,
                "",
                *sizes,
                align=str(settled["align"]),
                bold=bool(settled["bold"]),
                band=bool(settled["band"]),
            )
            write(self.pen, box, text, DPI, f"{self.where}, “{text}”")

    def _top(self) -> None:
        right = PAGE_MM[0] - _MARGIN
        self._text(self.form.title, _box(_MARGIN, _MARGIN, 190, 9), (5.2, 3.2), bold=True)
        self._text(self.which, _box(right - 32, _MARGIN + 2, 32, 5), (2.6, 2.4), align="right")
        band = _box(right - 74, _MARGIN + 0.5, 38, 7.5)
        self._text(self.form.demo, band, (4, 2.6), align="centre", bold=True, band=True)
        for at, line in enumerate(self.form.lines):
            area = _box(_MARGIN, _MARGIN + _TITLE + at * _LINE, PAGE_MM[0] - 2 * _MARGIN, _LINE)
            self._text(line, area, (2.6, 2.2))

    def _cells(self) -> Iterator[tuple[Cell, float]]:
        x = _MARGIN + _CODE
        for cell in self.form.cells:
            yield cell, x
            x += cell.width

    def _heads(self, y: float) -> None:
        for cell, x in ((Cell("Label", "scan this", _CODE), _MARGIN), *self._cells()):
            self._text(cell.heading, _box(x + 1, y + 0.2, cell.width - 2, 4.6), (2.6, 2.2), bold=True)
            self._text(cell.hint, _box(x + 1, y + 4.8, cell.width - 2, 3.8), (2.2, 2))

    def _row(self, row: Row, y: float) -> None:
        self.pen.fills += edges(_box(_MARGIN, y, _CODE, _ROW), _EDGE)
        self._text(row.shown, _box(_MARGIN + 4.2, y + 0.7, _CODE - 6, 5), (2.9, 2.4), bold=True)
        bars = _box(_MARGIN + 0.4, y + 5.9, _CODE - 0.8, _ROW - 6.8)
        box = SymbolBox("code128", "code128", bars, "", _MODULE, LEAST_MODULE, "left")
        self.pen.symbols.append(symbol(box, row.text, DPI, f"{self.where}, {row.shown}"))
        for cell, x in self._cells():
            self.pen.fills += edges(_box(x, y, cell.width, _ROW), _EDGE)
