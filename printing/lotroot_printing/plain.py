"""What does a label cost that is drawn with the libraries' own pictures and pasted together?

The other side of the benchmark: bars by python-barcode's ImageWriter, the square symbol by qrcode's own
image, each text in one call at the same place and size, the same PNG settings but for those the library
takes by itself. Its symbols are as large as ours to within a dot or two: the writer takes millimetres.
"""

import functools
import io

import qrcode
from barcode.codex import Code128
from barcode.writer import ImageWriter
from PIL import Image, ImageDraw, ImageFont

from lotroot_printing import fonts
from lotroot_printing.damage import module_of
from lotroot_printing.drawing import Drawing, DrawnSymbol, millimetres
from lotroot_printing.reading import CODE128, QUIET_MODULES, ReadSymbol, read

CANVASES = ("1", "RGB")
"""Modes of the canvas: one bit a pixel, the leanest there is, and colours, the library's usual one."""


def plain_png(drawing: Drawing, canvas: str) -> bytes:
    """The texts and symbols of `drawing` as PNG, on a white canvas of that mode; nothing is read back."""
    image = Image.new(canvas, (drawing.width, drawing.height), "white")
    draw = ImageDraw.Draw(image)
    for symbol in drawing.symbols:
        made = _bars(symbol, drawing.dpi) if symbol.symbology == CODE128 else _square(symbol)
        image.paste(made.convert(canvas), (symbol.area.x, symbol.area.y))
    for run in drawing.texts:
        font = _font(fonts.em_dots(run.pitch))
        draw.text((run.x, run.baseline), run.text, fill="black", font=font, anchor="ls")
    target = io.BytesIO()
    image.save(target, "PNG", dpi=(drawing.dpi, drawing.dpi))
    return target.getvalue()


def read_png(data: bytes, drawing: Drawing) -> set[ReadSymbol]:
    """What a decoder reads of the symbols of `drawing` in a PNG."""
    with Image.open(io.BytesIO(data)) as image:
        return set(read(image.convert("L"), *sorted({each.symbology for each in drawing.symbols})))


@functools.cache
def _font(size: float) -> ImageFont.FreeTypeFont:
    """Warm on this side too."""
    return ImageFont.truetype(str(fonts.FONT_PATH), size)


def _bars(symbol: DrawnSymbol, dpi: int) -> Image.Image:
    module = millimetres(module_of(symbol), dpi)
    size = {
        "module_width": module,
        "module_height": millimetres(symbol.area.height, dpi),
        "quiet_zone": QUIET_MODULES[CODE128] * module,
        "margin_top": 0,
        "margin_bottom": 0,
    }
    made: Image.Image = Code128(symbol.text, writer=ImageWriter()).render(
        {**size, "dpi": dpi, "write_text": False}
    )
    return made


def _square(symbol: DrawnSymbol) -> Image.Image:
    code = qrcode.QRCode(
        error_correction=qrcode.constants.ERROR_CORRECT_Q,
        box_size=module_of(symbol),
        border=QUIET_MODULES["qr"],
    )
    code.add_data(symbol.text)
    code.make(fit=True)
    made: Image.Image = code.make_image().get_image()
    return made
