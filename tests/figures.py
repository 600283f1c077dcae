"""How do tests look up a published figure and what the invented plant makes of it?"""

from decimal import ROUND_HALF_UP, Decimal

import plants
import pytest
from lotroot import reference
from lotroot.errors import Unknown
from lotroot.processes.parts import Product

PI = Decimal("3.14159265358979")


def rows(table: str, *columns: str, only: tuple[str, ...] = ()) -> list[object]:
    """The rows of a table as cases, named by a few of its columns; those of the names in `only`, or all."""
    named = [(" ".join(row[column] for column in columns), row) for row in reference.table(table)]
    missing = set(only) - {name for name, _ in named}
    if missing:
        raise Unknown(f"Table {table} has no rows {missing}.", value=", ".join(missing))
    return [pytest.param(row, id=name) for name, row in named if not only or name in only]


def constant(name: str) -> Decimal:
    """A published constant in its own unit."""
    return Decimal(reference.row("constants", name=name)["value"])


def whole(value: Decimal) -> int:
    """The nearest whole number."""
    return int(value.quantize(Decimal(1), ROUND_HALF_UP))


def steel_mg_per_metre(diameter_mm: Decimal) -> Decimal:
    """Mass of round steel wire: kg/m3 times mm2 is mg/m."""
    return constant("steel density") * PI / 4 * diameter_mm**2


def products(kind: str) -> list[Product]:
    """The invented plant's products of one kind."""
    return [product for product in plants.demo_plant().products.values() if product.kind == kind]


def bounds(product: str | None, characteristic: str) -> tuple[str, str, str]:
    """Low, high (empty where there is none) and confidence of what is asked of a product."""
    limits = plants.demo_plant().limits(characteristic, product)
    return limits.low or "", limits.high or "", limits.confidence
