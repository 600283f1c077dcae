"""Where can goods stand by themselves, and what is such a place called?"""

from typing import Any

from sqlalchemy import Connection

from lotroot.errors import Refused
from lotroot.identity.showing import shown
from lotroot.plant.adopted import thing_or_none
from lotroot.processes.definition import Plant

STANDING_THINGS = ("place", "vessel", "station")


def place_name(connection: Connection, plant: Plant, number: str) -> str:
    """The name of a place, vessel or station by its number. Raises Refused for anything else."""
    row = thing_or_none(connection, number)
    if row is None or row.kind not in STANDING_THINGS:
        raise Refused(
            f"{shown(number)} is no place.",
            value=number,
            expected="The label of a place.",
            next_step="Scan the place first, then what stands there.",
        )
    groups: dict[str, Any] = {"place": plant.places, "vessel": plant.vessels, "station": plant.stations}
    found = groups[row.kind].get(row.code)
    return str(found.name) if found else str(row.code)
