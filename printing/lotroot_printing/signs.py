"""What do the signs for cautions look like, in whole dots?

Small drawings of our own, plain enough for a thermal printer at 10 mm; none is taken from a standard, and
none stands for one: the words beside it say what to do. A sign is a few filled shapes, black and then
white over black, on a square of 100 by 100.
"""

import functools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lotroot_printing.drawing import Rect

SIDE = 100.0

_Point = tuple[float, float]
_Span = tuple[float, float]


@dataclass(frozen=True)
class _Shape:
    """A filled outline; `ink` is black, without it the shape clears what lies below."""

    outline: tuple[_Point, ...]
    ink: bool = True

    def spans(self, y: float) -> list[_Span]:
        """Where the line at `y` lies inside, from left to right (even-odd)."""
        crossings = sorted(
            x0 + (y - y0) * (x1 - x0) / (y1 - y0)
            for (x0, y0), (x1, y1) in zip(self.outline, self.outline[1:] + self.outline[:1], strict=True)
            if (y0 <= y) != (y1 <= y)
        )
        return list(zip(crossings[::2], crossings[1::2], strict=True))


def _polygon(*points: _Point, ink: bool = True) -> _Shape:
    return _Shape(points, ink)


def _ellipse(x: float, y: float, across: float, down: float, *, ink: bool = True) -> _Shape:
    """Half-axes `across` and `down`."""
    turns = [2 * math.pi * step / 96 for step in range(96)]
    return _Shape(tuple((x + across * math.cos(turn), y + down * math.sin(turn)) for turn in turns), ink)


def _stroke(start: _Point, end: _Point, width: float, *, ink: bool = True) -> _Shape:
    """A line with round ends."""
    (x0, y0), (x1, y1) = start, end
    along = math.atan2(y1 - y0, x1 - x0)
    half = [math.pi / 2 + math.pi * step / 24 for step in range(25)]
    caps = [(x0, y0, along + turn) for turn in half] + [(x1, y1, along + math.pi + turn) for turn in half]
    return _Shape(
        tuple((x + width / 2 * math.cos(turn), y + width / 2 * math.sin(turn)) for x, y, turn in caps), ink
    )


def _blob(*points: _Point, ink: bool = True) -> _Shape:
    """A smooth outline through the points (Catmull-Rom)."""
    count, found = len(points), []
    for index in range(count):
        before, start, end, after = (points[(index + step) % count] for step in (-1, 0, 1, 2))
        for part in (step / 12 for step in range(12)):
            found.append(tuple(_between(part, *each) for each in zip(before, start, end, after, strict=True)))
    return _Shape(tuple((x, y) for x, y in found), ink)


def _between(part: float, before: float, start: float, end: float, after: float) -> float:
    slope, bend = end - before, 2 * before - 5 * start + 4 * end - after
    return start + part / 2 * (slope + part * (bend + part * (3 * (start - end) + after - before)))


def _rounded(corners: Sequence[_Point], width: float, *, ink: bool = True) -> list[_Shape]:
    """A polygon with a rounded edge `width` wide around it."""
    ends = [*corners[1:], corners[0]]
    edges = [_stroke(start, end, width, ink=ink) for start, end in zip(corners, ends, strict=True)]
    return [_Shape(tuple(corners), ink), *edges]


def _general_caution() -> Iterable[_Shape]:
    yield from _rounded([(50, 11), (94, 89), (6, 89)], 10)
    yield from _rounded([(50, 23), (83, 82), (17, 82)], 4, ink=False)
    yield from _rounded([(45, 39), (55, 39), (52, 61), (48, 61)], 5)
    yield _ellipse(50, 73, 6, 6)


def _gloves() -> Iterable[_Shape]:
    for x, top in ((23, 22), (36.5, 11), (50, 13), (63, 24)):
        yield _stroke((x, top), (x + (43 - x) * 0.1, 58), 11.5)
    yield _blob((17, 48), (43, 44), (69, 48), (67, 64), (59, 74), (27, 74), (19, 64))
    yield _stroke((81, 45), (61, 66), 12)
    yield from _rounded([(27, 83), (59, 83), (61, 93), (25, 93)], 6)


