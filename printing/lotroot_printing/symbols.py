"""Which bars and modules say a text?

Code 128 (ISO/IEC 15417) comes from python-barcode's module string, QR (ISO/IEC 18004, level Q for
oil, dirt and zinc dust) from qrcode, Data Matrix (ISO/IEC 16022, square) and GS1 symbols from zxing-cpp.
Everything drawn is in whole printer dots. Every Code 128 pattern is read back before it is used:
python-barcode 0.16.1 drops a leading "99" with a valid check symbol; then zxing-cpp's own writer takes over.
"""

import functools
from collections.abc import Sequence
from typing import Any

import qrcode
import zxingcpp
from barcode.codex import Code128
from PIL import Image

from lotroot_printing.drawing import Rect
from lotroot_printing.errors import FieldRefused
from lotroot_printing.gs1 import element_data
from lotroot_printing.reading import (
    CODE128,
    DATAMATRIX,
    GS1,
    GS1_128,
    GS1_DATAMATRIX,
    LINEAR,
    QR,
    QUIET_MODULES,
    ReadSymbol,
    read,
    read_back,
)

__all__ = [
    "CODE128",
    "DATAMATRIX",
    "GS1",
    "GS1_128",
    "GS1_DATAMATRIX",
    "LINEAR",
    "QR",
    "QUIET_MODULES",
    "ReadSymbol",
    "bars",
    "code128_bars",
    "code128_pattern",
    "modules",
    "qr_matrix",
    "read",
    "read_back",
    "require_codable",
    "said",
]

MOST_CHARACTERS = 300  # more than any code on a label; the encoders have odd limits of their own far above
GS1_LONGEST_MM = 165.1  # GS1 General Specifications: a GS1-128 symbol with its quiet zones

# Trying all eight masks of ISO/IEC 18004 takes seven times as long. Over 300 of our numbers this one, a
# chequer, has 9 % more penalty points than the best of the eight on average; the other seven 19 to 56 %.
_MASK = 0

_Matrix = tuple[tuple[bool, ...], ...]


def require_codable(text: str) -> None:
    """Refuse a text that scanners in keyboard mode would not send unchanged."""
    if not 0 < len(text) <= MOST_CHARACTERS or not all(" " <= character <= "~" for character in text):
        raise FieldRefused(
            "A symbol cannot be made of this text.",
            value=repr(text if len(text) <= MOST_CHARACTERS else text[:40] + "…"),
            expected=f"1 to {MOST_CHARACTERS} characters, all of them printable ASCII",
            next_step="Correct the number or code and print again.",
        )


def said(symbology: str, text: str) -> str:
    """What a scanner sends for a symbol made of `text`: the text, or the data of GS1 element strings.

    Raises FieldRefused for a text that the symbol cannot say.
    """
    require_codable(text)
    return element_data(text) if symbology in GS1 else text


def _library_pattern(text: str) -> str:
    """python-barcode's modules: 1 bar, 0 space, without quiet zones."""
    return str(Code128(text).build()[0])


def _written(text: str, kind: zxingcpp.BarcodeFormat, **options: bool) -> _Matrix:
    """zxing-cpp's modules, row by row, without quiet zones; bars are rows that are all the same."""
    try:
        image: Any = zxingcpp.create_barcode(text, kind, **options).to_image(scale=1, add_quiet_zones=False)
    except ValueError as error:  # such as an application identifier that there is not
        raise FieldRefused(
            "A symbol cannot be made of this text.",
            value=text,
            expected=f"what this kind of symbol can say ({error})",
            next_step="Correct the number or code and print again.",
        ) from error
    height, width = image.shape
    dots = memoryview(image).tobytes()
    return tuple(tuple(dot < 128 for dot in dots[row * width : (row + 1) * width]) for row in range(height))


def _bars_of(matrix: _Matrix) -> str:
    return "".join("1" if dark else "0" for dark in matrix[0])


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
        pattern = _bars_of(_written(text, zxingcpp.BarcodeFormat.Code128))
        read_back(_strip(pattern), expected)
    return pattern


