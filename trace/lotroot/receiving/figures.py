"""What number does each cell of a supplier's column mean, when some can be read in two ways?

1,234 is 1.234 or 1 234. The other cells of its column settle it, by the decimal mark they use and by what
they weigh; where those do not agree, or say nothing, the cell is named and not read. No float is used.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

from lotroot.errors import Question, Unreadable
from lotroot.quantities import read_amount
from lotroot.receiving.headings import unit_of

HEAVIEST = 100_000_000
"""g. No truck, wagon or container carries 100 t in one piece (common practice, no source)."""

_SPACED = re.compile("[0-9]{1,3}(?:[ '’][0-9]{3})+(?:[.,][0-9]+)?")
_POINTS = re.compile(r"[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+|[0-9]{1,3}(?:\.[0-9]{3}){2,}")
_COMMAS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+|[0-9]{1,3}(?:,[0-9]{3}){2,}")
_PLAIN = re.compile("[0-9]*([.,])[0-9]+")
_WITH_UNIT = re.compile(r"([0-9][0-9.,'’ ]*)([^\W\d_][^\d]*)")


class Figure(NamedTuple):
    """A cell's readings in base units, the decimal one first; `mark` is the mark it uses, or proves.

    `fault` says what would have fitted where the cell cannot be read at all.
    """

    text: str
    readings: tuple[int, ...]
    mark: str
    fault: str = ""

    @property
    def certain(self) -> int | None:
        """The reading of a cell that has one."""
        return self.readings[0] if len(self.readings) == 1 else None


def figure(text: str, unit: str) -> Figure:
    """What a cell can mean in a unit; a unit in the cell goes first, "" is a unit nobody told."""
    if not any(sign.isdigit() for sign in text):
        return Figure(text, (), "", "a number such as 1234.5")
    split = _WITH_UNIT.fullmatch(text)
    number, own = (split[1].strip(), split[2]) if split else (text, "")
    written = unit_of(own) or unit_of(own.partition(" ")[0]) or ("pcs" if unit == "pcs" else "")
    if own and not written:
        return Figure(text, (), "", "kg, t or lb behind the number")
    if not (written or unit):
        return Figure(text, (), "", "kg, t or lb, told in the heading or the cell")
    core, mark = _ungrouped(number)
    try:
        return Figure(text, (read_amount(core, written or unit),), mark or _plain_mark(core))
    except Question as two:
        return Figure(text, tuple(int(each) for each in two.choices), _plain_mark(core))
    except Unreadable as error:
        return Figure(text, (), "", error.expected.removeprefix("Expected ").rstrip("."))


def settled(figures: Sequence[Figure], usual: int = 0) -> list[int | None]:
    """What each cell of a column means, in base units; None where that stays open.

    `usual` is what one piece weighs, in case the column does not tell.
    """
    certain = sorted(each.certain for each in figures if each.certain)
    middle = certain[len(certain) // 2] if certain else usual
    marks = {each.mark for each in figures if each.mark and len(each.readings) == 1}
    return [_meant(each, marks, middle) for each in figures]


def _meant(one: Figure, marks: set[str], middle: int) -> int | None:
    if len(one.readings) < 2:
        return one.certain
    possible = [each for each in one.readings if each <= HEAVIEST]
    says = {possible[0]} if len(possible) == 1 else set()
    if len(marks) == 1:
        says.add(one.readings[0] if one.mark in marks else one.readings[1])
    # The readings lie a factor of 1,000 apart: at most one is within ten times the others.
    says.update(each for each in one.readings if middle and middle <= each * 10 <= middle * 100)
    return says.pop() if len(says) == 1 else None


def _ungrouped(number: str) -> tuple[str, str]:
    """A number without its thousands marks where they are beyond doubt, and the decimal mark they prove."""
    if _SPACED.fullmatch(number):
        bare = re.sub("[ '’]", "", number)
        return bare, _plain_mark(bare)
    if _POINTS.fullmatch(number):
        return number.replace(".", ""), ","
    if _COMMAS.fullmatch(number):
        return number.replace(",", ""), "."
    return number, ""


def _plain_mark(number: str) -> str:
    found = _PLAIN.fullmatch(number)
    return found[1] if found else ""
