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

_RUN_LENGTHS = 3
"""Z_RLE of zlib: half the time of its usual way and 2 % more bytes; its least level has a fifth more."""

Bitmap = Image.Image
"""A finished label: 1 bit a pixel, a pixel a printer dot, white where the bit is set."""


@functools.lru_cache(maxsize=128)
def _font(pitch: int) -> ImageFont.FreeTypeFont:
    """The font at a pitch, without the optional text shaper: the same dots on every machine."""
    size = fonts.em_dots(pitch)
    return ImageFont.truetype(str(fonts.FONT_PATH), size, layout_engine=ImageFont.Layout.BASIC)


def _fill(draw: ImageDraw.ImageDraw, rects: Sequence[Rect]) -> None:
    """Straight at the library's core, whose door asks for each of 250 rectangles anew what black is."""
    core = draw.draw
    black = core.draw_ink(BLACK)
    for each in rects:
        core.draw_rectangle((each.x, each.y, each.right - 1, each.bottom - 1), black, 1)


@functools.lru_cache(maxsize=2048)
def _glyph(character: str, pitch: int, bold: bool) -> tuple[int, int, Image.Image]:
    """One character's dots as a mask, and where it stands from the start of its cell and the baseline.

    Labels say the same few characters over and over; drawing them takes most of a label's time.
    """
    left, rise = pitch, fonts.line_dots(pitch)
    image = Image.new("1", (3 * pitch, 2 * rise), 0)
    draw = ImageDraw.Draw(image)
    draw.fontmode = "1"  # letters without grey edges
    stroke = pitch * fonts.BOLD_SPREAD if bold else 0
    draw.text((left, rise), character, 1, _font(pitch), anchor="ls", stroke_width=stroke, stroke_fill=1)
    box = image.getbbox() or (left, rise, left + 1, rise + 1)
    return box[0] - left, box[1] - rise, image.crop(box)


@functools.lru_cache(maxsize=256)
def _line(text: str, pitch: int, bold: bool) -> tuple[int, int, Image.Image]:
    """A whole line in the same way: labels of one block differ in a few lines only.

    Set character by character, so that the pitch stays whole dots whatever the font rounds to.
    """
    left, rise = pitch, fonts.line_dots(pitch)
    image = Image.new("1", ((len(text) + 2) * pitch, 2 * rise), 0)
    for index, character in enumerate(text):
        across, down, mask = _glyph(character, pitch, bold)
        image.paste(1, (left + index * pitch + across, rise + down), mask)
    return -left, -rise, image


def _write(image: Image.Image, run: TextRun) -> None:
    across, down, mask = _line(run.text, run.pitch, run.bold)
    image.paste(WHITE if run.white else BLACK, (run.x + across, run.baseline + down), mask)


def bitmap(drawing: Drawing) -> Image.Image:
    """The drawing as a 1-bit picture, one pixel a printer dot."""
    image = Image.new("1", (drawing.width, drawing.height), WHITE)
    draw = ImageDraw.Draw(image)
    _fill(draw, drawing.fills)
    for symbol in drawing.symbols:
        _fill(draw, symbol.bars)
    for run in drawing.texts:
        _write(image, run)
    return image


def encode(image: Image.Image, dpi: int) -> bytes:
    """The picture as PNG bytes that state `dpi`."""
    target = io.BytesIO()
    image.save(target, "PNG", dpi=(dpi, dpi), compress_type=_RUN_LENGTHS)
    return target.getvalue()
