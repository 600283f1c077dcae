"""How is a fact written so that it can be hashed, and read back the same for ever?

Canonical JSON: UTF-8, keys sorted by code point, no spaces, integers within ±(2**53 - 1), no
floats, strings in NFC without control characters or lone surrogates, absent fields left out.
"""

import hashlib
import json
import re
import unicodedata
from typing import Any

from lotroot.errors import Unreadable

LARGEST = 2**53 - 1
"""Largest integer that every JSON reader keeps exactly (RFC 8259 section 6)."""

_NEVER_KEPT = re.compile("[\\x00-\\x08\\x0b-\\x1f\\x7f-\\x9f\\ud800-\\udfff]")
"""Control characters other than tab and line feed, and surrogates."""


def canonical(value: Any) -> str:
    """The one text for `value`, built of dict, list, str, int, bool.

    Raises Unreadable for anything that could not be read back the same.
    """
    return json.dumps(_checked(value), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def sha256(text: str | bytes) -> str:
    """SHA-256 of a text (in UTF-8) or of bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(text.encode() if isinstance(text, str) else text).hexdigest()


def parse(text: str) -> Any:
    """Read JSON, refusing what canonical JSON cannot hold: floats, NaN, too large integers, doubled keys."""
    try:
        return json.loads(
            text,
            parse_float=_no_float,
            parse_int=_integer,
            parse_constant=_no_float,
            object_pairs_hook=_no_doubled_keys,
        )
    except (json.JSONDecodeError, RecursionError) as error:
        raise Unreadable(
            "The text is not JSON.", value=str(error), expected="A JSON object.", next_step="Send it again."
        ) from error


def _checked(value: Any) -> Any:
    if isinstance(value, dict):
        return _no_doubled_keys(
            [(_clean(key), _checked(part)) for key, part in value.items() if part is not None]
        )
    if isinstance(value, (list, tuple)):
        return [_checked(part) for part in value]
    if isinstance(value, str):
        return _clean(value)
    if isinstance(value, int) and abs(value) <= LARGEST:
        return value
    raise _not_kept(repr(value)[:80])


def _integer(text: str) -> int:
    if len(text) > len(str(-LARGEST)) or abs(int(text)) > LARGEST:
        raise _not_kept(text[:80])
    return int(text)


def _not_kept(value: str) -> Unreadable:
    return Unreadable(
        "A value cannot be kept in the ledger.",
        value=value,
        expected="Text, or a whole number within ±9,007,199,254,740,991.",
        next_step="Write decimal readings as text and amounts in whole base units.",
    )


def _clean(text: Any) -> str:
    if not isinstance(text, str):
        raise _not_kept(repr(text)[:80])
    if text.isascii() and text.isprintable():  # nearly all there is
        return text
    found = _NEVER_KEPT.search(text)
    if found is not None:
        raise Unreadable(
            "A text holds a character that cannot be kept.",
            value=f"U+{ord(found[0]):04X}",
            expected="Letters, digits and signs.",
            next_step="Take the character out.",
        )
    return unicodedata.normalize("NFC", text)


def _no_float(text: str) -> Any:
    raise Unreadable(
        "A number has decimals.",
        value=text,
        expected="A whole number in base units, or the reading as text.",
        next_step="Write it in grams, millimetres or millilitres.",
    )


def _no_doubled_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise Unreadable(
            "A field is given twice.",
            value=", ".join(key for key, _ in pairs),
            expected="Each field once.",
            next_step="Take one of them out.",
        )
    return found
