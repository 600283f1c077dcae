"""What tests measure on rendered labels: dots of the PNG, dots of the PDF as a printer would see it."""

import io
import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pypdfium2
from lotroot_printing.drawing import Rect
from lotroot_printing.layout import Layout
from lotroot_printing.render import load_layout, load_layouts
from PIL import Image

FOLDER = Path(__file__).parents[1] / "templates" / "labels"
LAYOUTS: dict[str, Layout] = load_layouts(FOLDER)
AT: dict[tuple[str, int], Layout] = {
    (name, dpi): load_layout(FOLDER / f"{name}.toml", dpi)
    for name, layout in LAYOUTS.items()
    for dpi in layout.resolutions
}

# Lot-length and item-length numbers; the last two digits are ISO/IEC 7064 MOD 97-10 check digits.
LOT = {"number": "R2600012383", "shown": "R26-000123-83"}
ITEM = {"number": "R2600012383001720", "shown": "R26-000123-83-0017-20"}

# Carriers and shipments have lot-length numbers only; their labels are read from two metres away.
FROM_TWO_METRES = ("pallet", "shipment")
# So has the pallet whose lowest third is its SSCC, and the pack on whose boards end tags are stapled.
LOT_LENGTH = (*FROM_TWO_METRES, "pallet_gs1", "lumber_end")


def plain(layout: Layout, number: dict[str, str]) -> dict[str, str]:
    """The layout's sample with this number, without copy, demo and hold."""
    kept = {name: text for name, text in layout.sample.items() if name not in ("copy", "demo", "held")}
    return {**kept, **{name: text for name, text in number.items() if name in layout.fields}}


def png_image(data: bytes) -> Image.Image:
    """The PNG as a grey picture; its own mode must be one bit."""
    with Image.open(io.BytesIO(data)) as image:
        assert image.mode == "1"
        return image.convert("L")


def pdf_images(data: bytes, dpi: int) -> list[Image.Image]:
    """The PDF's pages rasterised at `dpi`, black or white."""
    with _opened(data) as document:
        pages = [document[index] for index in range(len(document))]
        return [_raster(page, dpi) for page in pages]


def pdf_text(data: bytes) -> str:
    """All text of the PDF."""
    with _opened(data) as document:
        texts = []
        for index in range(len(document)):
            page = document[index]
            text = page.get_textpage()
            texts.append(text.get_text_bounded())
            text.close()
            page.close()
    return "\n".join(texts)


@contextmanager
def _opened(data: bytes) -> Iterator[pypdfium2.PdfDocument]:
    document = pypdfium2.PdfDocument(data)
    try:
        yield document
    finally:
        document.close()


def _raster(page: pypdfium2.PdfPage, dpi: int) -> Image.Image:
    grey = page.render(scale=dpi / 72).to_pil().convert("L")
    page.close()
    return grey.point(lambda value: 255 if value >= 128 else 0)


def crop(image: Image.Image, area: Rect) -> Image.Image:
    """The part of the picture inside `area`."""
    return image.crop((area.x, area.y, area.right, area.bottom))


def runs(image: Image.Image, row: int) -> list[tuple[bool, int]]:
    """Stretches of one row, from left to right: dark or not, and how many dots."""
    line = [value < 128 for value in crop(image, Rect(0, row, image.width, 1)).tobytes()]
    return [(dark, len(list(group))) for dark, group in itertools.groupby(line)]


def dark_rows(image: Image.Image) -> list[int]:
    """Heights, in dots, of the stretches of rows that hold ink."""
    inked = [b"\x00" in crop(image, Rect(0, y, image.width, 1)).tobytes() for y in range(image.height)]
    return [len(list(group)) for dark, group in itertools.groupby(inked) if dark]
