"""How is the picture of a lineage drawn: which shape has a kind, how wide is a strand, what does it say?

An SVG of plain shapes, words and links; colours and line styles stand in picture.css. What a shape says is
also said in words, and a held lot has a mark and the word.
"""

import textwrap
from collections.abc import Mapping
from decimal import Decimal
from typing import NamedTuple

from markupsafe import Markup

from lotroot.papers.charts import Box, Chart, Elbow
from lotroot.tracing.folding import Node, Strand
from lotroot.tracing.layers import Place, places
from lotroot.tracing.picture import Picture
from lotroot.tracing.words import Words

WIDTH, HEIGHT = 196, 78
ACROSS, DOWN = 56, 22
EDGE = 24
THIS = "this"
"""The asked node, the first of several: the browser scrolls to it where an address ends in this."""
THIN, THICK = 1.5, 12.0
BOLD, PLAIN, MOST_LINES, STEP = 16, 18, 3, 19
"""Letters of a node's name and of its words in a line, so that the widest usual face stays inside; lines, and
the px from one to the next. The whole of it is in the node's title.
"""
_CUT = 14

_SHAPES: Mapping[str, tuple[tuple[int, int], ...]] = {
    # corners as they stand in from the box: x from the left (negative: from the right), y from the top
    "C": ((_CUT, 0), (-_CUT, 0), (-1, HEIGHT // 2), (-_CUT, HEIGHT), (_CUT, HEIGHT), (0, HEIGHT // 2)),
    "S": ((_CUT, 0), (-1, 0), (-_CUT, HEIGHT), (0, HEIGHT)),
    "R": (
        (_CUT, 0),
        (-_CUT, 0),
        (-1, _CUT),
        (-1, HEIGHT - _CUT),
        (-_CUT, HEIGHT),
        (_CUT, HEIGHT),
        (0, HEIGHT - _CUT),
        (0, _CUT),
    ),
    "N": ((0, 0), (-_CUT, 0), (-1, _CUT), (-1, HEIGHT), (0, HEIGHT)),
    "G": ((0, 0), (-1, 0), (-_CUT, HEIGHT // 2), (-1, HEIGHT), (0, HEIGHT), (_CUT, HEIGHT // 2)),
    "F": ((_CUT, 0), (-_CUT, 0), (-1, HEIGHT), (0, HEIGHT)),
    "L": ((0, 0), (-1, 0), (-1, HEIGHT), (0, HEIGHT)),
    "K": ((0, 0), (-1, 0), (-_CUT, HEIGHT), (_CUT, HEIGHT)),
    "D": ((0, 0), (-_CUT, 0), (-1, HEIGHT // 2), (-_CUT, HEIGHT), (0, HEIGHT)),
}


Spot = tuple[int, int]
"""The left upper corner of a node."""


class Laid(NamedTuple):
    """Where everything of a picture stands, in px: the size, the left upper corners, the widest strands."""

    wide: int
    high: int
    spots: Mapping[str, Spot]
    most: Mapping[str, int]


def laid(found: Picture) -> Laid:
    """The places of a picture's nodes; columns stand in the middle of its height."""
    where = places([node.key for node in found.nodes], [(one.start, one.end) for one in found.strands])
    columns = max((place.column for place in where.values()), default=0) + 1
    rows = max((place.row for place in where.values()), default=0) + 1
    wide = 2 * EDGE + columns * WIDTH + (columns - 1) * ACROSS
    high = 2 * EDGE + rows * HEIGHT + (rows - 1) * DOWN
    counts = _counts(where)
    spots = {key: _spot(place, counts[place.column], high) for key, place in where.items()}
    return Laid(wide, high, spots, _most(found.strands))


def svg(found: Picture, words: Words, unfold: str = "") -> Markup:
    """The picture; `unfold` is what stands in the addresses of the folds shown whole so far."""
    place = laid(found)
    title = f"The lineage of {words.called(found.asked.number)}, raw material on the left"
    head = Markup('<svg class="lineage" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {0} {1}" ')
    more = Markup('width="{0}" height="{1}" role="group" aria-label="{2}">')
    parts = [head.format(place.wide, place.high) + more.format(place.wide, place.high, title)]
    parts += [_strand(one, place) for one in found.strands]
    page = (found.asked.number, unfold)
    asked = next((node.key for node in found.nodes if node.asked), "")
    for node in found.nodes:
        name = THIS if node.key == asked else ""
        parts.append(_node(node, place.spots[node.key], words, page, name))
    return Markup("\n").join([*parts, Markup("</svg>")])


def chart(found: Picture, words: Words) -> Chart:
    """The same for a page that is printed."""
    place = laid(found)
    boxes = [
        Box(*place.spots[node.key], WIDTH, HEIGHT, _box_lines(node, words), node.asked or node.held)
        for node in found.nodes
    ]
    elbows = [
        Elbow(*_ends(one, place), float(_width(one, place)), _turn(place.spots[one.start], place))
        for one in found.strands
    ]
    title = f"The lineage of {words.called(found.asked.number)}"
    return Chart(title, place.wide, place.high, tuple(boxes), tuple(elbows))


def _turn(start: Spot, place: Laid) -> float:
    """Where a printed strand turns: each node of a column has a lane of its own; none run together."""
    column = sorted(top for left, top in place.spots.values() if left == start[0])
    return (column.index(start[1]) + 1) * ACROSS / (len(column) + 1)


def _box_lines(node: Node, words: Words) -> tuple[str, ...]:
    amounts = " and ".join(words.amount(each, unit) for unit, each in sorted(node.amounts.items()))
    marks = _marks(node)
    return node.title, node.words, f"{amounts} {marks}".strip()


def _spot(place: Place, rows: int, high: int) -> Spot:
    """Columns stand in the middle of the picture's height."""
    top = (high - (rows * HEIGHT + (rows - 1) * DOWN)) // 2
    return EDGE + place.column * (WIDTH + ACROSS), top + place.row * (HEIGHT + DOWN)


def _counts(where: Mapping[str, Place]) -> dict[int, int]:
    counts: dict[int, int] = {}
    for place in where.values():
        counts[place.column] = max(counts.get(place.column, 0), place.row + 1)
    return counts


def _most(strands: tuple[Strand, ...]) -> dict[str, int]:
    """The greatest amount of each stream: its strand is the widest."""
    most: dict[str, int] = {}
    for one in strands:
        most[one.stream] = max(most.get(one.stream, 0), one.given)
    return most


def _ends(one: Strand, place: Laid) -> tuple[Spot, Spot]:
    """From the middle of a node's right side to the middle of the other's left."""
    (left, top), (right, bottom) = place.spots[one.start], place.spots[one.end]
    return (left + WIDTH, top + HEIGHT // 2), (right, bottom + HEIGHT // 2)


def _width(one: Strand, place: Laid) -> Decimal:
    part = one.given / place.most[one.stream] if place.most[one.stream] else 0.0
    return Decimal(THIN + (THICK - THIN) * part).quantize(Decimal("0.1"))


def _strand(one: Strand, place: Laid) -> Markup:
    begin, end = _ends(one, place)
    bend = max((end[0] - begin[0]) // 2, ACROSS // 2)
    path = f"M{begin[0]} {begin[1]}C{begin[0] + bend} {begin[1]} {end[0] - bend} {end[1]} {end[0]} {end[1]}"
    return Markup('<path class="strand" d="{}" stroke-width="{}"/>').format(path, _width(one, place))


def _marks(node: Node) -> str:
    marks = ["held" if node.held else "", "this" if node.asked else "", "no parent" if node.gap else ""]
    return ", ".join(one for one in marks if one).upper()


def _node(node: Node, spot: Spot, words: Words, page: tuple[str, str], name: str) -> Markup:
    looks = " ".join(["node", *(name for name in ("held", "asked", "gap", "folded") if getattr(node, name))])
    said = said_of(node, words)
    x, y = spot
    written = _written(node)
    first = y + (HEIGHT - STEP * (len(written) - 1)) // 2 + 5
    lines = [
        Markup('<text class="{}" x="{}" y="{}">{}</text>').format(style, x + 22, first + STEP * row, text)
        for row, (style, text) in enumerate(written)
    ]
    mark = _marks(node)
    if mark:
        lines.append(Markup('<text class="mark" x="{}" y="{}">{}</text>').format(x + 22, y - 5, mark))
    anchor = Markup(' id="{}"').format(name) if name else ""
    return Markup(
        '<a{} class="{}" href="{}" aria-label="{}"><title>{}</title><polygon points="{}"/>{}</a>'
    ).format(anchor, looks, _address(node, page), said, said, _corners(node, spot), Markup("").join(lines))


def said_of(node: Node, words: Words) -> str:
    """All that is known of a node, in words."""
    amounts = " and ".join(words.amount(amount, unit) for unit, amount in sorted(node.amounts.items()))
    marks = [("held", node.held), ("no parent is recorded", node.gap), ("asked for", node.asked)]
    parts = [node.title, node.words, amounts, *(text for text, there in marks if there)]
    parts.append("shows them one by one" if node.folded else "")
    return ", ".join(part for part in parts if part)


def _address(node: Node, page: tuple[str, str]) -> str:
    number, unfold = page
    if node.folded:
        return f"/lots/{number}/picture?unfold={','.join(one for one in (unfold, node.key) if one)}"
    return f"/lots/{node.key}/picture#{THIS}"


def _corners(node: Node, spot: Spot) -> str:
    x, y = spot
    shape = _SHAPES.get(node.letter, _SHAPES["L"])
    points = []
    for dx, dy in shape:
        across = WIDTH + dx + (dx == -1) if dx < 0 else dx
        points.append(f"{x + across},{y + dy}")
    return " ".join(points)


def _written(node: Node) -> list[tuple[str, str]]:
    """What is written in a node, line by line, each with its style."""
    name = _wrapped(node.title, BOLD, 2)
    words = _wrapped(node.words, PLAIN, MOST_LINES - len(name))
    return [("number", text) for text in name] + [("words", text) for text in words]


def _wrapped(text: str, letters: int, lines: int) -> list[str]:
    return textwrap.wrap(text, letters, max_lines=lines, placeholder=" …", break_on_hyphens=False)