def _no_burning() -> Iterable[_Shape]:
    yield _blob(
        (48, 3), (60, 20), (69, 33), (75, 22), (86, 46), (80, 68), (64, 80), (50, 82), (34, 80), (18, 67),
        (14, 47), (25, 29), (33, 38), (40, 24),
    )  # fmt: skip
    yield _blob((51, 44), (60, 58), (58, 70), (50, 74), (42, 70), (40, 58), ink=False)
    for start, end in (((16, 88), (84, 96)), ((16, 96), (84, 88))):
        yield _stroke(start, end, 7)
    yield _stroke((8, 92), (92, 8), 20, ink=False)
    yield _stroke((8, 92), (92, 8), 10)


def _face() -> Iterable[_Shape]:
    yield _ellipse(50, 50, 38, 45)
    yield _ellipse(50, 50, 31.5, 38.5, ink=False)


def _dust_mask() -> Iterable[_Shape]:
    yield from _face()
    for x in (37, 63):
        yield _ellipse(x, 36, 4.5, 4.5)
    for side in (-1, 1):
        yield _stroke((50 + side * 24, 54), (50 + side * 37, 43), 5)
        yield _stroke((50 + side * 22, 76), (50 + side * 34, 68), 5)
    yield from _rounded([(32, 54), (50, 47), (68, 54), (66, 76), (50, 83), (34, 76)], 8)
    for y in (58, 68):
        yield _stroke((36, y), (64, y), 3.6, ink=False)


def _goggles() -> Iterable[_Shape]:
    yield from _face()
    yield _stroke((14, 40), (86, 40), 9)
    for x in (35, 65):
        yield _ellipse(x, 42, 17, 15)
        yield _ellipse(x, 42, 10.5, 8.5, ink=False)
    yield _stroke((38, 73), (62, 73), 6)


def _sharp_points() -> Iterable[_Shape]:
    for x, top in ((20, 30), (50, 5), (80, 30)):
        yield _polygon((x, top), (x + 6.5, top + 24), (x + 6.5, 88), (x - 6.5, 88), (x - 6.5, top + 24))
        yield _stroke((x - 9, 91), (x + 9, 91), 9)


_SIGNS = {
    "general caution": _general_caution,
    "gloves": _gloves,
    "no burning": _no_burning,
    "dust mask": _dust_mask,
    "goggles": _goggles,
    "sharp points": _sharp_points,
}

NAMES = tuple(_SIGNS)


def sign_dots(name: str, area: Rect) -> tuple[Rect, ...]:
    """The black of a sign in the middle of `area`, as large as fits."""
    side = min(area.width, area.height)
    left, top = area.x + (area.width - side) // 2, area.y + (area.height - side) // 2
    return tuple(Rect(left + each.x, top + each.y, each.width, each.height) for each in _drawn(name, side))


@functools.cache
def _drawn(name: str, side: int) -> tuple[Rect, ...]:
    """The dots whose middle is black, on a square of `side` dots, joined along the rows and the columns.

    Both, since the PDF insets each rectangle a little: the ones cover the hairlines between the others.
    """
    rows = [_row(list(_SIGNS[name]()), row, side) for row in range(side)]
    columns = [_runs([line[column] for line in rows]) for column in range(side)]
    across = _stacked([_runs(line) for line in rows])
    down = _stacked(columns)
    lying = [Rect(start, at, length, depth) for at, depth, start, length in across]
    return (*lying, *(Rect(at, start, depth, length) for at, depth, start, length in down if length > 1))


def _row(shapes: Iterable[_Shape], row: int, side: int) -> list[bool]:
    line = [False] * side
    for shape in shapes:
        for start, end in shape.spans((row + 0.5) * SIDE / side):
            first, last = (math.ceil(edge * side / SIDE - 0.5) for edge in (start, end))
            first, last = max(0, first), min(side, last)
            line[first:last] = [shape.ink] * max(0, last - first)
    return line


def _runs(line: Sequence[bool]) -> list[tuple[int, int]]:
    """Start and length of each stretch of black."""
    found, start = [], -1
    for at, black in enumerate([*line, False]):
        if black and start < 0:
            start = at
        elif not black and start >= 0:
            found.append((start, at - start))
            start = -1
    return found


def _stacked(lines: Sequence[Sequence[tuple[int, int]]]) -> list[tuple[int, int, int, int]]:
    """Line, number of lines, start and length: the same stretch in lines on end is one rectangle."""
    found: dict[tuple[int, int], int] = {}
    done = []
    for at, line in enumerate([*lines, ()]):
        for run in [run for run in found if run not in line]:
            done.append((found[run], at - found.pop(run), *run))
        for run in line:
            found.setdefault(run, at)
    return done
