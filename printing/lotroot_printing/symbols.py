"""Which bars and modules say a text, and does the finished bitmap really say it?

Code 128 (ISO/IEC 15417) comes from python-barcode's module string, QR (ISO/IEC 18004, level Q for
oil, dirt and zinc dust) from qrcode. Everything drawn is in whole printer dots. Every Code 128
pattern is read back before it is used: python-barcode 0.16.1 drops a leading "99" with a valid
check symbol; then zxing-cpp's own writer takes over.
"""

import functools
import itertools
from collections import Counter
from collections.abc import Sequence
from typing import Any, NamedTuple

import qrcode
import zxingcpp
from barcode.codex import Code128
from PIL import Image

from lotroot_printing.drawing import Rect
from lotroot_printing.errors import FieldRefused, SymbolUnreadable

CODE128, QR = "code128", "qr"
QUIET_MODULES = {CODE128: 10, QR: 4}

_FORMATS = {CODE128: zxingcpp.BarcodeFormat.Code128, QR: zxingcpp.BarcodeFormat.QRCode}


class ReadSymbol(NamedTuple):
    """A symbol as a scanner reports it: `code128` or `qr`, and its text."""

    symbology: str
    text: str


def require_codable(text: str) -> None:
    """Refuse a text that scanners in keyboard mode would not send unchanged."""
    if not text or not all(" " <= character <= "~" for character in text):
        raise FieldRefused(
            "A symbol cannot be made of this text.",
            value=repr(text),
            expected="at least one character, all of them printable ASCII",
            next_step="Correct the number or code and print again.",
        )


def _library_pattern(text: str) -> str:
    """python-barcode's modules: 1 bar, 0 space, without quiet zones."""
    return str(Code128(text).build()[0])


def _fallback_pattern(text: str) -> str:
    """zxing-cpp's modules for the texts python-barcode gets wrong."""
    symbol = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.Code128)
    image: Any = symbol.to_image(scale=1, add_quiet_zones=False)
    width = image.shape[1]
    return "".join("1" if value < 128 else "0" for value in memoryview(image).tobytes()[:width])


def _strip(pattern: str) -> Image.Image:
    """The pattern as a small picture with quiet zones, for reading back only."""
    quiet = "0" * QUIET_MODULES[CODE128]
    row = bytes(0 if module == "1" else 255 for module in quiet + pattern + quiet)
    return Image.frombytes("L", (len(row), 1), row).resize((len(row) * 2, 40), Image.Resampling.NEAREST)


@functools.lru_cache(maxsize=512)
def code128_pattern(text: str) -> str:
    """The modules of `text` in Code 128: 1 bar, 0 space, starting and ending with a bar.

    Raises FieldRefused for a text that is not printable ASCII, SymbolUnreadable if neither
    encoder's pattern reads back as `text`.
    """
    require_codable(text)
    expected = [ReadSymbol(CODE128, text)]
    pattern = _library_pattern(text)
    if read(_strip(pattern), CODE128) != expected:
        pattern = _fallback_pattern(text)
        read_back(_strip(pattern), expected)
    return pattern


@functools.lru_cache(maxsize=512)
def qr_matrix(text: str) -> tuple[tuple[bool, ...], ...]:
    """The modules of `text` as QR at level Q, row by row, without quiet zone."""
    require_codable(text)
    code = qrcode.QRCode(error_correction=qrcode.constants.ERROR_CORRECT_Q, border=0)
    code.add_data(text)
    code.make(fit=True)
    return tuple(tuple(bool(module) for module in row) for row in code.get_matrix())


def modules(symbology: str, text: str) -> int:
    """Width of the symbol in modules, quiet zones included."""
    width = len(code128_pattern(text)) if symbology == CODE128 else len(qr_matrix(text))
    return width + 2 * QUIET_MODULES[symbology]


def _stretches(line: Sequence[bool]) -> list[tuple[int, int]]:
    """Start and length of every stretch of dark modules."""
    found, at = [], 0
    for dark, group in itertools.groupby(line):
        length = len(list(group))
        if dark:
            found.append((at, length))
        at += length
    return found


def code128_bars(text: str, area: Rect, module: int) -> tuple[Rect, ...]:
    """The bars, `module` dots a module, from the left edge of `area` after the quiet zone."""
    left = area.x + QUIET_MODULES[CODE128] * module
    dark = [each == "1" for each in code128_pattern(text)]
    return tuple(
        Rect(left + at * module, area.y, length * module, area.height) for at, length in _stretches(dark)
    )


def qr_bars(text: str, area: Rect, module: int) -> tuple[Rect, ...]:
    """The dark modules joined along the rows, then along the columns.

    Rows alone would say it all, but in the PDF, where each rectangle is inset a tenth of a dot,
    they would leave hairlines between them; the columns cover these.
    """
    matrix = qr_matrix(text)
    left, top = (edge + QUIET_MODULES[QR] * module for edge in (area.x, area.y))
    across = [
        Rect(left + at * module, top + row * module, length * module, module)
        for row, line in enumerate(matrix)
        for at, length in _stretches(line)
    ]
    down = [
        Rect(left + column * module, top + at * module, module, length * module)
        for column, line in enumerate(zip(*matrix, strict=True))
        for at, length in _stretches(line)
        if length > 1
    ]
    return tuple(across + down)


def read(image: Image.Image, *symbologies: str) -> list[ReadSymbol]:
    """Every symbol of the given kinds that a decoder finds in `image`, in sorted order.

    Read in its own dots only: at a third of them, which the decoder would try as well, good bars of four
    dots a module blur, and one number in 600 is seen as a second one that nobody printed.
    """
    formats = zxingcpp.BarcodeFormats([_FORMATS[each] for each in symbologies])
    found = zxingcpp.read_barcodes(
        image.convert("L"),
        formats=formats,
        text_mode=zxingcpp.TextMode.Plain,
        try_invert=False,
        try_downscale=False,
    )
    named = [(CODE128 if each.format == zxingcpp.BarcodeFormat.Code128 else QR, each.text) for each in found]
    return sorted(ReadSymbol(*each) for each in named)


def read_back(image: Image.Image, expected: Sequence[ReadSymbol]) -> list[ReadSymbol]:
    """Decode `image` and require exactly the `expected` symbols, as often as expected.

    Raises SymbolUnreadable naming what was read and what should have been.
    """
    kinds = sorted({each.symbology for each in expected})
    found = read(image, *kinds) if kinds else []
    if Counter(found) != Counter(expected):
        raise SymbolUnreadable(
            "The label was not printed: its symbols do not read back right.",
            value=", ".join(f"{each.symbology} {each.text}" for each in found) or "no symbol",
            expected=", ".join(f"{each.symbology} {each.text}" for each in sorted(expected)),
            next_step="Print again; if it happens again, show this message to whoever keeps the layouts.",
        )
    return found
