"""Which published constants does theory rest on?

They stand in shared/constants.csv with their sources; only the number of a circle is written here.
"""

from decimal import Decimal
from functools import cache

from lotroot import reference

PI = Decimal("3.14159265358979323846264338327950288419716939937510")
"""Circumference over diameter: OEIS A000796, 50 decimals."""


@cache
def constant(name: str) -> Decimal:
    """The published constant of that name, in the unit of its row. Raises Unknown."""
    return Decimal(reference.row("constants", name=name)["value"])


def steel_kg_per_m3() -> Decimal:
    """Density of steel. Other tables differ by 0.2 %, so no theory is truer than that."""
    return constant("steel density")
