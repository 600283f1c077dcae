"""Does every label say what was meant, dot for dot, in the bitmap and in the PDF as printers raster it?

Some labels of every layout at 203 and 300 dpi by default; with LOTROOT_CI=1 5,000 at all resolutions, and 300
pages in pdfium and in poppler. The decoder is asked in its own ways here, not as the program asks it.
"""

import os
import random
import re
import subprocess
import sys

import pytest
import zxingcpp
from label_pictures import AT, crop, png_image
from labels_at_random import Meant, a_label, drawn
from lotroot.labelling.rendering import Finished
from lotroot_printing import png
from lotroot_printing.drawing import DrawnSymbol, Rect
from lotroot_printing.layout import Layout
from lotroot_printing.pdf import pdf
from lotroot_printing.symbols import QUIET_MODULES, code128_pattern, modules
from PIL import Image
from rasters import RASTERS
from source_tree import ROOT

SLOW = pytest.mark.in_ci  # a label of 600 dpi takes ten times one of 203
OFTEN = ("coil", "lumber_end", "nail_box", "pallet_gs1", "stripper")
KEYS = pytest.mark.parametrize(
    "key",
    [
        pytest.param(key, marks=SLOW if key[1] > 300 or key[0] not in OFTEN else (), id=f"{key[0]}-{key[1]}")
        for key in AT
    ],
)
DPI = pytest.mark.parametrize(
    "dpi", [pytest.param(dpi, marks=SLOW if dpi > 300 else ()) for dpi in sorted({dpi for _, dpi in AT})]
)
PAGES = {"pdfium": 300, "poppler": 300, "poppler in grey": 60, "Ghostscript": 60}
FORMATS = [
    zxingcpp.BarcodeFormat.Code128,
    zxingcpp.BarcodeFormat.QRCode,
    zxingcpp.BarcodeFormat.DataMatrix,
]
# Turned as well, where it does not take half a minute: nothing on a label may read as something else.
TURNED = {"formats": FORMATS, "try_downscale": False}
UPRIGHT = {**TURNED, "try_rotate": False}


def often(thorough: bool, all_told: int, few: int, parts: int) -> int:
    """How many of so many labels each part has to try."""
    return -(-(all_told if thorough else few) // parts)


def expected_row(symbol: DrawnSymbol) -> bytes:
    """One row of dots through the bars, quiet zones included, worked out from the encoder's pattern."""
    module, spare = divmod(symbol.area.width, modules(symbol.symbology, symbol.text))
    assert spare == 0
    assert module >= 2
    quiet = "0" * QUIET_MODULES["code128"]
    return bytes(
        0 if each == "1" else 255
        for each in quiet + code128_pattern(symbol.text) + quiet
        for _ in range(module)
    )


def bars_are_exact(image: Image.Image, symbols: tuple[DrawnSymbol, ...]) -> bool:
    """Is every row through every Code 128 of the picture the pattern times whole dots?"""
    linear = [each for each in symbols if each.symbology == "code128"]
    assert linear
    for each in linear:
        row, area = expected_row(each), each.area
        rows = (area.y, area.y + area.height // 2, area.bottom - 1)
        if any(crop(image, Rect(area.x, y, area.width, 1)).tobytes() != row for y in rows):
            return False
    return True


def _side(label: Finished) -> str:
    """Which side it says it is for, if any."""
    return next((run.text for run in label.drawing.texts if re.search(r"\b\d of \d$", run.text)), "")[-6:]


def _sides(layout: Layout) -> list[str]:
    return ["1 of 2", "2 of 2"] if layout.sides == 2 else [""]


def said(found: list[zxingcpp.Barcode]) -> dict[str, set[str]]:
    """The texts by the symbology identifier ahead of them; where GS1 elements end is not asked here."""
    texts: dict[str, set[str]] = {}
    for each in found:
        kind = "]Q1" if each.symbology_identifier == "]d1" else each.symbology_identifier
        kind = "]C1" if kind == "]d2" else kind
        texts.setdefault(kind, set()).add(each.bytes.decode().replace("\x1d", ""))
    return texts


def gs1(meant: Meant) -> dict[str, set[str]]:
    return {"]C1": set(meant.elements)} if meant.elements else {}


@KEYS
def test_each_label_says_what_was_meant_in_bars_of_whole_dots(key: tuple[str, int], thorough: bool) -> None:
    chance = random.Random(f"labels {key}")
    for turn in range(often(thorough, 5000, 200, len(AT))):
        meant = a_label(chance, key)
        sides = drawn(meant, key[1])
        assert [_side(side) for side in sides] == _sides(AT[key])
        for side in sides:
            image = side.bitmap.convert("L")
            if turn % 10 == 0:  # a picture file keeps every dot, whatever the dots say
                assert png_image(png.encode(side.bitmap, key[1])).tobytes() == image.tobytes()
            assert image.size == (AT[key].width, AT[key].height)
            found = zxingcpp.read_barcodes(image, **(TURNED if key[1] <= 300 else UPRIGHT))
            assert said(found) == {"]C0": {meant.bars}, "]Q1": {meant.square}} | gs1(meant)
            assert bars_are_exact(image, side.drawing.symbols)


@DPI
@pytest.mark.parametrize("raster", RASTERS)
def test_the_pdf_has_the_same_symbols_dot_for_dot(raster, dpi, tmp_path, thorough):
    chance = random.Random(f"pages {dpi}")
    keys = [key for key in AT if key[1] == dpi][:: 1 if thorough else 4]
    each_key = often(thorough, PAGES[raster], 1, len(AT))
    labels = [side for key in keys for _ in range(each_key) for side in drawn(a_label(chance, key), dpi)]
    for first in range(0, len(labels), 40):  # at 600 dpi a page is 8 MB of dots
        batch = labels[first : first + 40]
        pages = RASTERS[raster](pdf([each.drawing for each in batch]), dpi, tmp_path)
        assert len(pages) == len(batch)
        for page, label in zip(pages, batch, strict=True):
            whole = label.bitmap.convert("L")
            assert page.size == whole.size
            assert bars_are_exact(page, label.drawing.symbols)
            for symbol in label.drawing.symbols:
                assert crop(page, symbol.area).tobytes() == crop(whole, symbol.area).tobytes()
            found = zxingcpp.read_barcodes(page, **UPRIGHT)
            assert set.union(*said(found).values()) == {text.replace("\x1d", "") for text in label.texts}


@SLOW
def test_another_process_makes_the_same_pdf_to_the_byte():
    # Where an order came from a hash, another seed would change it.
    code = (
        "import hashlib, sys; sys.path[:0] = sys.argv[1:]\n"
        "from label_pictures import LAYOUTS; from lotroot_printing.render import render\n"
        "for name in sorted(LAYOUTS):\n"
        "    print(name, hashlib.sha256(render(LAYOUTS[name], LAYOUTS[name].sample).pdf).hexdigest())"
    )
    said = [
        subprocess.run(
            [sys.executable, "-c", code, *(str(ROOT / folder) for folder in ("trace", "printing", "tests"))],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
            timeout=120,
        ).stdout
        for seed in ("1", "2")
    ]
    assert said[0] == said[1]
    assert said[0].count(b"\n") == len({name for name, _ in AT})
