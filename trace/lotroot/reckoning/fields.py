"""What does a text in a field of a reckoning mean, and at which field does an error belong?"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from lotroot.errors import LotrootError, Question, Unreadable
from lotroot.quantities import read_amount, read_number
from lotroot.theory.gauges import SHEET, WIRE, Gauge, read_size

MOST_PARTS = 100
_LONGEST = 400
_REFUSED = re.compile(r"The (.+?) cannot be ")
_BASE_UNITS = re.compile(r"Expected (?:a whole number )?from ([\d.]+) to ([\d.]+) (g|mm)( [^.]*)?\.")
_ZERO = re.compile(r"0+(?:[.,]0+)? ?(?:mm|in)?")


@dataclass(frozen=True, slots=True)
class Field:
    """One field: `reads` says what its text is (`READERS`), `unit` holds where none is typed.

    `expected` settles "2.500" and is in the unit of the field; `usual` is offered, `optional` may be empty.
    `called` are the names by which theory refuses it; `zero` says that a size may be none.
    """

    name: str
    label: str
    reads: str
    unit: str = "mm"
    hint: str = ""
    usual: str = ""
    optional: bool = False
    expected: Decimal = Decimal(5)
    called: tuple[str, ...] = ()
    zero: bool = False


class WrongField(Exception):
    """A field cannot be used; `error` says what would fit."""

    def __init__(self, field: str, error: LotrootError) -> None:
        super().__init__(field)
        self.field, self.error = field, error


@dataclass(frozen=True, slots=True)
class Values:
    """What was typed, read: sizes in mm, amounts in base units; None for what was left empty."""

    of: Mapping[str, Any]
    gauges: tuple[Gauge, ...] = ()

    def __getitem__(self, name: str) -> Any:
        return self.of[name]

    def given(self, name: str) -> bool:
        """Whether a field that may be empty was filled in."""
        return self.of[name] is not None


def read(fields: Sequence[Field], asked: Mapping[str, str]) -> Values:
    """The values of all fields. Raises WrongField for the first that does not fit."""
    found: dict[str, Any] = {}
    gauges: list[Gauge] = []
    for field in fields:
        text = asked.get(field.name, "").strip()
        if not text and field.optional:
            found[field.name] = None
            continue
        try:
            found[field.name] = READERS[field.reads](field, text[:_LONGEST], gauges)
        except Question as question:
            raise WrongField(field.name, _two_ways(field, text, question)) from None
        except LotrootError as error:
            raise WrongField(field.name, error) from error
    return Values(found, tuple(gauges))


def at_field(fields: Sequence[Field], error: LotrootError, asked: Mapping[str, str]) -> WrongField:
    """The field that an error of theory is about: the one it calls so, else the first."""
    found = _REFUSED.match(str(error))
    name = re.sub(r" \d+$", "", found[1]) if found else ""
    for field in fields:
        if name in field.called or name == field.label.lower():
            return WrongField(field.name, _as_typed(field, asked.get(field.name, "").strip(), error))
    return WrongField(fields[0].name, error)


def _as_typed(field: Field, typed: str, error: LotrootError) -> LotrootError:
    """What theory says of base units, in the field's own words and unit: nobody typed grams."""
    base = {"kg": "g", "m": "mm"}.get(field.unit)
    found = _BASE_UNITS.fullmatch(error.expected) if field.reads == "amount" and base else None
    if found is None or found[3] != base:
        return error
    least, most = (Decimal(one) / 1_000 for one in found.groups()[:2])
    return Unreadable(
        f"{field.label}: {typed} cannot be.",
        value=typed,
        expected=f"Expected from {least:f} to {most:f} {field.unit}{found[4] or ''}.",
        next_step="Measure it again, or type it again.",
    )


def _two_ways(field: Field, text: str, question: Question) -> Unreadable:
    return Unreadable(
        f"{field.label}: {text} can be read in two ways.",
        value=text,
        expected=f"{' or '.join(question.choices.values())}.",
        next_step="Type all digits, or none behind the mark.",
    )


