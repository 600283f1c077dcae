"""Which size in mm does a text mean: millimetres, inches, or a gauge with its system?

Four systems of wire gauges share their numbers and mean different wires, and sheet has systems of its own.
A size is therefore always kept in mm; its gauge is only shown beside it, with its system. Figures stand in
the tables wire_gauges and sheet_gauges.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import NamedTuple

from lotroot.errors import Unreadable
from lotroot.quantities import read_number
from lotroot.reference import table

MM_PER_INCH = Decimal("25.4")  # exact: international yard and pound agreement, 1959
BELOW = 10**9
USUAL_MM = Decimal(5)
"""Settles "2.500": wire, rod and sheet lie between half a millimetre and 50 mm. A width passes its own."""

WIRE = {
    "US": ("us", "us steel", "usswg", "w&m", "w & m"),
    "SWG": ("swg", "imperial", "imperial swg", "iswg"),
    "BWG": ("bwg", "birmingham", "stubs"),
    "AWG": ("awg", "b&s", "b & s"),
}
"""Each system of wire and how it is written; SWG alone is the British one."""

SHEET = {
    "MSG": ("msg", "manufacturers", "manufacturers standard", "manufacturers' standard"),
    "GSG": ("gsg", "galvanized", "galvanised"),
    "SWG sheet": ("swg sheet", "swg", "imperial swg", "imperial"),
}

_FIGURE = "[0-9]+/0|0{1,7}|[0-9]+(?:[ -]1/2|[.,]5)?"
_WORD = "ga\\.?|gauge|gage"
_UNITS = {"": Decimal(1), "mm": Decimal(1), "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH}
_SIZE = re.compile("(.*?) ?([^\\W\\d_]*)")
_BARE = re.compile(f"(?:no\\.? ?|# ?)?({_FIGURE}) ?(?:{_WORD})|(?:{_WORD}) ?({_FIGURE})")


@dataclass(frozen=True, slots=True)
class Gauge:
    """A gauge of one system and the size it means, in mm."""

    system: str
    number: str
    mm: Decimal

    @property
    def shown(self) -> str:
        """As people write it: 12 BWG."""
        return f"{self.number} {self.system}"


@dataclass(frozen=True, slots=True)
class Size:
    """A diameter or thickness in mm, and the gauge it was given as."""

    mm: Decimal
    gauge: Gauge | None = None

    @property
    def shown(self) -> str:
        """2.77 mm (12 BWG)."""
        return in_mm(self.mm) + (f" ({self.gauge.shown})" if self.gauge else "")


def size_mm(
    text: str, field: str, *, of: dict[str, tuple[str, ...]] = WIRE, expected: Decimal = USUAL_MM
) -> Decimal:
    """The size in mm that `text` means. Raises Unreadable, or Question as `read_number` does."""
    return read_size(text, field, of=of, expected=expected).mm


def read_size(
    text: str, field: str, *, of: dict[str, tuple[str, ...]] = WIRE, expected: Decimal = USUAL_MM
) -> Size:
    """The size that `text` means: "2.5", "2,5 mm", "0.099 in", or a gauge of one of the systems `of`.

    `field` is what the message calls it; `expected`, in mm, settles "2.500". Raises Unreadable for a gauge
    without its system or one that the system has not, for zero, 10^9 mm or more, and any other unit.
    """
    plain = " ".join(text.casefold().replace("½", " 1/2").split())
    for system, spellings in of.items():
        number = _number_in(plain, spellings)
        if number:
            gauge = _gauge(system, number, field, of)
            return Size(gauge.mm, gauge)
    bare = _BARE.fullmatch(plain) if of else None
    if bare:
        raise _without_system(text.strip(), _normal(bare[1] or bare[2]), field, of)
    fits = (
        "A size such as 2.5, 2.5 mm or 0.099 in"
        + (f", or a gauge with its system, such as {_example(of)}" if of else "")
        + "."
    )
    return Size(_length(plain, text.strip(), _Wanted(field, expected, fits)))


def gauges_numbered(number: str, of: dict[str, tuple[str, ...]] = WIRE) -> tuple[Gauge, ...]:
    """What a gauge number means in each system that has it."""
    return tuple(_known()[system, number] for system in of if (system, number) in _known())


def awg_mm(order: int) -> Decimal:
    """Diameter of American gauge `order` in mm; 0, -1, -2, -3 are 0, 2/0, 3/0, 4/0.

    0.005 in x 92^((36 - n)/39): 36 is 0.005 in and 4/0, 39 steps up, 0.46 in (wire_gauges gives the source).
    """
    inches = Decimal("0.005") * Decimal(92) ** (Decimal(36 - order) / 39)
    return (inches * MM_PER_INCH).quantize(Decimal("0.0001"))


def in_mm(size: Decimal) -> str:
    """A size for people: two decimals, three below one millimetre, none that say nothing."""
    step = Decimal("0.01") if size >= 1 else Decimal("0.001")
    return f"{size.quantize(step).normalize():f} mm"


def _number_in(plain: str, spellings: tuple[str, ...]) -> str:
    """The gauge number in "12 bwg", "12 ga bwg", "bwg 12" or "bwg no. 12"; empty in anything else."""
    for spelling in spellings:
        system = re.escape(spelling)
        before = f"(?:no\\.? ?|# ?)?({_FIGURE}) ?(?:(?:{_WORD}) ?)?{system}(?: ?(?:{_WORD}))?"
        behind = f"{system} ?(?:(?:{_WORD}) ?)?(?:no\\.? ?|# ?)?({_FIGURE})"
        found = re.fullmatch(f"{before}|{behind}", plain)
        if found:
            return _normal(found[1] or found[2])
    return ""


def _normal(number: str) -> str:
    """A gauge number as the tables write it: 12 1/2 for 12.5 and 12-1/2, 3/0 for 000."""
    if "/0" in number:
        return number
    if len(number) > 1 and not number.strip("0"):
        return f"{len(number)}/0"
    whole = re.split("[ .,-]", number)[0]
    return str(int(whole)) + (" 1/2" if whole != number else "")


@cache
def _known() -> dict[tuple[str, str], Gauge]:
    """Every gauge of the tables; American ones by their definition as far as it holds."""
    wire = ((row["system"], row["gauge"], row["diameter_mm"]) for row in table("wire_gauges"))
    sheet = ((row["system"], row["gauge"], row["thickness_mm"]) for row in table("sheet_gauges"))
    known = {
        (system, number): Gauge(system, number, Decimal(mm))
        for rows in (wire, sheet)
        for system, number, mm in rows
    }
    for order in range(-3, 41):
        number = str(order) if order >= 0 else f"{1 - order}/0"
        known["AWG", number] = Gauge("AWG", number, awg_mm(order))
    return known


def _gauge(system: str, number: str, field: str, of: dict[str, tuple[str, ...]]) -> Gauge:
    found = _known().get((system, number))
    if found is not None:
        return found
    elsewhere = _listed(gauges_numbered(number, of))
    whole = number.removesuffix(" 1/2")
    beside = [whole, str(int(whole) + 1)] if whole != number else []
    near = _listed(tuple(_known()[system, one] for one in beside if (system, one) in _known()))
    has = [gauge.number for gauge in _known().values() if gauge.system == system]
    raise Unreadable(
        f"{field}: there is no {number} {system}.",
        value=f"{number} {system}",
        expected=f"{system} goes from {has[0]} to {has[-1]}"
        + "".join(f"; {part}" for part in (near, elsewhere) if part)
        + ".",
        next_step="Type the size in mm, or a gauge that the system has.",
    )


def _without_system(typed: str, number: str, field: str, of: dict[str, tuple[str, ...]]) -> Unreadable:
    meant = gauges_numbered(number, of)
    example = meant[0].shown if meant else _example(of)
    return Unreadable(
        f"{field}: {typed} does not say which gauge.",
        value=typed,
        expected=(_listed(meant) or f"No system has {number}; expected one of {', '.join(of)}") + ".",
        next_step=f"Type the system along, as in {example}, or the size in mm.",
    )


def _example(of: dict[str, tuple[str, ...]]) -> str:
    """A gauge that is usual in one of the systems."""
    return "12 BWG" if "BWG" in of else f"26 {next(iter(of))}"


def _listed(gauges: tuple[Gauge, ...]) -> str:
    return ", ".join(f"{gauge.shown} is {in_mm(gauge.mm)}" for gauge in gauges)


class _Wanted(NamedTuple):
    """A size that is asked for: what the field is called, about how large it is in mm, and what would fit."""

    field: str
    expected: Decimal
    fits: str


def _length(plain: str, typed: str, wanted: _Wanted) -> Decimal:
    """A size in mm or inches, above 0 and below 10^9 mm."""
    field, fits = wanted.field, wanted.fits
    found = _SIZE.fullmatch(plain.replace('"', " in").replace("″", " in"))
    figure, unit = (found[1].strip(), found[2]) if found else (plain, "")
    if figure and unit not in _UNITS:
        raise _unfit(field, f"{unit} is no unit of a size.", typed, fits)
    try:
        size = read_number(figure or plain, wanted.expected / _UNITS.get(unit, 1), question=field)
    except Unreadable as refusal:
        raise _unfit(field, refusal.what, typed, fits) from None
    size *= _UNITS[unit]
    if size == 0:
        raise _unfit(field, "0 is no size.", typed, "Above 0. " + fits)
    if size >= BELOW:
        raise _unfit(field, f"{typed} is too large.", typed, "Below 1000000000 mm. " + fits)
    return size


def _unfit(field: str, what: str, typed: str, expected: str) -> Unreadable:
    return Unreadable(f"{field}: {what}", value=typed[:60], expected=expected, next_step="Type it again.")
