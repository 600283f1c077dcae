"""How is one table of a plant's text read strictly?

Every refusal is an `Unreadable` that names the table, the key, the value found and what would fit. A
key nobody asked for is refused too: a misspelt override must not be passed over in silence.
"""

import re
import tomllib
import unicodedata
from collections.abc import Collection, Iterator, Mapping
from difflib import get_close_matches
from types import MappingProxyType
from typing import TypeVar

from lotroot.errors import Unreadable

CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
DECIMAL = re.compile(r"-?(0|[1-9][0-9]{0,11})(\.[0-9]{1,6})?")
CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]")
COMMAND = re.compile(r"[A-Z][A-Za-z]*|\*")
CONFIDENCE = ("sourced", "cross-checked", "memory", "plant")
LARGEST = 2**53 - 1  # RULES.md 24: integers in events stay within it

_MISSING = object()
_T = TypeVar("_T")


def toml(text: str) -> dict[str, object]:
    """A text as TOML; Unreadable with line and column where it is not."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise Unreadable(
            f"The plant's text is not TOML: {fault}.",
            expected='Tables as [product.nail_25x50], keys as name = "Nails".',
            next_step="Mend that line and try again; nothing was changed.",
        ) from fault


def fixed(mapping: Mapping[str, _T]) -> Mapping[str, _T]:
    """A copy that cannot be changed, in the same order."""
    return MappingProxyType(dict(mapping))


class Table:
    """One table of the text, with its place in it; `done` refuses what was not read."""

    def __init__(self, place: str, values: Mapping[str, object]) -> None:
        self.place = place
        self._values = values
        self._read: set[str] = set()

    def refuse(self, key: str, value: object, expected: str) -> Unreadable:
        """The error for one key of this table."""
        return Unreadable(
            f"In [{self.place}], {key} = {shown(value)} cannot be used.",
            value=shown(value),
            expected=f"Expected {expected}.",
            next_step="Mend plant.toml there and try again; nothing was changed.",
        )

    def _get(self, key: str, expected: str, default: object) -> object:
        self._read.add(key)
        if key in self._values:
            return self._values[key]
        if default is _MISSING:
            raise Unreadable(
                f"In [{self.place}], {key} is missing.",
                expected=f"Expected {expected}.",
                next_step=f"Add {key} there and try again; nothing was changed.",
            )
        return default

    def text(self, key: str, default: object = _MISSING) -> str:
        """One line of text; empty only where the default is."""
        expected = "one line of text in quotes"
        value = self._get(key, expected, default)
        if value == "" and default == "":
            return ""
        if not isinstance(value, str) or not _is_line(value):
            raise self.refuse(key, value, expected)
        return unicodedata.normalize("NFC", value)

    def matching(self, key: str, pattern: re.Pattern[str], expected: str, default: object = _MISSING) -> str:
        """Text of a given form; the default is taken as it is."""
        value = self._get(key, expected, default)
        if value is default and isinstance(value, str):
            return value
        if not isinstance(value, str) or not pattern.fullmatch(value):
            raise self.refuse(key, value, expected)
        return value

    def decimal(self, key: str) -> str | None:
        """A decimal as typed, in quotes, or None where the key is absent or empty."""
        expected = 'a decimal in quotes, as "2.50"'
        value = self._get(key, expected, "")
        if value == "":
            return None
        if not isinstance(value, str) or not DECIMAL.fullmatch(value):
            raise self.refuse(key, value, expected)
        return value

    def amount(self, key: str, default: object = _MISSING, *, least: int = 0) -> int:
        """A whole number in base units."""
        expected = f"a whole number of at least {least}"
        value = self._get(key, expected, default)
        if type(value) is not int or not least <= value <= LARGEST:
            raise self.refuse(key, value, expected)
        return value

    def maybe_amount(self, key: str, *, least: int = 1) -> int | None:
        """A whole number, or None where the key is absent."""
        self._read.add(key)
        return self.amount(key, least=least) if key in self._values else None

    def flag(self, key: str, default: object = _MISSING) -> bool:
        """true or false."""
        value = self._get(key, "true or false", default)
        if not isinstance(value, bool):
            raise self.refuse(key, value, "true or false")
        return value

    def choice(self, key: str, choices: Collection[str], default: object = _MISSING) -> str:
        """One of a few words."""
        expected = "one of " + ", ".join(choices)
        value = self._get(key, expected, default)
        if not isinstance(value, str) or value not in choices:
            raise self.refuse(key, value, expected)
        return value

    def maybe_choice(self, key: str, choices: Collection[str]) -> str | None:
        """One of a few words, or None where the key is absent or empty."""
        return self.choice(key, [*choices, ""], "") or None

    def words(self, key: str, pattern: re.Pattern[str], expected: str) -> tuple[str, ...]:
        """A list of different texts of a given form; empty where the key is absent."""
        value = self._get(key, expected, [])
        if not isinstance(value, list):
            raise self.refuse(key, value, f"a list of {expected}")
        for word in value:
            if not isinstance(word, str) or not pattern.fullmatch(word):
                raise self.refuse(key, word, expected)
        if len(set(value)) != len(value):
            raise self.refuse(key, value, f"each of the {expected} once")
        return tuple(value)

    def codes(self, key: str) -> tuple[str, ...]:
        """A list of different codes; empty where the key is absent."""
        return self.words(key, CODE, "codes of letters, digits, _ and -")

    def chosen(self, key: str, choices: Collection[str]) -> tuple[str, ...]:
        """A list of some of a few words, each once."""
        for word in (given := self.codes(key)):
            if word not in choices:
                raise self.refuse(key, word, "some of " + ", ".join(choices))
        return given

    def amounts(self, key: str) -> Mapping[str, int]:
        """A table of whole numbers by code."""
        inner = self.table(key)
        return fixed({code: inner.amount(code, least=1) for code in inner.entries()})

    def decimals(self, key: str) -> Mapping[str, str]:
        """A table of decimals above 0 by code, each as typed."""
        inner = self.table(key)
        found = {code: inner.decimal(code) or "" for code in inner.entries()}
        for code, text in found.items():
            if not text.strip("0."):
                raise inner.refuse(code, text, 'a decimal above 0 in quotes, as "2.50"')
        return fixed(found)

    def texts(self, key: str) -> Mapping[str, str]:
        """A table of texts by code."""
        inner = self.table(key)
        return fixed({code: inner.text(code) for code in inner.entries()})

    def entries(self) -> tuple[str, ...]:
        """The keys of this table in the order of the text, each a fit code."""
        for key in self._values:
            if not CODE.fullmatch(key):
                raise self.refuse(key, key, "a code of at most 40 letters, digits, _ and -")
        return tuple(self._values)

    def table(self, key: str) -> "Table":
        """The table under a key; an empty one where the key is absent."""
        value = self._get(key, "a table", {})
        if not isinstance(value, dict):
            raise self.refuse(key, value, "a table")
        return Table(f"{self.place}.{key}" if self.place else key, value)

    def tables(self, key: str) -> Iterator[tuple[str, "Table"]]:
        """The tables under a key, with their codes, in the order of the text."""
        outer = self.table(key)
        for code in outer.entries():
            yield code, outer.table(code)

    def done(self) -> None:
        """Refuse a key that nothing read."""
        for key, value in self._values.items():
            if key not in self._read:
                raise self._unread(key, value)

    def _unread(self, key: str, value: object) -> Unreadable:
        near = get_close_matches(key, sorted(self._read), n=1)
        hint = f"{near[0]}?" if near else "one of " + ", ".join(sorted(self._read))
        where = f"[{self.place}]" if self.place else "The plant's text"
        return Unreadable(
            f"{where} has a key {key!r} that means nothing here.",
            value=shown(value),
            expected=f"Expected {hint}.",
            next_step="Mend plant.toml there and try again; nothing was changed.",
        )


def origin_of(table: Table, source: str, confidence: str) -> tuple[str, str]:
    """Where a figure is from, and how far it is to be trusted: the plant's own where nothing is said."""
    found, trust = table.text(source, ""), table.choice(confidence, CONFIDENCE, "plant")
    if trust != "plant" and not found:
        raise table.refuse(source, found, f"where a {trust} value is from")
    return found, trust


def shown(value: object) -> str:
    """A value found, short enough to be read in a sentence."""
    if isinstance(value, bool):
        return str(value).lower()
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _is_line(text: str) -> bool:
    return bool(text.strip()) and all(unicodedata.category(sign) != "Cc" for sign in text)
