"""How does a caller get a label or a sheet it can rely on?

The package's door: a layout is loaded and checked; layout and fields give PNG and PDF bytes; and
nothing leaves before every symbol was decoded from the finished bitmap and says what it should.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from PIL import Image

from lotroot_printing import png
from lotroot_printing.checks import check
from lotroot_printing.compose import compose
from lotroot_printing.drawing import Drawing
from lotroot_printing.errors import LayoutRefused, PrintingError
from lotroot_printing.forms import Form, form_pages
from lotroot_printing.layout import Layout
from lotroot_printing.layout_file import read_layout_file
from lotroot_printing.pdf import pdf
from lotroot_printing.sheets import Sheet, pages
from lotroot_printing.symbols import ReadSymbol, read_back
from lotroot_printing.trial import Trial, trial_pages


@dataclass(frozen=True)
class Rendered:
    """One label: both files, and its symbols as read back from the final bitmap."""

    png: bytes
    pdf: bytes
    symbols: tuple[ReadSymbol, ...]


@dataclass(frozen=True)
class RenderedSheet:
    """A sheet: one PDF, its pages as PNG, and all symbols as read back, in page order."""

    pdf: bytes
    pages: tuple[bytes, ...]
    symbols: tuple[ReadSymbol, ...]


def load_layout(path: Path, dpi: int | None = None) -> Layout:
    """The layout in the TOML file at `path` for printers of `dpi`, or at its first resolution.

    It is checked at every resolution it names. Raises LayoutRefused, also when the layout's own sample does
    not make a label, or when it is not made for `dpi`.
    """
    layouts = read_layout_file(path)
    for layout in layouts.values():
        _check_whole(layout)
    first = next(iter(layouts.values()))
    if dpi is None:
        return first
    if dpi not in layouts:
        raise LayoutRefused(
            f"Layout {first.name} is not made for a printer of {dpi} dots an inch.",
            value=f"{dpi} dpi",
            expected=" or ".join(f"{each} dpi" for each in layouts),
            next_step="Print on a printer of such a resolution, or add this one to the layout file.",
        )
    return layouts[dpi]


def _check_whole(layout: Layout) -> None:
    """Refuse a layout that cannot give good labels, or whose own sample makes none."""
    check(layout)
    try:
        compose(layout, layout.sample)
    except PrintingError as error:
        raise LayoutRefused(
            f"Layout {layout.name}: its own sample makes no label at {layout.dpi} dpi. {error.what}",
            value=error.value,
            expected=error.expected,
            next_step="Correct the layout file and load it again.",
        ) from error


def load_layouts(folder: Path) -> dict[str, Layout]:
    """Every checked layout in `folder` (*.toml), by name, each at its first resolution."""
    return {layout.name: layout for layout in map(load_layout, sorted(folder.glob("*.toml")))}


def render(layout: Layout, fields: Mapping[str, str]) -> Rendered:
    """The label of `layout` with `fields`.

    Raises FieldRefused or GlyphMissing if the fields make no label, SymbolUnreadable if a symbol
    does not read back equal from the final bitmap.
    """
    drawing = compose(layout, fields)
    image = png.bitmap(drawing)
    expected = [ReadSymbol(each.symbology, each.text) for each in drawing.symbols]
    return Rendered(png.encode(image, drawing.dpi), pdf([drawing]), tuple(read_back(image, expected)))


def render_sheet(sheet: Sheet) -> RenderedSheet:
    """The A4 pages of `sheet`; every symbol is read back from its place on the page."""
    return _rendered(pages(sheet))


def render_form(form: Form) -> RenderedSheet:
    """The pages of `form`; every symbol is read back from its place on the page."""
    return _rendered(form_pages(form))


def render_trial(trial: Trial) -> RenderedSheet:
    """The page of `trial`; every symbol is read back from its place on the page."""
    return _rendered(trial_pages(trial))


def _rendered(drawings: tuple[Drawing, ...]) -> RenderedSheet:
    encoded: list[bytes] = []
    read: list[ReadSymbol] = []
    for drawing in drawings:  # one page at a time: each takes megabytes until it is encoded
        image = png.bitmap(drawing)
        read += _read_places(drawing, image)
        encoded.append(png.encode(image, drawing.dpi))
    return RenderedSheet(pdf(drawings), tuple(encoded), tuple(read))


def _read_places(drawing: Drawing, image: Image.Image) -> list[ReadSymbol]:
    """Read every symbol from its own area, quiet zones included, and nothing beside it."""
    found: list[ReadSymbol] = []
    for each in drawing.symbols:
        area = (each.area.x, each.area.y, each.area.right, each.area.bottom)
        found += read_back(image.crop(area), [ReadSymbol(each.symbology, each.text)])
    return found
