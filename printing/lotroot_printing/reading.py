"""Does a finished bitmap really say what its symbols should?

Everything that prints is decoded again by zxing-cpp from its own dots. What a symbol is, its quiet
zones and how a decoder reports it stand here too, since writing and reading must agree on them.
"""

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

import zxingcpp
from PIL import Image

from lotroot_printing.errors import SymbolUnreadable

CODE128, GS1_128, QR, DATAMATRIX, GS1_DATAMATRIX = "code128", "gs1_128", "qr", "datamatrix", "gs1_datamatrix"

LINEAR = frozenset({CODE128, GS1_128})
"""Bars: read along one line, as high as their area; the others are squares of modules."""

GS1 = frozenset({GS1_128, GS1_DATAMATRIX})
"""Symbols that say GS1 element strings, and tell a scanner so."""

# ISO/IEC 15417 and GS1 General Specifications: 10; ISO/IEC 18004: 4; ISO/IEC 16022: 1.
QUIET_MODULES = {CODE128: 10, GS1_128: 10, QR: 4, DATAMATRIX: 1, GS1_DATAMATRIX: 1}

_FORMATS = {
    CODE128: zxingcpp.BarcodeFormat.Code128,
    GS1_128: zxingcpp.BarcodeFormat.Code128,
    QR: zxingcpp.BarcodeFormat.QRCode,
    DATAMATRIX: zxingcpp.BarcodeFormat.DataMatrix,
    GS1_DATAMATRIX: zxingcpp.BarcodeFormat.DataMatrix,
}

# The symbology identifier of ISO/IEC 15424 that a scanner may send ahead of the text.
_IDENTIFIED = {
    "]C0": CODE128,
    "]C1": GS1_128,
    "]Q0": QR,
    "]Q1": QR,
    "]d1": DATAMATRIX,
    "]d2": GS1_DATAMATRIX,
}


class ReadSymbol(NamedTuple):
    """A symbol as a scanner reports it: its kind, and the text sent; GS1 with its separators (1D hex)."""

    symbology: str
    text: str


def read(image: Image.Image, *symbologies: str, as_scanned: bool = False) -> list[ReadSymbol]:
    """Every symbol of the given kinds that a decoder finds in `image`, in sorted order.

    A GS1 symbol and a plain one are told apart by what they are, not by what was asked for. Read in its own
    dots and upright, as it was drawn: at a third of the dots good bars of four dots a module blur, and one
    number in 600 is seen as a second one that nobody printed. `as_scanned` looks smaller and turned too.
    """
    # Two colours need no guess at where black ends, which takes half of the time.
    exact = zxingcpp.Binarizer.FixedThreshold if image.mode == "1" else zxingcpp.Binarizer.LocalAverage
    found = zxingcpp.read_barcodes(
        image.convert("L"),
        binarizer=exact,
        formats=zxingcpp.BarcodeFormats([_FORMATS[each] for each in symbologies]),
        text_mode=zxingcpp.TextMode.Plain,
        try_invert=False,
        try_downscale=as_scanned,
        try_rotate=as_scanned,  # a label's symbols all stand upright; to look for others takes as long again
    )
    named = ((_IDENTIFIED.get(each.symbology_identifier, each.symbology_identifier), each) for each in found)
    return sorted(ReadSymbol(kind, each.bytes.decode("utf-8", "replace")) for kind, each in named)


def read_back(image: Image.Image, expected: Sequence[ReadSymbol]) -> list[ReadSymbol]:
    """Decode `image` and require exactly the `expected` symbols, as often as expected.

    Raises SymbolUnreadable naming what was read and what should have been.
    """
    kinds = sorted({each.symbology for each in expected})
    found = read(image, *kinds) if kinds else []
    if Counter(found) != Counter(expected):
        raise SymbolUnreadable(
            "The label was not printed: its symbols do not read back right.",
            value=", ".join(map(_told, found)) or "no symbol",
            expected=", ".join(map(_told, sorted(expected))),
            next_step="Print again; if it happens again, show this message to whoever keeps the layouts.",
        )
    return found


def _told(symbol: ReadSymbol) -> str:
    return f"{symbol.symbology} {symbol.text}".replace("\x1d", "<GS>")
