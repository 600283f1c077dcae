"""How do labels of any layout go onto A4 paper, for a plant without a label printer?

As many of one size as the page holds, in rows, on plain paper to be cut or on sheets of stickers: a gap
between labels, places already peeled off, and an offset for a printer that puts its picture beside where
it should be. Everything stays in the whole dots it was drawn in, so bars are as exact as on a label.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from lotroot_printing.drawing import Drawing, DrawnSymbol, Rect, TextRun, dots, millimetres
from lotroot_printing.errors import FieldRefused
from lotroot_printing.fonts import ascent_dots

PAGE_MM = (210.0, 297.0)
"""A4 upright (ISO 216)."""

TICK_MM = 2.0
"""How far a mark for the knife reaches from a corner along the edges."""

MOST_OFFSET_MM = 20.0
"""More than this is a slip of the pen, not a printer out of line (ours)."""


@dataclass(frozen=True)
class Paper:
    """How labels lie on the page, in mm: `offset` right and down, `gap` across and down between labels.

    `skip` places at the head of the first page are left empty; `ticks` marks the corners for the knife.
    """

    offset: tuple[float, float] = (0.0, 0.0)
    gap: tuple[float, float] = (0.0, 0.0)
    skip: int = 0
    ticks: bool = True


@dataclass(frozen=True)
class _Grid:
    """Corners of the places on a page, in dots, and the size of one."""

    corners: tuple[tuple[int, int], ...]
    width: int
    height: int


def places(size: tuple[int, int], dpi: int, paper: Paper | None = None) -> int:
    """How many labels of a size in dots go on one page. Raises FieldRefused where none does."""
    return len(_grid(size, dpi, paper or Paper()).corners)


def pages_of_labels(labels: Sequence[Drawing], paper: Paper | None = None) -> tuple[Drawing, ...]:
    """The pages with these labels, row by row, in the order given.

    Raises FieldRefused for no label, labels of different sizes, one larger than the page, an offset that
    takes ink off the page, or a `skip` beyond the first page.
    """
    paper = paper or Paper()
    if not labels:
        raise _refused("there is no label", "none", "at least one label", "Choose labels and print again.")
    sizes = {(each.width, each.height, each.dpi) for each in labels}
    if len(sizes) > 1:
        found = ", ".join(f"{width} x {height} dots at {dpi} dpi" for width, height, dpi in sorted(sizes))
        raise _refused("its labels differ in size", found, "labels of one layout", "Print each by itself.")
    first = labels[0]
    grid = _grid((first.width, first.height), first.dpi, paper)
    if not 0 <= paper.skip < len(grid.corners):
        raise _refused(
            "so many places are not on the first page",
            str(paper.skip),
            f"0 to {len(grid.corners) - 1}",
            "Count the places that are empty already, or take a new sheet.",
        )
    laid = [*[None] * paper.skip, *labels]
    room = len(grid.corners)
    return tuple(_page(laid[at : at + room], grid, paper) for at in range(0, len(laid), room))


def _grid(size: tuple[int, int], dpi: int, paper: Paper) -> _Grid:
    """As many columns and rows as fit, in the middle of the page, then moved by the offset."""
    starts = []
    for page_mm, length, gap_mm, off in zip(PAGE_MM, size, paper.gap, paper.offset, strict=True):
        if gap_mm < 0 or abs(off) > MOST_OFFSET_MM:
            raise _refused(
                "its gap or offset is out of range",
                f"gap {gap_mm:g} mm, offset {off:g} mm",
                f"a gap of 0 or more, an offset of -{MOST_OFFSET_MM:g} to {MOST_OFFSET_MM:g} mm",
                "Measure how far the print lies beside the label, and enter that.",
            )
        page, gap = dots(page_mm, dpi), dots(gap_mm, dpi)
        count = (page + gap) // (length + gap)
        if not count:
            raise _refused(
                "a label is larger than the page",
                " x ".join(f"{millimetres(each, dpi):.0f}" for each in size) + " mm",
                "at most 210 x 297 mm",
                "Choose a smaller layout.",
            )
        first = (page - count * length - (count - 1) * gap) // 2 + _signed_dots(off, dpi)
        starts.append([first + at * (length + gap) for at in range(count)])
    corners = tuple((x, y) for y, x in product(starts[1], starts[0]))
    return _Grid(corners, *size)


def _signed_dots(mm: float, dpi: int) -> int:
    return dots(mm, dpi) if mm >= 0 else -dots(-mm, dpi)


def _page(labels: Sequence[Drawing | None], grid: _Grid, paper: Paper) -> Drawing:
    drawn = [(each, x, y) for each, (x, y) in zip(labels, grid.corners, strict=False) if each is not None]
    moved = [_moved(each, x, y) for each, x, y in drawn]
    dpi, title = moved[0].dpi, moved[0].title
    sheet = Rect(0, 0, dots(PAGE_MM[0], dpi), dots(PAGE_MM[1], dpi))
    for each in moved:
        _require_on(sheet, each, paper)
    ticks = [tick for _, x, y in drawn for tick in _ticks(x, y, grid, dpi)] if paper.ticks else []
    return Drawing(
        title,
        sheet.width,
        sheet.height,
        dpi,
        (*(fill for each in moved for fill in each.fills), *_on(sheet, dict.fromkeys(ticks))),
        tuple(symbol for each in moved for symbol in each.symbols),
        tuple(text for each in moved for text in each.texts),
    )


def _moved(label: Drawing, x: int, y: int) -> Drawing:
    """The label with its upper left corner at `x`, `y`."""
    return replace(
        label,
        fills=tuple(_shifted(each, x, y) for each in label.fills),
        symbols=tuple(_shifted_symbol(each, x, y) for each in label.symbols),
        texts=tuple(replace(each, x=each.x + x, baseline=each.baseline + y) for each in label.texts),
    )


def _shifted(area: Rect, x: int, y: int) -> Rect:
    return Rect(area.x + x, area.y + y, area.width, area.height)


def _shifted_symbol(symbol: DrawnSymbol, x: int, y: int) -> DrawnSymbol:
    bars = tuple(_shifted(each, x, y) for each in symbol.bars)
    return replace(symbol, area=_shifted(symbol.area, x, y), bars=bars)


def _require_on(sheet: Rect, label: Drawing, paper: Paper) -> None:
    """Refuse a label whose ink, quiet zones included, would be cut off at the edge of the paper."""
    inked = [*label.fills, *(each.area for each in label.symbols), *map(_box, label.texts)]
    if not all(sheet.holds(each) for each in inked):
        raise _refused(
            "part of a label would be off the paper",
            f"offset {paper.offset[0]:g}, {paper.offset[1]:g} mm",
            "an offset that leaves every label on the page",
            "Take a smaller offset, or a smaller layout.",
        )


def _box(run: TextRun) -> Rect:
    rise = ascent_dots(run.pitch)
    return Rect(run.x, run.baseline - rise, run.pitch * len(run.text), rise)


def _ticks(x: int, y: int, grid: _Grid, dpi: int) -> Iterator[Rect]:
    """One dot wide along both edges at each corner of a place: no bar and no letter stands there."""
    reach = dots(TICK_MM, dpi)
    for right, low in product((False, True), repeat=2):
        left, top = x + (grid.width if right else 0), y + (grid.height if low else 0)
        yield Rect(left - (reach if right else 0), top, reach, 1)
        yield Rect(left, top - (reach if low else 0), 1, reach)


def _on(sheet: Rect, ticks: Sequence[Rect] | dict[Rect, None]) -> Iterator[Rect]:
    """The marks that are on the page; where a label ends at the paper's edge there is nothing to cut."""
    return (each for each in ticks if sheet.holds(each))


def _refused(problem: str, value: str, expected: str, next_step: str) -> FieldRefused:
    return FieldRefused(
        f"Labels not put on A4: {problem}.", value=value, expected=expected, next_step=next_step
    )
