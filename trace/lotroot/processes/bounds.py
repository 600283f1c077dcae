"""Which figures of a plant's text could not be meant, though each of them can be read?

Asked when a text is adopted and never of one that is stored: what was adopted before must open for ever.
"""

from collections.abc import Iterator
from decimal import Decimal
from typing import NamedTuple

from lotroot.errors import Unreadable
from lotroot.processes.definition import Plant
from lotroot.theory.sizes import MICROMETRE

WHOLE = 1000
"""Thousandths of a whole: no more of an amount can be lost, or be off, than there is."""


class _Wrong(NamedTuple):
    place: str
    key: str
    value: object
    expected: str


def check_bounds(plant: Plant) -> None:
    """Raise `Unreadable` at the first figure of a plant that could not be meant."""
    for wrong in (*_of_processes(plant), *_of_the_plant(plant), *_of_dies(plant)):
        raise Unreadable(
            f"In [{wrong.place}], {wrong.key} = {wrong.value} cannot be used.",
            value=str(wrong.value),
            expected=f"Expected {wrong.expected}.",
            next_step="Mend plant.toml there and try again; nothing was changed.",
        )


def _of_processes(plant: Plant) -> Iterator[_Wrong]:
    for one in plant.processes.values():
        place = f"process.{one.code}"
        yield from _parts(place, "loss_permille", one.loss_permille)
        yield from _parts(place, "tolerance_permille", one.tolerance_permille)
        yield from _parts(f"{place}.margin", "loss_permille", one.margin.loss_permille)


def _of_the_plant(plant: Plant) -> Iterator[_Wrong]:
    for how, permille in plant.unsure_permille.items():
        yield from _parts("unsure_permille", how, permille)


def _of_dies(plant: Plant) -> Iterator[_Wrong]:
    """No micrometer reads a die finer than a micrometre."""
    for one in plant.resources.values():
        for die in one.dies_mm:
            if Decimal(die) % MICROMETRE:
                yield _Wrong(f"resource.{one.code}", "dies_mm", repr(die), "at most three decimals of a mm")


def _parts(place: str, key: str, permille: int) -> Iterator[_Wrong]:
    if permille > WHOLE:
        yield _Wrong(place, key, permille, f"thousandths, at most {WHOLE}")
