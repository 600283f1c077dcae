"""How does a picture of boxes and strands get onto one page that is printed?

Black frames, elbows and words, in any unit of length; the page is the smallest of A4 to A0, lying, on which
letters stay 2 mm high. Whoever draws says where everything stands; the same picture gives the same bytes.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from lotroot_printing.drawing import Drawing, Rect, TextRun, dots, edges
from lotroot_printing.errors import PrintingError
from lotroot_printing.fonts import capital_dots, printable
from lotroot_printing.pdf import pdf

from lotroot.errors import Unreadable

DPI = 300
PAGES_MM = ((297, 210), (420, 297), (594, 420), (841, 594), (1189, 841))
"""A4 to A0, lying (ISO 216)."""
MARGIN, HEAD = 10, 12
LEAST = 0.2
"""mm a unit below which letters of a box would be under 2 mm (labels: the same)."""
MOST = 0.3
LETTERS = 26
"""Letters a line of a box takes."""
FRAME = 3
"""Dots of a frame; a strong one is three times as thick."""


class Box(NamedTuple):
    """A frame with up to three lines; `strong` frames are thicker."""

    left: int
    top: int
    width: int
    height: int
    lines: tuple[str, ...]
    strong: bool = False


class Elbow(NamedTuple):
    """From the right side of one box to the left side of another, turning `turn` units behind the start."""

    start: tuple[int, int]
    end: tuple[int, int]
    width: float
    turn: float


class Chart(NamedTuple):
    """A picture of some size, in units, under a title."""

    title: str
    width: int
    height: int
    boxes: tuple[Box, ...]
    elbows: tuple[Elbow, ...]


def chart_pdf(chart: Chart) -> bytes:
    """One page. Raises Unreadable for a character that cannot be printed."""
    page, scale = _page(chart)
    try:
        return pdf([_drawing(chart, page, scale)])
    except PrintingError as error:
        raise Unreadable(
            error.what, value=error.value, expected=error.expected, next_step=error.next_step
        ) from error


def _page(chart: Chart) -> tuple[tuple[int, int], float]:
    """The smallest page that leaves letters readable, and mm a unit on it."""
    for wide, high in PAGES_MM:
        scale = min(MOST, (wide - 2 * MARGIN) / chart.width, (high - 2 * MARGIN - HEAD) / chart.height)
        if scale >= LEAST:
            break
    return (wide, high), scale


def _drawing(chart: Chart, page: tuple[int, int], scale: float) -> Drawing:
    def place(units: float) -> int:
        return dots(units * scale, DPI)

    left, top = dots(MARGIN, DPI), dots(MARGIN + HEAD, DPI)
    fills: list[Rect] = []
    texts = [
        TextRun(printable(chart.title, where="title"), left, dots(MARGIN + 5, DPI), dots(2.4, DPI), True)
    ]
    for elbow in chart.elbows:
        (x1, y1), (x2, y2) = elbow.start, elbow.end
        points = [(left + place(x), top + place(y)) for x, y in ((x1, y1), (x2, y2))]
        fills += _elbow(points[0], points[1], (max(1, place(elbow.width)), place(elbow.turn)))
    for box in chart.boxes:
        area = Rect(left + place(box.left), top + place(box.top), place(box.width), place(box.height))
        fills += edges(area, FRAME * (3 if box.strong else 1))
        texts += _lines(box, area)
    return Drawing(chart.title, dots(page[0], DPI), dots(page[1], DPI), DPI, tuple(fills), (), tuple(texts))


def _elbow(start: tuple[int, int], end: tuple[int, int], how: tuple[int, int]) -> Iterator[Rect]:
    width, turn = how
    middle, half = start[0] + turn, width // 2
    yield Rect(start[0], start[1] - half, middle - start[0] + half + 1, width)
    upper, lower = sorted((start[1], end[1]))
    yield Rect(middle - half, upper - half, width, lower - upper + width)
    yield Rect(middle - half, end[1] - half, end[0] - middle + half + 1, width)


def _lines(box: Box, area: Rect) -> Iterable[TextRun]:
    pitch = max(1, area.width // (LETTERS + 3))
    step = area.height // (len(box.lines) + 1)
    for number, line in enumerate(box.lines, 1):
        text = line if len(line) <= LETTERS else f"{line[: LETTERS - 1]}…"
        baseline = area.y + number * step + capital_dots(pitch) // 2
        yield TextRun(printable(text, where="box"), area.x + pitch, baseline, pitch, number == 1)
