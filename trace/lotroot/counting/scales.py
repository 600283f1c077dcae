"""How far apart may two readings of the same goods be, and nobody can say that they differ?

A scale shows whole steps. Which of the plant's scales weighed the goods before is not known any more, so
what is within one step of the coarsest that reads in that unit is no difference (our own rule).
"""

from decimal import ROUND_FLOOR, Decimal

from lotroot.processes.definition import Plant
from lotroot.quantities import UNITS


def least_difference(plant: Plant, unit: str) -> int:
    """The coarsest step in base units of `unit` (g, mm, ml, cm3, pcs); 0 where nothing reads in it."""
    steps = [
        Decimal(one.step) * UNITS[one.unit].size
        for one in plant.instruments.values()
        if one.unit in UNITS and UNITS[one.unit].base == unit
    ]
    return int(max(steps, default=Decimal(0)).to_integral_value(ROUND_FLOOR))


def differs(plant: Plant, unit: str, recorded: int, found: int) -> bool:
    """Whether what was found is another amount than what is recorded, both in base units of `unit`."""
    return abs(found - recorded) > least_difference(plant, unit)
