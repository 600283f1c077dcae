"""What does a drawing look like in black and white dots?

One bit a dot, at the drawing's own resolution: bars are filled dot by dot, nothing is resampled and
nothing is grey. The PNG carries its resolution, so that viewers show and print it at its true size.
"""

import functools
import io
from collections.abc import Sequence

from PIL import Image, ImageDraw, ImageFont

from lotroot_printing import fonts
from lotroot_printing.drawing import Drawing, Rect, TextRun

WHITE, BLACK = 1, 0

Bitmap = Image.Image
"""A finished label: 1 bit a pixel, a pixel a printer dot, white where the bit is set."""


@functools.lru_cache(maxsize=128)
def _font(pitch: int) -> ImageFont.FreeTypeFont:
    """The font at a pitch, without the optional text shaper: the same dots on every machine."""
    size = fonts.em_dots(pitch)
    return ImageFont.truetype(str(fonts.FONT_PATH), size, layout_engine=ImageFont.Layout.BASIC)


def _fill(draw: ImageDraw.ImageDraw, rects: Sequence[Rect]) -> None:
    for each in rects:
        draw.rectangle((each.x, each.y, each.right - 1, each.bottom - 1), fill=BLACK)


def _write(draw: ImageDraw.ImageDraw, run: TextRun) -> None:
    """Set character by character, so that the pitch stays whole dots whatever the font rounds to."""
    font, ink = _font(run.pitch), WHITE if run.white else BLACK
    stroke = run.pitch * fonts.BOLD_SPREAD if run.bold else 0
    for index, character in enumerate(run.text):
        at = (run.x + index * run.pitch, run.baseline)
        draw.text(at, character, fill=ink, font=font, anchor="ls", stroke_width=stroke, stroke_fill=ink)


def bitmap(drawing: Drawing) -> Image.Image:
    """The drawing as a 1-bit picture, one pixel a printer dot."""
    image = Image.new("1", (drawing.width, drawing.height), WHITE)
    draw = ImageDraw.Draw(image)
    draw.fontmode = "1"  # letters without grey edges
    _fill(draw, drawing.fills)
    for symbol in drawing.symbols:
        _fill(draw, symbol.bars)
    for run in drawing.texts:
        _write(draw, run)
    return image


def encode(image: Image.Image, dpi: int) -> bytes:
    """The picture as PNG bytes that state `dpi`."""
    target = io.BytesIO()
    image.save(target, "PNG", dpi=(dpi, dpi))
    return target.getvalue()
