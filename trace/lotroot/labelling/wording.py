"""How are a label's amounts, dates, heats and welds written?"""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from lotroot.identity.showing import shown
from lotroot.labelling.wire import Coil
from lotroot.processes.definition import Plant
from lotroot.quantities import show_amount
from lotroot.work import MICROSECONDS

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def date_words(at: int, plant: Plant | None) -> str:
    """A time (microseconds UTC) as the plant's clock shows it, the month as a word: 24 Nov 2026 14:05.

    Numbers alone would be read as another day in another country.
    """
    local = datetime.fromtimestamp(at / MICROSECONDS, ZoneInfo(plant.zone) if plant else UTC)
    return f"{local.day} {MONTHS[local.month - 1]} {local.year} {local:%H:%M}"


def amount_words(amount: int, unit: str, plant: Plant | None) -> str:
    """An amount of a base unit in the unit this plant shows it in: 1 184.5 kg."""
    return show_amount(amount, unit, plant.units.get(unit, unit) if plant else unit)


def described(plant: Plant | None, code: str) -> str:
    """A product's name and size, or its code where this version of the plant no longer has it."""
    product = plant.products.get(code) if plant else None
    if product is None:
        return code
    return product.name if product.size in product.name else f"{product.name} {product.size}"


def named(plant: Plant | None, code: str) -> str:
    """A product's name alone, or its code."""
    product = plant.products.get(code) if plant else None
    return code if product is None else product.name


MOST_NAMED = 4
"""Heats or coils named on one line of a label; of more, how many they are is what helps."""


def heat_words(coils: Sequence[Coil]) -> str:
    """The heats of coils: 4471902 / 4471903; one that only an uncertain border names is a maybe."""
    sure = dict.fromkeys(heat for coil in coils if coil.sure for heat in coil.heats)
    unsure = dict.fromkeys(heat for coil in coils for heat in coil.heats if heat not in sure)
    return _named(sure, unsure)


def coil_words(coils: Sequence[Coil]) -> str:
    """The numbers of coils as a person reads them, likewise; one alone with the supplier's number of it."""
    if len(coils) == 1 and coils[0].supplier_number:
        return f"{shown(coils[0].number)} ({coils[0].supplier_number})"
    sure = [shown(coil.number) for coil in coils if coil.sure]
    unsure = [shown(coil.number) for coil in coils if not coil.sure]
    return _named(sure, unsure)


def weld_words(expected: int, possible: int) -> str:
    """How many welds a roll holds: no weld, 2 welds, 1 weld possible, 1 weld and 1 possible."""
    if not expected:
        return f"{_welds(possible)} possible" if possible else "no weld"
    return _welds(expected) + (f" and {possible} possible" if possible else "")


def _welds(count: int) -> str:
    return "1 weld" if count == 1 else f"{count} welds"


def _named(sure: Iterable[str], unsure: Iterable[str]) -> str:
    named, maybe = list(sure), list(unsure)
    if len(named) + len(maybe) > MOST_NAMED:
        return f"{len(named) + len(maybe)} different"
    return ", maybe ".join(text for text in (" / ".join(named), *maybe) if text)
