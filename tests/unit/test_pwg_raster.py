"""Is a label in PWG raster the label, to the dot, also for those who wrote the reader?"""

import random
import shutil
import subprocess
from pathlib import Path

import pytest
from lotroot_printing import png, raster
from lotroot_printing.compose import compose
from lotroot_printing.render import load_layouts
from PIL import Image, ImageChops
from source_tree import ROOT

LAYOUTS = load_layouts(ROOT / "templates" / "labels")
STOCK_FILTER = Path("/usr/lib/cups/filter/rastertopdf")


def drawn(name: str) -> Image.Image:
    return png.bitmap(compose(LAYOUTS[name], LAYOUTS[name].sample))


def as_picture(page: raster.Page) -> Image.Image:
    """What the lines of a page say, as a picture of black and white dots."""
    content = b"".join(page.lines)
    if page.kind == raster.SGRAY_8:
        return Image.frombytes("L", (page.width, page.height), content)
    return ImageChops.invert(Image.frombytes("1", (page.width, page.height), content).convert("L"))


def noise(width: int, height: int, seed: int) -> Image.Image:
    """Dots without any order: nothing for the packing to save."""
    dice = random.Random(seed)
    return Image.frombytes("1", (width, height), dice.randbytes((width + 7) // 8 * height))


@pytest.mark.parametrize("kind", [raster.BLACK_1, raster.SGRAY_8])
@pytest.mark.parametrize("name", ["coil", "lumber_end", "nail_box"])
def test_a_label_comes_back_dot_for_dot(name: str, kind: str) -> None:
    image = drawn(name)
    [page] = raster.decode(raster.encode([image], LAYOUTS[name].dpi, kind))
    assert (page.dpi, page.kind) == (LAYOUTS[name].dpi, kind)
    assert ImageChops.difference(as_picture(page), image.convert("L")).getbbox() is None


@pytest.mark.parametrize("width", [1, 7, 8, 9, 799, 1024, 2100])
@pytest.mark.parametrize("height", [1, 2, 257, 600])
def test_any_dots_of_any_size_come_back(width: int, height: int) -> None:
    for image in (noise(width, height, width * height), Image.new("1", (width, height), 1)):
        for kind in (raster.BLACK_1, raster.SGRAY_8):
            [page] = raster.decode(raster.encode([image], 203, kind))
            assert ImageChops.difference(as_picture(page), image.convert("L")).getbbox() is None


def test_a_block_of_labels_is_one_document_of_as_many_pages() -> None:
    images = [noise(80, 40, seed) for seed in range(5)]
    pages = raster.decode(raster.encode(images, 300))
    assert [as_picture(page).tobytes() for page in pages] == [
        image.convert("L").tobytes() for image in images
    ]


def test_equal_lines_are_written_once() -> None:
    assert len(raster.encode([Image.new("1", (800, 560), 1)], 203)) < 1796 + 50


def test_the_header_stands_where_the_standard_puts_it() -> None:
    """Offsets of PWG 5102.4, table 7 (from memory; the stock reader below is the outside check)."""
    content = raster.encode([Image.new("1", (799, 559), 1)], 203)
    assert content[:4] == b"RaS2"
    header = content[4 : 4 + 1796]
    assert header[:9] == b"PwgRaster"

    def word(at: int) -> int:
        return int.from_bytes(header[at : at + 4], "big")

    assert (word(276), word(280)) == (203, 203)  # HWResolution
    assert (word(352), word(356)) == (283, 198)  # PageSize in points
    assert (word(372), word(376)) == (799, 559)  # cupsWidth, cupsHeight
    assert (word(384), word(388), word(392)) == (1, 1, 100)  # bits a colour, bits a dot, bytes a line
    assert word(400) == 3  # cupsColorSpace: black
    assert word(420) == 1  # cupsNumColors


def test_what_is_no_raster_is_refused() -> None:
    with pytest.raises(ValueError, match="RaS2"):
        raster.decode(b"%PDF-1.4")


@pytest.mark.parametrize("kind", [raster.BLACK_1, raster.SGRAY_8])
def test_the_stock_filter_reads_the_same_dots(tmp_path: Path, kind: str) -> None:
    """cups-filters' rastertopdf puts the page's picture into a PDF; poppler takes it out as it is."""
    if not STOCK_FILTER.exists() or shutil.which("pdfimages") is None:
        pytest.skip("needs the stock raster filter: apt install cups-filters poppler-utils")
    names = ("lot", "coil", "pallet", "badge")
    images = [drawn(name) for name in names]
    for image in images:
        file = tmp_path / "labels.pwg"
        file.write_bytes(raster.encode([image, image], 203, kind))
        made = subprocess.run(
            [STOCK_FILTER, "1", "user", "labels", "1", "", file], check=True, capture_output=True
        )
        (tmp_path / "labels.pdf").write_bytes(made.stdout)
        subprocess.run(["pdfimages", "-png", tmp_path / "labels.pdf", tmp_path / "page"], check=True)
        for page in (tmp_path / "page-000.png", tmp_path / "page-001.png"):
            with Image.open(page) as found:
                # the filter turns grey 255 into 250 in its colour conversion; black stays black
                dots = found.convert("L").point(lambda value: 255 if value > 127 else 0)
                assert ImageChops.difference(dots, image.convert("L")).getbbox() is None
