"""How is the picture of a day's mass drawn: bars, bands and words, none over another?

An SVG of plain shapes; what they look like stands in mass.css. Words stand above the bar of their node, in
the room the layout keeps free for them. Sizes are in hundredths of a px until they are written.
"""

import textwrap
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from markupsafe import Markup

from lotroot.papers.flows import Bar, FlowChart, Ribbon
from lotroot.tracing.mass_columns import Arc, Knot
from lotroot.tracing.mass_flow import BACK, END, EXCESS, GOODS, LOSS, MISSING, SCRAP, SOURCE, STEP, Flow, Node
from lotroot.tracing.mass_layout import Laid, Space, Span, laid
from lotroot.tracing.words import Words
from lotroot.web.mass_words import Line, lines_of, said_of, said_of_band

PX = 100
WIDTH, ACROSS, EDGE = 132, 52, 12
"""px: a column of bars with their words, the room for bands beside it, the margin."""
STEP_DOWN, UNDER, FREE = 17, 5, 12
"""px: from one line to the next, from the last to the bar, between one node and the next one's words."""
BOLD, PLAIN, MOST_LINES = 13, 15, 4
"""Letters of a line, so that the widest usual face stays inside the column, and lines of one text."""
TALL, SHORT = 420, 60
"""px: the bars of the fullest column together, at most, and for each node of it."""
LEAST = 0.5
"""px: a bar that is nearly nothing is drawn as a line."""
RANKS = {one: rank for rank, one in enumerate((SOURCE, STEP, GOODS, END, BACK, SCRAP, LOSS, MISSING, EXCESS))}
RANKS |= dict.fromkeys((SOURCE, STEP, GOODS), 0)


