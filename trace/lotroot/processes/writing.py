"""How is a table of texts, whole numbers, truths and lists written as TOML, always the same way?"""

import re
from collections.abc import Mapping

from lotroot.errors import Unreadable
from lotroot.processes.tables import shown

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r"}


def written(table: Mapping[str, object]) -> str:
    """A table as TOML text: in each table its plain keys, then its tables, each in the order given.

    Raises `Unreadable` for a value that is none of text, whole number, true or false, list or table.
    """
    return _table("", table)


def _table(place: str, table: Mapping[str, object]) -> str:
    plain = [(key, value) for key, value in table.items() if not isinstance(value, dict)]
    inner = [(key, value) for key, value in table.items() if isinstance(value, dict)]
    lines = [f"{_key(key)} = {_value(place, key, value)}\n" for key, value in plain]
    head = f"\n[{place}]\n" if place and (lines or not inner) else ""
    return head + "".join(lines) + "".join(_table(_path(place, key), value) for key, value in inner)


def _path(place: str, key: str) -> str:
    return f"{place}.{_key(key)}" if place else _key(key)


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _text(key)


def _value(place: str, key: str, value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, list) and not any(isinstance(one, dict) for one in value):
        return "[" + ", ".join(_value(place, key, one) for one in value) + "]"
    raise Unreadable(
        f"In [{place}], {key} = {shown(value)} cannot be used.",
        value=shown(value),
        expected='Expected text, a whole number, true or false, or a list; decimals in quotes, as "2.50".',
        next_step="Mend plant.toml there and try again; nothing was changed.",
    )


def _text(text: str) -> str:
    return '"' + "".join(_ESCAPES.get(sign, _printable(sign)) for sign in text) + '"'


def _printable(sign: str) -> str:
    return sign if sign >= " " and sign != "\x7f" else f"\\u{ord(sign):04X}"
