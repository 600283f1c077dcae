"""What stands where on one page, in whole printer dots, before any file format?

A drawing is the one truth both the bitmap and the PDF are made of. All lengths are printer dots,
counted from the upper left corner, x to the right, y downwards; `dpi` says how large a dot is.
"""

import dataclasses
from dataclasses import dataclass, field

MM_PER_INCH = 25.4


@dataclass(frozen=True)
class Rect:
    """A rectangle of whole dots."""

    x: int
    y: int
    width: int
    height: int

    @property
    def right(self) -> int:
        """First dot column to the right of it."""
        return self.x + self.width

    @property
    def bottom(self) -> int:
        """First dot row below it."""
        return self.y + self.height

    def overlaps(self, other: "Rect") -> bool:
        """Whether the two share at least one dot."""
        across = self.x < other.right and other.x < self.right
        return across and self.y < other.bottom and other.y < self.bottom

    def moved(self, across: int, along: int) -> "Rect":
        """The same, so many dots further to the right and down."""
        return Rect(self.x + across, self.y + along, self.width, self.height)

    def holds(self, other: "Rect") -> bool:
        """Whether `other` lies wholly inside."""
        across = self.x <= other.x and other.right <= self.right
        return across and self.y <= other.y and other.bottom <= self.bottom


@dataclass(frozen=True)
class TextRun:
    """One line of text: every character `pitch` dots wide, standing on `baseline`."""

    text: str
    x: int
    baseline: int
    pitch: int
    bold: bool = False
    white: bool = False


@dataclass(frozen=True)
class DrawnSymbol:
    """A bar code: what a scanner sends of it, its area with quiet zones, the bars or modules to fill."""

    symbology: str
    text: str
    area: Rect
    bars: tuple[Rect, ...]


@dataclass(frozen=True)
class Drawing:
    """One page: black rectangles first, symbols, then text (black, or white on a rectangle)."""

    title: str
    width: int
    height: int
    dpi: int
    fills: tuple[Rect, ...] = ()
    symbols: tuple[DrawnSymbol, ...] = ()
    texts: tuple[TextRun, ...] = ()

    def moved(self, across: int, along: int) -> "Drawing":
        """The same, everything on it so many dots further to the right and down."""
        symbols = [
            dataclasses.replace(
                each,
                area=each.area.moved(across, along),
                bars=tuple(bar.moved(across, along) for bar in each.bars),
            )
            for each in self.symbols
        ]
        texts = [
            dataclasses.replace(run, x=run.x + across, baseline=run.baseline + along) for run in self.texts
        ]
        fills = tuple(each.moved(across, along) for each in self.fills)
        return dataclasses.replace(self, fills=fills, symbols=tuple(symbols), texts=tuple(texts))


@dataclass
class Pen:
    """Collects the parts of one drawing while it is composed."""

    fills: list[Rect] = field(default_factory=list)
    symbols: list[DrawnSymbol] = field(default_factory=list)
    texts: list[TextRun] = field(default_factory=list)

    def drawing(self, title: str, size: tuple[int, int], dpi: int) -> Drawing:
        """The finished, frozen drawing of `size` (width, height) dots."""
        parts = (tuple(self.fills), tuple(self.symbols), tuple(self.texts))
        return Drawing(title, size[0], size[1], dpi, *parts)


def dots(mm: float, dpi: int) -> int:
    """The whole number of printer dots nearest to `mm` millimetres."""
    return int(mm * dpi / MM_PER_INCH + 0.5)


def millimetres(count: float, dpi: int) -> float:
    """The length of `count` printer dots in millimetres."""
    return count * MM_PER_INCH / dpi


def edges(area: Rect, weight: int) -> list[Rect]:
    """The four edges of a frame, `weight` dots thick, without shared corners."""
    inner = area.height - 2 * weight
    return [
        Rect(area.x, area.y, area.width, weight),
        Rect(area.x, area.bottom - weight, area.width, weight),
        Rect(area.x, area.y + weight, weight, inner),
        Rect(area.right - weight, area.y + weight, weight, inner),
    ]