def _named(field: Field, text: str, error: Unreadable, expected: str) -> Unreadable:
    return Unreadable(
        f"{field.label}: {error.what}", value=text, expected=expected, next_step="Type it again."
    )


def _gauged(systems: dict[str, tuple[str, ...]]) -> Callable[[Field, str, list[Gauge]], Decimal]:
    def reader(field: Field, text: str, gauges: list[Gauge]) -> Decimal:
        if field.zero and _ZERO.fullmatch(text):
            return Decimal(0)
        size = read_size(text, field.label, of=systems, expected=field.expected)
        if size.gauge:
            gauges.append(size.gauge)
        return size.mm

    return reader


def _number(field: Field, text: str, _: list[Gauge]) -> Decimal:
    try:
        return read_number(text, field.expected)
    except Unreadable as error:
        unit = f" in {field.unit}" if field.unit else ""
        raise _named(field, text, error, f"A number{unit} such as {field.usual or field.expected}.") from None


def _amount(field: Field, text: str, _: list[Gauge]) -> int:
    """Base units of the field's unit; a unit typed along is converted."""
    try:
        scale = {"m": 1_000, "kg": 1_000}.get(field.unit, 1)
        return read_amount(text, field.unit, int(field.expected * scale))
    except Unreadable as error:
        expected = f"An amount in {field.unit} such as {field.usual or field.expected}. {error.expected}"
        raise _named(field, text, error, expected.strip()) from None


def _sizes(field: Field, text: str, gauges: list[Gauge]) -> tuple[Decimal, ...]:
    """Sizes side by side: "412 412 412" or "3 x 412"; a size that repeats is written once."""
    found: list[Decimal] = []
    for count, size in _parts(field, text, "3 x 412, or 412 412 412"):
        found += [read_size(size, field.label, of={}, expected=field.expected).mm] * count
    return tuple(found)


def _cuts(field: Field, text: str, _: list[Gauge]) -> tuple[tuple[int, int], ...]:
    """Lines of a cut list: "10 x 3.6, 4 x 5.2" in metres; how many, and mm."""
    lines = []
    for count, size in _parts(field, text, "10 x 3.6, 4 x 5.2"):
        try:
            lines.append((count, read_amount(size, "m", int(field.expected * 1_000))))
        except Unreadable as error:
            raise _named(field, size, error, "Sheets x metres, such as 10 x 3.6.") from None
    return tuple(lines)


def _parts(field: Field, text: str, example: str) -> list[tuple[int, str]]:
    """How many of what, part by part; marks of decimals stay inside a part, so parts end at ; or a blank."""
    plain = re.sub(r"\s*[x×*]\s*", " x ", " ".join(text.split()), flags=re.IGNORECASE)
    plain = re.sub(r"(?<=\d) (?=(?:mm|m|in|ft)\b)", "", plain).replace(" x ", "x")
    parts = [one for one in re.split(r"[;\s]+|,\s+", plain) if one]
    found = []
    for part in parts:
        count, _, size = part.rpartition("x")
        if not size or (count and not (count.isdecimal() and 0 < int(count[:9]) <= 1_000_000)):
            raise _no_parts(field, part, example)
        found.append((int(count or 1), size))
    if not found or (field.reads == "sizes" and sum(count for count, _ in found) > MOST_PARTS):
        raise _no_parts(field, text, example)
    return found


def _no_parts(field: Field, text: str, example: str) -> Unreadable:
    return Unreadable(
        f"{field.label}: “{text[:60]}” cannot be used.",
        value=text[:60],
        expected=f"Such as {example}; at most {MOST_PARTS}, and nothing of 0.",
        next_step="Type it again.",
    )


READERS: dict[str, Callable[[Field, str, list[Gauge]], Any]] = {
    "wire": _gauged(WIRE),
    "sheet": _gauged(SHEET),
    "size": _gauged({}),
    "number": _number,
    "amount": _amount,
    "sizes": _sizes,
    "cuts": _cuts,
}
"""How each kind of text is read: wire and sheet also by gauge with its system."""