class Drawn(NamedTuple):
    """A flow with the words of its nodes, and where everything stands."""

    found: Flow
    lines: dict[str, list[Line]]
    place: Laid

    @property
    def wide(self) -> int:
        """The whole picture's width in px."""
        return 2 * EDGE + self.place.columns * (WIDTH + ACROSS) - ACROSS

    @property
    def high(self) -> int:
        """The whole picture's height in px."""
        return 2 * EDGE + -(-self.place.height // PX)


def drawn(found: Flow, words: Words) -> Drawn:
    """Where everything of a flow stands."""
    lines = {node.key: list(_wrapped(lines_of(node, found, words))) for node in found.nodes}
    knots = [Knot(node.key, _room(lines[node.key]) * PX, RANKS[node.part]) for node in found.nodes]
    arcs = [Arc(*band) for band in found.bands]
    fullest = max((len(one) for one in _by_column(laid(knots, arcs, Space(0, 0)))), default=1)
    space = Space(min(TALL, SHORT * (fullest + 1)) * PX, FREE * PX)
    return Drawn(found, lines, laid(knots, arcs, space))


def svg(picture: Drawn, words: Words, title: str, address: str) -> Markup:
    """The picture; `address` is where a node leads, its key behind it."""
    head = Markup(
        '<svg class="mass" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {0} {1}" width="{0}" '
        'height="{1}" role="group" aria-label="{2}">'
    )
    parts = [head.format(picture.wide, picture.high, title)]
    for band, spans in zip(picture.found.bands, picture.place.spans, strict=True):
        column = picture.place.spots[band.start].column
        said = said_of_band(band, picture.found, words)
        look = picture.found.node(band.end).part
        parts.append(
            Markup('<path class="band to-{}" d="{}"><title>{}</title></path>').format(
                look, _path(column, spans), said
            )
        )
    parts += [_node(node, picture, words, address) for node in picture.found.nodes]
    return Markup("\n").join([*parts, Markup("</svg>")])


def chart(picture: Drawn, title: str) -> FlowChart:
    """The same for a page that is printed."""
    bars = []
    for node in picture.found.nodes:
        spot = picture.place.spots[node.key]
        lines = tuple(line[:2] for line in picture.lines[node.key])
        top, bar = (EDGE + level / PX for level in (spot.top, spot.bar))
        bars.append(Bar(_left(spot.column), top, bar, spot.height / PX, lines, node.part == STEP))
    ribbons = []
    for band, spans in zip(picture.found.bands, picture.place.spans, strict=True):
        column = picture.place.spots[band.start].column
        ribbons.append(Ribbon(tuple((x, *_edges(span)) for x, span in _stations(column, spans))))
    return FlowChart(title, picture.wide, picture.high, WIDTH, STEP_DOWN, tuple(bars), tuple(ribbons))


def _by_column(place: Laid) -> list[list[str]]:
    found: list[list[str]] = [[] for _ in range(place.columns)]
    for key, spot in place.spots.items():
        found[spot.column].append(key)
    return found


def _room(lines: Sequence[Line]) -> int:
    return STEP_DOWN * len(lines) + UNDER


def _wrapped(lines: Sequence[Line]) -> Iterator[Line]:
    for line in lines:
        letters = BOLD if line.bold else PLAIN
        some = textwrap.wrap(
            line.text, letters, max_lines=MOST_LINES, placeholder=" …", break_on_hyphens=True
        )
        yield from (Line(text, line.bold) for text in some)


def _left(column: int) -> int:
    return EDGE + column * (WIDTH + ACROSS)


def _stations(column: int, spans: Sequence[Span]) -> Iterator[tuple[int, Span]]:
    """The spans of a band with the x each stands at: right of a column, left of the next, and so on."""
    for place, span in enumerate(spans):
        passed = (place + 1) // 2
        yield _left(column + passed) + (0 if place % 2 else WIDTH), span


def _edges(span: Span) -> tuple[float, float]:
    return EDGE + span.top / PX, EDGE + span.bottom / PX


def _path(column: int, spans: Sequence[Span]) -> str:
    """There along the upper edge and back along the lower: curves between columns, level across them."""
    stations = [(x, *_edges(span)) for x, span in _stations(column, spans)]
    upper = [(x, top) for x, top, _ in stations]
    lower = [(x, bottom) for x, _, bottom in reversed(stations)]
    first, then = f"M{upper[0][0]} {upper[0][1]:.2f}", f"L{lower[0][0]} {lower[0][1]:.2f}"
    return f"{first}{_along(upper)}{then}{_along(lower)}Z"


def _along(points: Sequence[tuple[int, float]]) -> str:
    text = ""
    for place in range(1, len(points)):
        (x1, y1), (x2, y2) = points[place - 1], points[place]
        middle = (x1 + x2) // 2
        between = place % 2
        curve = f"C{middle} {y1:.2f} {middle} {y2:.2f} {x2} {y2:.2f}"
        text += curve if between else f"L{x2} {y2:.2f}"
    return text


def _node(node: Node, picture: Drawn, words: Words, address: str) -> Markup:
    spot, said = picture.place.spots[node.key], said_of(node, picture.found, words)
    x, top, bar = _left(spot.column), EDGE + spot.top / PX, EDGE + spot.bar / PX
    texts = [
        Markup('<text{} x="{}" y="{:.2f}">{}</text>').format(
            Markup(' class="name"') if line.bold else "", x, top + STEP_DOWN * (row + 1) - 4, line.text
        )
        for row, line in enumerate(picture.lines[node.key])
    ]
    height = max(spot.height / PX, LEAST)
    reach = Markup('<rect class="reach" x="{}" y="{:.2f}" width="{}" height="{:.2f}"/>').format(
        x - 4, top - 2, WIDTH + 8, bar - top + height + 6
    )
    shape = Markup('<rect class="bar" x="{}" y="{:.2f}" width="{}" height="{:.2f}"/>').format(
        x, bar, WIDTH, height
    )
    return Markup('<a class="node {}" href="{}{}#runs" aria-label="{}"><title>{}</title>{}{}{}</a>').format(
        node.part, address, node.key, said, said, reach, shape, Markup("").join(texts)
    )