@functools.lru_cache(maxsize=512)
def _gs1_128_pattern(text: str) -> str:
    """The modules of GS1 element strings in GS1-128. Raises FieldRefused or SymbolUnreadable."""
    expected = [ReadSymbol(GS1_128, said(GS1_128, text))]
    pattern = _bars_of(_written(text, zxingcpp.BarcodeFormat.Code128, gs1=True))
    read_back(_strip(pattern), expected)
    return pattern


@functools.lru_cache(maxsize=512)
def qr_matrix(text: str) -> _Matrix:
    """The modules of `text` as QR at level Q, row by row, without quiet zone."""
    require_codable(text)
    level = qrcode.constants.ERROR_CORRECT_Q
    code = qrcode.QRCode(error_correction=level, border=0, mask_pattern=_MASK)
    code.add_data(text)
    code.make(fit=True)
    return tuple(tuple(map(bool, row)) for row in code.get_matrix())


@functools.lru_cache(maxsize=512)
def _data_matrix(symbology: str, text: str) -> _Matrix:
    """The modules of a Data Matrix, square: a long low one would need another area on the label."""
    said(symbology, text)
    return _written(text, zxingcpp.BarcodeFormat.DataMatrix, force_square=True, gs1=symbology in GS1)


def _pattern(symbology: str, text: str) -> str:
    return code128_pattern(text) if symbology == CODE128 else _gs1_128_pattern(text)


def _matrix(symbology: str, text: str) -> _Matrix:
    return qr_matrix(text) if symbology == QR else _data_matrix(symbology, text)


def modules(symbology: str, text: str) -> int:
    """Width of the symbol in modules, quiet zones included."""
    linear = symbology in LINEAR
    width = len(_pattern(symbology, text)) if linear else len(_matrix(symbology, text))
    return width + 2 * QUIET_MODULES[symbology]


def _stretches(line: Sequence[bool]) -> list[tuple[int, int]]:
    """Start and length of every stretch of dark modules."""
    found = []
    start = -1
    for at, dark in enumerate(line):
        if dark and start < 0:
            start = at
        elif not dark and start >= 0:
            found.append((start, at - start))
            start = -1
    return [*found, (start, len(line) - start)] if start >= 0 else found


def bars(symbology: str, text: str, area: Rect, module: int) -> tuple[Rect, ...]:
    """The black of a symbol in `area`, `module` dots a module, after the quiet zone at its left (and top)."""
    quiet = QUIET_MODULES[symbology] * module
    if symbology in LINEAR:
        return _pattern_bars(_pattern(symbology, text), area, area.x + quiet, module)
    return _matrix_bars(_matrix(symbology, text), area.x + quiet, area.y + quiet, module)


def code128_bars(text: str, area: Rect, module: int) -> tuple[Rect, ...]:
    """The bars of `text` in Code 128, as `bars` gives them."""
    return bars(CODE128, text, area, module)


def _pattern_bars(pattern: str, area: Rect, left: int, module: int) -> tuple[Rect, ...]:
    dark = [each == "1" for each in pattern]
    return tuple(
        Rect(left + at * module, area.y, length * module, area.height) for at, length in _stretches(dark)
    )


def _matrix_bars(matrix: _Matrix, left: int, top: int, module: int) -> tuple[Rect, ...]:
    """The dark modules joined along the rows, then along the columns.

    Rows alone would say it all, but in the PDF, where each rectangle is inset a tenth of a dot,
    they would leave hairlines between them; the columns cover these, and single modules in them too.
    """
    height = len(matrix)
    across = [
        Rect(left + at * module, top + row * module, length * module, module)
        for row, line in enumerate(matrix)
        for at, length in _stretches(line)
        if length > 1 or not ((row > 0 and matrix[row - 1][at]) or (row + 1 < height and matrix[row + 1][at]))
    ]
    down = [
        Rect(left + column * module, top + at * module, module, length * module)
        for column, line in enumerate(zip(*matrix, strict=True))
        for at, length in _stretches(line)
        if length > 1
    ]
    return tuple(across + down)
