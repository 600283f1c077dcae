"""How are a label's amounts and dates written?"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

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
