"""What does a scanner send for GS1 element strings written in brackets, as people read them?

`(01)09521234000013(10)LOT-0042` becomes the data of a GS1 symbol: brackets go, and a separator ends each
element of variable length that is not the last. Which elements are true of the goods, and their check
digits, are decided by whoever gives the text.
"""

import re

from lotroot_printing.errors import FieldRefused

SEPARATOR = "\x1d"
MOST_CHARACTERS = 48  # GS1 General Specifications: GS1-128, AIs and separators counted

_ELEMENT = re.compile(r"\((\d{2,4})\)([!-'*-?A-Z_a-z]+)")

# GS1 General Specifications, predefined length: by the first two digits, with the AI itself.
_LENGTHS = {"00": 20, "01": 16, "02": 16, "03": 16, "04": 18, "20": 4, "41": 16}
_LENGTHS |= {f"{each}": 8 for each in range(11, 20)} | {f"{each}": 10 for each in range(31, 37)}


def element_data(text: str) -> str:
    """The data of a symbol, without the leading FNC1, separators as 1D hex. Raises FieldRefused."""
    parts = _ELEMENT.findall(text)
    if not parts or "".join(f"({ai}){value}" for ai, value in parts) != text:
        raise _refused(text, "(AI)value, one after another, such as (00)395212340000000014")
    data = ""
    for place, (ai, value) in enumerate(parts, start=1):
        length = _LENGTHS.get(ai[:2])
        if length is not None and len(ai + value) != length:
            raise _refused(f"({ai}){value}", f"{length - len(ai)} characters after ({ai})")
        data += ai + value + (SEPARATOR if length is None and place < len(parts) else "")
    if len(data) > MOST_CHARACTERS:
        raise _refused(f"{text}, {len(data)} characters", f"at most {MOST_CHARACTERS} characters")
    return data


def _refused(value: str, expected: str) -> FieldRefused:
    return FieldRefused(
        "A GS1 symbol cannot be made of this text.",
        value=value,
        expected=expected,
        next_step="Correct the customer's or the product's GS1 entries and print again.",
    )
