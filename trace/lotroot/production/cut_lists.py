"""What does a typed cut list mean: “24x3.6 12x2.4” is 24 pieces of 3.6 m and 12 of 2.4 m?

Pure reading and arithmetic. A line is its count, x, and the length of one piece.
"""

import re
from collections.abc import Iterable, Sequence

from lotroot.errors import Question, Unreadable
from lotroot.production.cut_facts import Cut
from lotroot.quantities import read_amount, show_amount

MOST_LINES = 12
MOST_COUNT = 999
SHORTEST_MM, LONGEST_MM = 100, 50_000
"""Our own choice: a longer sheet goes on no road, a shorter one is an offcut."""
_BARE_MM = 100
"""A whole number from here on is millimetres where the plant's lengths are shown in them."""
_USUAL_MM = 10_000  # so that 3.600 and 3,600 are both 3.6 m

_TIMES = re.compile(r"\s*[x\u00d7*]\s*", re.IGNORECASE)
_BEFORE_UNIT = re.compile(r"(?<=[0-9])\s+(?=(?:mm|m|ft|in)\b)", re.IGNORECASE)
_BETWEEN = re.compile(r"[\s;+]+|,(?=\s)\s*")
_FORM = "Expected count x length, such as 24x3.6 12x2.4."


def read_cuts(text: str, unit: str) -> tuple[Cut, ...]:
    """The lines of a cut list. `unit` is what the plant shows lengths in; one typed along goes first.

    Where that is mm, a bare number below 100 or with a decimal mark is metres. Raises Unreadable, naming
    the line.
    """
    core = _BEFORE_UNIT.sub("", _TIMES.sub("x", text.strip()))
    lines = [one for one in _BETWEEN.split(core) if one]
    if not 1 <= len(lines) <= MOST_LINES:
        raise _refused(
            f"A cut list of {len(lines)} lines is not recorded as one bundle.",
            str(len(lines)),
            f"Expected 1 to {MOST_LINES} lines, such as 24x3.6 12x2.4.",
        )
    return tuple(_line(number, line, unit) for number, line in enumerate(lines, 1))


def checked(cuts: Sequence[Cut], unit: str) -> Sequence[Cut]:
    """The same lines, each within its bounds. Raises Unreadable, naming the line."""
    if len(cuts) > MOST_LINES:
        raise _refused(
            f"A cut list of {len(cuts)} lines is not recorded as one bundle.",
            str(len(cuts)),
            f"Expected 1 to {MOST_LINES} lines.",
        )
    for number, cut in enumerate(cuts, 1):
        _check(number, f"{cut.count}x{cut.length_mm} mm", cut, unit)
    return cuts


def pieces_of(cuts: Iterable[Cut]) -> int:
    """How many pieces there are."""
    return sum(cut.count for cut in cuts)


def length_of(cuts: Iterable[Cut]) -> int:
    """How long all pieces are together, in mm."""
    return sum(cut.count * cut.length_mm for cut in cuts)


def _line(number: int, line: str, unit: str) -> Cut:
    parts = line.lower().split("x")
    if len(parts) != 2 or not all(parts):
        raise _refused(f"Line {number}, “{line}”, is no count and length.", line, _FORM)
    if not parts[0].isascii() or not parts[0].isdecimal():
        expected = f"Expected a whole number of pieces, 1 to {MOST_COUNT}, before the x."
        raise _refused(f"Line {number}, “{line}”: {parts[0]} is no count.", line, expected)
    cut = Cut(int(parts[0][:6]), _length(number, line, parts[1], unit))
    _check(number, line, cut, unit)
    return cut


def _length(number: int, line: str, figure: str, unit: str) -> int:
    is_metres = unit == "mm" and (not figure.isdecimal() or int(figure[:6]) < _BARE_MM)
    try:
        return read_amount(figure, "m" if is_metres else unit, _USUAL_MM)
    except (Unreadable, Question) as wrong:
        raise _refused(f"Line {number}, “{line}”: {figure} is no length.", line, _lengths(unit)) from wrong


def _check(number: int, line: str, cut: Cut, unit: str) -> None:
    if not 1 <= cut.count <= MOST_COUNT:
        raise _refused(
            f"Line {number}, “{line}”: {cut.count} pieces is no count of one line.",
            line,
            f"Expected 1 to {MOST_COUNT} pieces.",
        )
    if not SHORTEST_MM <= cut.length_mm <= LONGEST_MM:
        much = show_amount(cut.length_mm, "mm", unit)
        raise _refused(f"Line {number}, “{line}”: {much} is no length of a piece.", line, _lengths(unit))


def _lengths(unit: str) -> str:
    least, most = show_amount(SHORTEST_MM, "mm", unit), show_amount(LONGEST_MM, "mm", unit)
    return f"Expected {least} to {most}; a length in millimetres is typed with mm, as 3600mm."


def _refused(what: str, value: str, expected: str) -> Unreadable:
    return Unreadable(what, value=value[:60], expected=expected, next_step="Type the whole cut list again.")
