"""How is scrap by reason drawn: the most first, each with its amount, its part, and that of all so far?

Bars with their words above them, in an SVG as wide as a phone; what was weighed is filled, what was
apportioned is hatched, and both are told in words.
"""

import textwrap
from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from markupsafe import Markup

WIDTH, EDGE = 340, 10
LINE, BAR, GAP = 18, 18, 16
LETTERS = 40
"""Letters of a line, so that the widest usual face stays inside."""


class Bar(NamedTuple):
    """One reason: its words, the line told of it, and its weighed and its apportioned amount."""

    words: str
    told: str
    weighed: int
    apportioned: int


def pareto(title: str, bars: Sequence[Bar], hatch: str = "hatch", head: str = "") -> Markup:
    """The picture; widths are in proportion to the largest bar. `hatch` is a name no other picture has.

    `head` stands above the bars, where another picture beside this one has its own 100 %.
    """
    most = max((one.weighed + one.apportioned for one in bars), default=0)
    parts, top = [], EDGE
    if head:
        parts.append(_line("head", head, top + LINE - 4))
        top += LINE + GAP // 2
    for one in bars:
        piece, top = _bar(one, most, top, hatch)
        parts.append(piece)
    high = top - GAP + EDGE
    opening = Markup(
        '<svg class="pareto" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {0} {1}" '
        'role="img" aria-label="{2}">'
        '<defs><pattern id="{3}" width="6" height="6" patternUnits="userSpaceOnUse">'
        '<path d="M0 6L6 0" class="hatch"/></pattern></defs>'
    ).format(WIDTH, high, title, hatch)
    return Markup("\n").join([opening, *parts, Markup("</svg>")])


def _bar(one: Bar, most: int, top: int, hatch: str) -> tuple[Markup, int]:
    lines = [("name", text) for text in _wrapped(one.words)] + [("told", text) for text in _wrapped(one.told)]
    parts = []
    for style, text in lines:
        top += LINE
        parts.append(_line(style, text, top - 4))
    rect = Markup('<rect class="{}" x="{}" y="{}" width="{}" height="{}" fill="{}"/>')
    left = Decimal(EDGE)
    for style, amount, fill in (
        ("weighed", one.weighed, "black"),
        ("apportioned", one.apportioned, f"url(#{hatch})"),
    ):
        if amount:
            parts.append(rect.format(style, left, top, _wide(amount, most), BAR, fill))
            left += _wide(amount, most)
    return Markup("").join(parts), top + BAR + GAP


def _line(style: str, text: str, at: int) -> Markup:
    return Markup('<text class="{}" x="{}" y="{}">{}</text>').format(style, EDGE, at, text)


def _wide(amount: int, most: int) -> Decimal:
    room = Decimal((WIDTH - 2 * EDGE) * amount) / most if most else Decimal(0)
    return room.quantize(Decimal("0.1"))


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, LETTERS, max_lines=3, placeholder=" …", break_on_hyphens=False)
