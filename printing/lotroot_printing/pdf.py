"""How does a drawing become a PDF whose bars land on the printer's dots?

Vector bars, the font embedded, and the same bytes every time. Rasterised at the drawing's own
resolution the bars come out to the dot: positions are whole dots, the page is 0.002 pt smaller than
whole dots (else one rasteriser takes one dot more and stretches the page), and every rectangle is
inset a tenth of a dot on each side (else another widens every bar by one dot). Measured with pdfium,
poppler and Ghostscript.
"""

import functools
import io
from collections.abc import Sequence

from reportlab import rl_config
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from lotroot_printing import fonts
from lotroot_printing.drawing import Drawing, Rect, TextRun

POINTS_PER_INCH = 72
PAGE_LESS = 0.002  # points

_FILLED, _FILLED_AND_STROKED = 0, 2

rl_config.useA85 = 0  # streams as bytes, not as letters: a fifth smaller, and a third of the time


@functools.cache
def _font() -> str:
    """The name of the embedded font, registered once a process."""
    name = "DejaVuSansMono"
    pdfmetrics.registerFont(TTFont(name, str(fonts.FONT_PATH)))
    return name


class _Page:
    """One page being drawn: turns dots from the upper left into points from the lower left."""

    def __init__(self, canvas: Canvas, drawing: Drawing) -> None:
        self.canvas = canvas
        self.drawing = drawing
        self.point = POINTS_PER_INCH / drawing.dpi

    def draw(self) -> None:
        """Put everything on the page and end it."""
        drawing = self.drawing
        size = (drawing.width * self.point - PAGE_LESS, drawing.height * self.point - PAGE_LESS)
        self.canvas.setPageSize(size)
        self._fill(drawing.fills)
        for symbol in drawing.symbols:
            self._fill(symbol.bars)
        for run in drawing.texts:
            self._write(run)
        self.canvas.showPage()

    def _fill(self, rects: Sequence[Rect]) -> None:
        """All rectangles as one path, filled once, each a tenth of a dot smaller on each side.

        Written in dots, where whole numbers and tenths are exact. Non-zero winding: where rectangles
        overlap, as in a QR matrix, the ink stays.
        """
        if not rects:
            return
        height = self.drawing.height
        path = " ".join(
            f"{each.x}.1 {height - each.bottom}.1 {each.width - 1}.8 {each.height - 1}.8 re" for each in rects
        )
        self.canvas.addLiteral(f"q {self.point:.9f} 0 0 {self.point:.9f} 0 0 cm {path} f Q")

    def _write(self, run: TextRun) -> None:
        text = self.canvas.beginText(run.x * self.point, (self.drawing.height - run.baseline) * self.point)
        text.setFont(_font(), fonts.em_dots(run.pitch) * self.point)
        ink = 1 if run.white else 0
        text.setFillGray(ink)
        text.setStrokeGray(ink)
        text.setTextRenderMode(_FILLED_AND_STROKED if run.bold else _FILLED)
        self.canvas.setLineWidth(2 * fonts.BOLD_SPREAD * run.pitch * self.point)
        text.textOut(run.text)
        self.canvas.drawText(text)
        self.canvas.setFillGray(0)


def pdf(drawings: Sequence[Drawing]) -> bytes:
    """The drawings as one PDF, a page each; the same drawings give the same bytes."""
    target = io.BytesIO()
    canvas = Canvas(target, invariant=1)
    canvas.setTitle(drawings[0].title)
    for drawing in drawings:
        _Page(canvas, drawing).draw()
    canvas.save()
    return target.getvalue()
