"""How does a file of comma-separated values, as suppliers send them, become rows of cells?

UTF-8 with or without its mark, else Windows-1252; comma, semicolon or tab. Row numbers are those a
spreadsheet shows: a quoted cell may run over several lines.
"""

import csv
import io
import re
from collections.abc import Callable
from typing import NamedTuple
from unicodedata import category, normalize

from lotroot.errors import Unreadable

MOST_BYTES = 1_000_000
MOST_ROWS = 5_000
SEPARATORS = (";", "\t", ",")

_NAMED = re.compile("sep=(.)\r?\n?", re.IGNORECASE)
_FORMULA = re.compile('="(.*)"')
_BLANKS = re.compile("[\\s\u00a0\u2007\u2009\u202f\u200b\ufeff]+")


class Grid(NamedTuple):
    """The cells of a file, row by row from row 1, and how it was written."""

    rows: tuple[tuple[str, ...], ...]
    encoding: str
    separator: str


def grid(content: bytes, fits: Callable[[Grid], int]) -> Grid:
    """The cells of a file. Of the separators, the one by which it `fits` best is taken.

    Raises Unreadable for what is no such file.
    """
    text, encoding = _text(content)
    named = _NAMED.match(text)
    candidates = (named[1],) if named else SEPARATORS
    found: list[Grid] = []
    faults: list[Unreadable] = []
    for separator in candidates:
        try:
            found.append(Grid(_rows(text, separator), encoding, separator))
        except Unreadable as error:
            faults.append(error)
    best = max(found, key=fits, default=None)
    if best is None or (faults and not fits(best)):
        raise faults[0]
    return best


def _text(content: bytes) -> tuple[str, str]:
    if len(content) > MOST_BYTES:
        raise _unusable("The list is too large.", f"{len(content)} bytes", f"At most {MOST_BYTES} bytes.")
    if content.startswith((b"PK", b"\xd0\xcf\x11\xe0")):
        raise _unusable("This is a spreadsheet.", "a workbook", "A list saved as CSV.")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _checked(content, "utf-16")
    try:
        return _checked(content, "utf-8-sig")
    except UnicodeDecodeError:
        return _checked(content, "cp1252")


def _checked(content: bytes, encoding: str) -> tuple[str, str]:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        if encoding == "utf-8-sig":
            raise
        raise _unusable("This is no text.", "other bytes", "UTF-8 or Windows-1252.") from error
    strange = [sign for sign in text if category(sign) == "Cc" and sign not in "\r\n\t"]
    if strange:
        raise _unusable("This is no text.", f"U+{ord(strange[0]):04X}", "A list saved as CSV.")
    return text, {"utf-8-sig": "UTF-8", "cp1252": "Windows-1252", "utf-16": "UTF-16"}[encoding]


def _rows(text: str, separator: str) -> tuple[tuple[str, ...], ...]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows: list[tuple[str, ...]] = []
    try:
        for row in reader:
            rows.append(tuple(map(_cell, row)))
            if len(rows) > MOST_ROWS + 100:  # some lines above and below the list itself
                raise _unusable("The list is too long.", f"over {MOST_ROWS} rows", "A shorter list.")
    except csv.Error as error:
        raise _unusable(
            f"The list cannot be read from line {reader.line_num} on: a quotation mark is not closed.",
            str(error),
            "Cells in quotation marks that are closed.",
        ) from error
    return tuple(rows)


def _cell(text: str) -> str:
    """A cell on one line; ="0012", by which spreadsheets are told to keep a text, is 0012."""
    core = _BLANKS.sub(" ", text).strip()
    formula = _FORMULA.fullmatch(core)
    return normalize("NFC", formula[1].strip() if formula else core)


def _unusable(what: str, value: str, expected: str) -> Unreadable:
    return Unreadable(
        what,
        value=value,
        expected=expected,
        next_step="In the spreadsheet choose Save as, CSV; or receive piece by piece.",
    )
