"""Which characters did the reader mean, whatever keyboard the computer believes it has?

A wedge reader presses the keys of a US keyboard; a computer set to another layout, or with Caps Lock
on, makes other characters of them. Each `Layout` turns back one such way. The letters of our numbers
sit on the same keys everywhere (families), so only digits and separators move, and a layout that moves
digits leaves no plain digit behind: a text has one reading, at most two, and the check pair decides.

Sources: xkeyboard-config symbols `us`, `de`, `fr`, `be`; the unshifted AZERTY digits also as reported in
a reader thread (HA112 arrives as HA&&é). That Caps Lock acts as a shift lock on the digits of German and
French Windows layouts is from memory.
"""

import re
from dataclasses import dataclass

# Spaces people and papers put between groups; a line end inside a text is two reads, not a gap.
_SPACES = " \t\u00a0\u2007\u2009\u202f"
_HYPHENS = "-\u2010\u2011\u2012\u2013\u2014\u2015\u2212"
# What a hyphen in a foreign symbol arrives as on other layouts, as reported in reader threads and as the
# key tables show: German ß, French ½ or § by the reader's own table, Japanese =, Spanish and Italian '.
_MANGLED_HYPHENS = "ß½§='"
_NEVER = "\0"
_DIGITS = "1234567890"
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_NORMAL = re.compile("[0-9A-Z]+")


@dataclass(frozen=True, slots=True)
class Layout:
    """One way digits and separators arrive. `table` is for str.translate, to capitals and digits."""

    name: str
    table: dict[int, str]

    def normal(self, text: str) -> str | None:
        """`text` as capitals and digits without separators, or None if it did not arrive this way."""
        plain = text.translate(self.table)
        return plain if _NORMAL.fullmatch(plain) else None


def _layout(name: str, gaps: str, *digit_rows: str) -> Layout:
    table = {ord(letter): letter.upper() for letter in _LETTERS}
    if digit_rows:
        table |= {ord(digit): _NEVER for digit in _DIGITS}
    table |= {ord(gap): "" for gap in _SPACES + gaps}
    for row in digit_rows:
        table |= {ord(character): digit for character, digit in zip(row, _DIGITS, strict=True)}
    return Layout(name, table)


PLAIN = _layout("plain", _HYPHENS + _MANGLED_HYPHENS + ".")

LAYOUTS = (
    PLAIN,
    # The second row is Caps Lock on Linux, the third Belgium and French Macintosh, the fourth both.
    _layout("AZERTY", ")", "&é\"'(-è_çà", "&É\"'(-È_ÇÀ", "&é\"'(§è!çà", "&É\"'(§È!ÇÀ"),
    _layout("QWERTZ, shift lock", "?", '!"§$%&/()='),
    _layout("QWERTY, shift lock", "_", "!@#$%^&*()"),
)

# `]` as it arrives plain, from German and French keyboards, and each of them shifted.
_PREFIX = re.compile(r"[\]}+*$£][A-Za-z].(?=.)")

# The address survives in its frame: http or https at the head, and the path letter between two like
# signs, which are slashes, or what the slash key makes elsewhere (- on German, ! on French layouts).
_ADDRESS = re.compile(r"https?[^\s]+([^0-9a-z\s])t\1(.+?)\1?", re.IGNORECASE)

EDGES = " \t\r\n\v\f\0\x1c\x1d\x1e\x1f\u00a0\u2009\u202f\u200b\ufeff"


def bare(text: str) -> str:
    """`text` without line ends, symbology prefix (]C0, however mangled) and own address around it."""
    if text.isalnum() and text.isascii():
        return text
    core = text.strip(EDGES)
    core = _PREFIX.sub("", core, count=1) if _PREFIX.match(core) else core
    address = _ADDRESS.fullmatch(core)
    return address.group(2) if address else core


def ways_to_read(text: str) -> list[str]:
    """Every way `text` can have arrived, as capitals and digits, the plain one first."""
    if text.isalnum() and text.isascii():
        return [text.upper()]
    ways = [layout.normal(text) for layout in LAYOUTS]
    return list(dict.fromkeys(way for way in ways if way is not None))
