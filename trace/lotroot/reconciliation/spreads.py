"""How far may the amounts of a run be off, by the scales they were read on or by how else they are known?

A reading is off by what plant.toml says of the scale's uncertainty, else by one division: half of one at the
gross reading and half at the tare (ours). Where no scale is named, by so many thousandths for each way of
knowing (`unsure_permille`).
"""

from collections import Counter
from collections.abc import Iterable
from decimal import ROUND_CEILING, Decimal
from typing import NamedTuple

from lotroot.balance.reconciling import combined
from lotroot.processes.definition import Plant
from lotroot.quantities import UNITS

WEIGHED = "weighed"


class Reading(NamedTuple):
    """An amount as recorded: in the stream's unit, how it is known, where, and in how many readings."""

    amount: int
    how: str
    station: str
    times: int = 1


def spread(plant: Plant, unit: str, readings: Iterable[Reading]) -> int:
    """How far the sum of readings may be off, in base unit `unit`; what is counted in pieces is exact."""
    weighings: Counter[int] = Counter()
    shares: Counter[str] = Counter()
    for one in readings:
        off = scale_off(plant, one.station, unit) if one.how == WEIGHED else 0
        if off:
            weighings[off] += one.times
        elif not (unit == "pcs" and one.how == "counted"):
            shares[one.how] += abs(one.amount)
    parts = [-(-amount * plant.unsure_permille.get(how, 0) // 1000) for how, amount in shares.items()]
    return combined([(times, off) for off, times in weighings.items()], parts)


def scale_off(plant: Plant, station: str, unit: str) -> int:
    """How far a reading of a station's scale may be off, in base units; 0 where it has none for that unit."""
    found = plant.stations.get(station)
    scale = plant.instruments.get(found.scale) if found is not None and found.scale else None
    told = UNITS.get(scale.unit) if scale is not None else None
    if scale is None or told is None or told.base != unit:
        return 0
    off = Decimal(scale.uncertainty or scale.step or 0) * told.size
    return int(off.to_integral_value(ROUND_CEILING))
