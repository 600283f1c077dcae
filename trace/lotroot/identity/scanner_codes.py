"""Which code of the scanner's test sheet is it that arrived, and what has become of it on its way?"""

from collections.abc import Iterator
from typing import NamedTuple

from lotroot.identity.keyboards import WAYS, Way

BARS, QR = "bars", "qr"
BODY = "-1234567890/:AaQqZzYyWwMm_"
CODES = {BARS: f"LB{BODY}", QR: f"LX{BODY}"}
"""The text of each test code. Its first letters sit on the same key of every keyboard."""

LONGEST_ADDED = 24
"""Characters before or behind the code that are still taken for a prefix or suffix (our own choice)."""
NEAR = 3
"""A text with more than one fault in so many characters is no scan of a test code (our own choice)."""


class Match(NamedTuple):
    """The way a test code arrived, what stood before and behind it, and what was lost or doubled in it."""

    code: str
    way: Way
    before: str = ""
    behind: str = ""
    edits: tuple[tuple[str, str], ...] = ()


def match(text: str) -> Match | None:
    """The test code that a text is, and the way it arrived; None for no test code."""
    return _exact(text) or _nearly(text)


def _exact(text: str) -> Match | None:
    """The code whole, as it arrives in one of the ways, with something before or behind it at most."""
    for way in WAYS:
        for code, meant in CODES.items():
            before, whole, behind = text.partition(way.arrives(meant))
            if whole and len(before) <= LONGEST_ADDED and len(behind) <= LONGEST_ADDED:
                return Match(code, way, before, behind)
    return None


def _nearly(text: str) -> Match | None:
    """The code that a text is nearest to, with what was lost, doubled or changed in it."""
    if len(text) > 4 * len(BODY):
        return None
    nearest: tuple[int, Match] | None = None
    for way in WAYS:
        for code, meant in CODES.items():
            expected = way.arrives(meant)
            edits = _differences(expected, text)
            if nearest is None or len(edits) < nearest[0]:
                nearest = len(edits), Match(code, way, edits=tuple(edits))
    if nearest is None or nearest[0] * NEAR > len(BODY):
        return None
    return nearest[1]


def _differences(expected: str, text: str) -> list[tuple[str, str]]:
    """The fewest changes from what was expected to what arrived: pairs of characters, one empty where one is
    missing or too many."""
    rows = [list(range(len(text) + 1))]
    for at, wanted in enumerate(expected, 1):
        before, row = rows[-1], [at]
        for place, seen in enumerate(text, 1):
            row.append(min(before[place] + 1, row[-1] + 1, before[place - 1] + (wanted != seen)))
        rows.append(row)
    return list(_back(rows, expected, text))


def _back(rows: list[list[int]], expected: str, text: str) -> Iterator[tuple[str, str]]:
    at, place = len(expected), len(text)
    while at or place:
        cost = rows[at][place]
        if at and place and cost == rows[at - 1][place - 1] + (expected[at - 1] != text[place - 1]):
            at, place = at - 1, place - 1
            if expected[at] != text[place]:
                yield expected[at], text[place]
        elif at and cost == rows[at - 1][place] + 1:
            at -= 1
            yield expected[at], ""
        else:
            place -= 1
            again = text[place] in (text[place - 1 : place], text[place + 1 : place + 2])
            yield (text[place] if again else ""), text[place] * (2 if again else 1)
