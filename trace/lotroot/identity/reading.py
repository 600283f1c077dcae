"""Which number of ours did a person or a reader send?

`read` forgives what typing and readers do to a text and accepts nothing it cannot prove: the grammar
`[BCDEFGHJKLNPRSTUVX]\\d{10}(\\d{6})?(K\\d{1,2})?` must fit, the check pair must be the right one, and only
one number may come out. `find` takes part of a number for a search, where nothing can be proved.
"""

import re
from dataclasses import dataclass

from lotroot.errors import Unreadable
from lotroot.identity.checks import has_right_pair
from lotroot.identity.commands import Command, command_from
from lotroot.identity.families import LETTERS, LOT_FAMILIES, Family
from lotroot.identity.layouts import bare, ways_to_read
from lotroot.identity.numbers import Badge, ItemNumber, Number

LONGEST = 400
_SHOWN_AT_MOST = 40

# O, I and L count as digits only where a digit must stand.
_SHAPE = re.compile("([A-Z])([0-9OIL]{10})([0-9OIL]{6})?(?:K([0-9OIL]{1,2}))?")
_LETTER_AND_DIGITS = re.compile("[A-Z][0-9]+")
_PART = re.compile("([A-Z]?[0-9OIL]+?)(?:K[0-9OIL]{1,2})?")
_LOOKALIKES = str.maketrans("OIL", "011")

_EXPECTED = "Expected a number such as R26-000123-83, a badge or a command."
_AGAIN = "Scan it again, or type what stands under the bars."


@dataclass(frozen=True, slots=True)
class Read:
    """What one scan or typed line says. `copy` counts the labels of that number, the first is 1."""

    value: Number | ItemNumber | Badge | Command
    copy: int = 1


def read(text: str) -> Read:
    """The one number, item, badge or command `text` stands for.

    Raises Unreadable, saying what was seen and what was expected.
    """
    if len(text) > LONGEST:
        raise _unreadable("This is far too long for a code of ours.", text)
    ways = ways_to_read(bare(text))
    found = {proved for proved in map(_proved, ways) if proved is not None}
    if len(found) == 1:
        return found.pop()
    if found:
        raise _unreadable("This can be read as two different numbers.", text)
    raise _why_not(text, ways[0] if ways else "")


def find(text: str) -> list[str]:
    """What `text`, a number or any stretch of one, may be within a canonical number, likeliest first.

    "000123-83" gives ["00012383"]; "l23" gives ["L23", "123"]; a whole number gives itself alone.
    Raises Unreadable where no part of a number of ours can look like that.
    """
    ways = ways_to_read(bare(text)) if len(text) <= LONGEST else []
    whole = [str(proved.value) for way in ways if (proved := _proved(way)) and _is_numbered(proved)]
    if whole:
        return whole
    parts = [part for way in ways for part in _parts(way)]
    if not parts:
        raise Unreadable(
            "No number of ours looks like this in any part.",
            value=_clipped(text),
            expected="Expected the whole number or some of its digits, such as 000123-83.",
            next_step="Type the digits that can be read.",
        )
    return list(dict.fromkeys(parts))


def _proved(text: str) -> Read | None:
    shape = _SHAPE.fullmatch(text)
    if shape is None:
        command = command_from(text.translate(_LOOKALIKES)) or command_from(text)
        return Read(command) if command else None
    letter, number, serial, copy = shape.groups()
    digits = (number + (serial or "")).translate(_LOOKALIKES)
    copy_count = int(copy.translate(_LOOKALIKES)) if copy else 1
    if copy_count == 0 or not has_right_pair(letter + digits):
        return None
    value = _value(letter, digits)
    return Read(value, copy_count) if value else None


def _value(letter: str, digits: str) -> Number | ItemNumber | Badge | None:
    """The value of proved characters, or None where such a number is never given."""
    if letter not in LETTERS:
        return None
    if letter == Family.PERSON and len(digits) == 16:
        return Badge(digits[:14])
    year, running, serial = int(digits[:2]), int(digits[2:8]), digits[10:14]
    if running == 0:
        return None
    number = Number(letter, year, running)
    if not serial:
        return number
    if number.family not in LOT_FAMILIES or int(serial) == 0 or str(number) != letter + digits[:10]:
        return None
    return ItemNumber(number, int(serial))


def _is_numbered(proved: Read) -> bool:
    return isinstance(proved.value, Number | ItemNumber)


def _parts(way: str) -> list[str]:
    part = _PART.fullmatch(way)
    if part is None:
        return []
    head, tail = part[1][0], part[1][1:].translate(_LOOKALIKES)
    heads = [head] if head in LETTERS or head.isdigit() else []
    if head in "OIL":
        heads.append(head.translate(_LOOKALIKES))
    return [each + tail for each in heads]


def _why_not(text: str, plain: str) -> Unreadable:
    """What is wrong with a text that proves nothing; `plain` is its likeliest reading.

    A badge is a secret: what was read of one is never repeated on a screen.
    """
    shape = _SHAPE.fullmatch(plain)
    if not text.strip():
        return _unreadable("Nothing was read.", text)
    if shape is None:
        return _wrong_shape(text, plain)
    letter, number, serial, _ = shape.groups()
    if letter not in LETTERS:
        what = f"{letter} is no letter of our numbers."
        return _unreadable(what, text, f"Numbers begin with one of {' '.join(sorted(LETTERS))}.")
    if letter == Family.PERSON and serial:
        return _unreadable("This badge does not prove itself.", "", "Expected a whole, clean badge.")
    digits = number + (serial or "")
    if has_right_pair(letter + digits.translate(_LOOKALIKES)):
        return _unreadable("Such a number is never given.", text)
    what = f"{_grouped(letter, digits)} is damaged or mistyped: its check digits do not fit."
    return _unreadable(what, text, "Expected a number whose last two digits prove the rest.")


def _wrong_shape(text: str, plain: str) -> Unreadable:
    if plain[:1] == Family.PERSON and len(plain) > 11:
        return _unreadable("This badge was not read whole.", "", "Expected a whole, clean badge.")
    if plain[:1] in LETTERS and _LETTER_AND_DIGITS.fullmatch(plain):
        what = f"{_clipped(plain)} has {len(plain)} characters."
        return _unreadable(what, text, "Our numbers have 11, items and badges 17.")
    return _unreadable(f"“{_clipped(text)}” is no code of ours.", text)


def _grouped(letter: str, digits: str) -> str:
    groups = (letter + digits[:2], digits[2:8], digits[8:10], digits[10:14], digits[14:])
    return "-".join(group for group in groups if group)


def _unreadable(what: str, text: str, expected: str = _EXPECTED) -> Unreadable:
    return Unreadable(what, value=_clipped(text), expected=expected, next_step=_AGAIN)


def _clipped(text: str) -> str:
    seen = text.strip()
    if not seen.isprintable():
        seen = "".join(character if character.isprintable() else "·" for character in seen)
    return seen if len(seen) <= _SHOWN_AT_MOST else seen[:_SHOWN_AT_MOST] + "…"
