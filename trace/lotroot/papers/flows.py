"""How do pictures of flows get onto one page that is printed?

Frames, words above them, and bands between them: outlined and hatched, for a printer knows black alone.
The page is the smallest of A4 to A0, lying, on which letters stay 2 mm high. The same gives the same bytes.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from lotroot_printing.drawing import Drawing, Rect, TextRun, dots, edges
from lotroot_printing.errors import PrintingError
from lotroot_printing.fonts import printable
from lotroot_printing.pdf import pdf

from lotroot.errors import Unreadable
from lotroot.papers.charts import DPI, HEAD, LEAST, MARGIN, MOST, PAGES_MM

LETTERS = 16
"""Letters that a bar's width takes."""
FRAME, STRONG = 3, 8
"""Dots of a frame; the second of a step's."""
HATCH, EDGE = 12, 2
"""Dots from one line of a band's hatching to the next; thickness of its outline."""
BETWEEN = 30
"""Units between one picture and the next below it, for its title."""


class Bar(NamedTuple):
    """A node: the tops of its words and of its bar, the bar's height, its lines, each with whether bold."""

    left: int
    top: float
    bar: float
    height: float
    lines: tuple[tuple[str, bool], ...]
    strong: bool = False


class Ribbon(NamedTuple):
    """A band by its stations: x, upper edge, lower edge."""

    stations: tuple[tuple[int, float, float], ...]


class FlowChart(NamedTuple):
    """One picture under a title: its size, the width of bars and the pitch of lines, in units."""

    title: str
    width: int
    height: int
    bar_width: int
    line: int
    bars: tuple[Bar, ...]
    ribbons: tuple[Ribbon, ...]


class _Scale(NamedTuple):
    """Dots a unit, and where a picture's upper left corner is."""

    unit: float
    left: int
    top: int

    def x(self, units: float) -> int:
        return self.left + round(units * self.unit)

    def y(self, units: float) -> int:
        return self.top + round(units * self.unit)


def flows_pdf(title: str, charts: Sequence[FlowChart]) -> bytes:
    """One page with all pictures, small ones side by side. Raises Unreadable for what cannot be printed."""
    rows = _rows(charts)
    width = max((_wide(row) for row in rows), default=1)
    height = sum(_high(row) for row in rows) or 1
    for wide, high in PAGES_MM:
        scale = min(MOST, (wide - 2 * MARGIN) / width, (high - 2 * MARGIN - HEAD) / height)
        if scale >= LEAST:
            break
    try:
        return pdf([_drawing(title, rows, (wide, high), scale)])
    except PrintingError as error:
        raise Unreadable(
            error.what, value=error.value, expected=error.expected, next_step=error.next_step
        ) from error


def _rows(charts: Sequence[FlowChart]) -> list[list[FlowChart]]:
    """The pictures in their order, as many beside each other as are no wider than the widest."""
    widest = max((chart.width for chart in charts), default=0)
    rows: list[list[FlowChart]] = []
    for chart in charts:
        if rows and _wide([*rows[-1], chart]) <= widest:
            rows[-1].append(chart)
        else:
            rows.append([chart])
    return rows


def _wide(row: Sequence[FlowChart]) -> int:
    return sum(chart.width for chart in row)


def _high(row: Sequence[FlowChart]) -> int:
    return max(chart.height for chart in row) + BETWEEN


def _drawing(title: str, rows: Sequence[Sequence[FlowChart]], page: tuple[int, int], scale: float) -> Drawing:
    unit = scale * DPI / 25.4
    place = _Scale(unit, dots(MARGIN, DPI), dots(MARGIN + HEAD, DPI))
    head = TextRun(printable(title, where="title"), place.left, dots(MARGIN + 5, DPI), dots(2.4, DPI), True)
    fills: list[Rect] = []
    texts = [head]
    for row in rows:
        beside = place
        for chart in row:
            _put(chart, beside, fills, texts)
            beside = beside._replace(left=beside.x(chart.width))
        place = place._replace(top=place.y(_high(row)))
    return Drawing(title, dots(page[0], DPI), dots(page[1], DPI), DPI, tuple(fills), (), tuple(texts))


def _put(chart: FlowChart, place: _Scale, fills: list[Rect], texts: list[TextRun]) -> None:
    pitch = max(1, int(chart.bar_width * place.unit / LETTERS))
    head = printable(chart.title, where="title")
    texts.append(TextRun(head, place.left, place.y(BETWEEN / 2), pitch, True))
    below = place._replace(top=place.y(BETWEEN))
    for ribbon in chart.ribbons:
        fills += _ribbon(ribbon, below)
    for bar in chart.bars:
        fills += _bar(bar, chart, below)
        texts += _lines(bar, chart, below, pitch)


def _bar(bar: Bar, chart: FlowChart, place: _Scale) -> list[Rect]:
    x, y = place.x(bar.left), place.y(bar.bar)
    weight = STRONG if bar.strong else FRAME
    width, height = place.x(bar.left + chart.bar_width) - x, place.y(bar.bar + bar.height) - y
    if height <= 2 * weight:
        return [Rect(x, y, width, max(height, weight))]
    return edges(Rect(x, y, width, height), weight)


def _lines(bar: Bar, chart: FlowChart, place: _Scale, pitch: int) -> Iterator[TextRun]:
    for row, (text, bold) in enumerate(bar.lines, 1):
        baseline = place.y(bar.top + row * chart.line - 4)
        yield TextRun(printable(text, where="picture"), place.x(bar.left), baseline, pitch, bold)


def _ribbon(ribbon: Ribbon, place: _Scale) -> Iterator[Rect]:
    """Upper and lower edge, step by step, and a line of hatching every so many dots."""
    before: tuple[int, int] | None = None
    for x, top, bottom in _course(ribbon.stations, place):
        for level, last in zip((top, bottom), before or (top, bottom), strict=True):
            yield Rect(x, min(level, last), EDGE, abs(level - last) + EDGE)
        if x // EDGE % (HATCH // EDGE) == 0 and bottom - top > 2 * EDGE:
            yield Rect(x, top, 1, bottom - top)
        before = (top, bottom)


def _course(stations: Iterable[tuple[int, float, float]], place: _Scale) -> Iterator[tuple[int, int, int]]:
    """The edges of a band, every `EDGE` dots; between two stations they turn as gently as they can."""
    some = list(stations)
    for (x1, *first), (x2, *second) in pairwise(some):
        start, stop = place.x(x1), place.x(x2)
        for x in range(start, stop, EDGE):
            part = (x - start) / max(stop - start, 1)
            turn = part * part * (3 - 2 * part)
            top, bottom = (place.y(a + (b - a) * turn) for a, b in zip(first, second, strict=True))
            yield x, top, bottom
