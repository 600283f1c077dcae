"""How does a plant.toml become the plant, and its things get their numbers?"""

from collections.abc import Iterator
from dataclasses import dataclass

from lotroot.errors import Refused
from lotroot.plant.adopted import plant_or_none, things
from lotroot.plant.facts import PlantAdopted, ThingNumbered
from lotroot.processes.bounds import check_bounds
from lotroot.processes.definition import Plant
from lotroot.processes.reading import parse
from lotroot.stock.carriers import carrier_or_none
from lotroot.stock.events import CarrierOpened
from lotroot.work import Answer, Handler, Work


@dataclass(frozen=True)
class AdoptPlant:
    """The plant is from now on what `text` says: plant.toml with its catalogue written out."""

    text: str


def _adopt(work: Work, command: AdoptPlant) -> Answer:
    plant = parse(command.text)
    check_bounds(plant)
    before = plant_or_none(work.connection)
    if before is not None and before.hash == plant.hash:
        raise Refused(
            "This very plant.toml is in force already.",
            word="already",
            value=plant.hash[:12],
            expected="A changed file.",
            next_step="Change the file, then adopt it.",
        )
    work.judge_by(plant)
    work.record(PlantAdopted(plant.hash, plant.text))
    numbered = _number_things(work, plant)
    return Answer(f"{plant.name} is set up; {len(numbered)} things got a number.", tuple(numbered))


def _number_things(work: Work, plant: Plant) -> list[str]:
    """Number what has no number yet; a thing keeps its number through every later version."""
    known = {(row.kind, row.code, row.owner) for row in things(work.connection)}
    given = []
    for kind, code, owner in _things_of(plant):
        if (kind, code, owner) not in known:
            given.append(work.number("T"))
            work.record(ThingNumbered(given[-1], kind, code, owner))
    for carrier in plant.carriers.values():
        if carrier_or_none(work.connection, carrier.code) is None:
            given.append(work.number("P"))
            work.record(CarrierOpened(given[-1], carrier.kind, "", carrier.code, reusable=True))
    return given


def _things_of(plant: Plant) -> Iterator[tuple[str, str, str]]:
    """Kind, code and owner of everything in the plant that carries a label."""
    groups = {
        "place": plant.places,
        "vessel": plant.vessels,
        "instrument": plant.instruments,
        "resource": plant.resources,
        "printer": plant.printers,
        "station": plant.stations,
    }
    for kind, group in groups.items():
        for code in group:
            yield kind, code, ""
    for station in plant.stations.values():
        for payoff in station.payoffs:
            yield "payoff", payoff.code, station.code
    for code in plant.bins:  # last, so that nothing else gets another number for them
        yield "bin", code, ""


HANDLERS: dict[type, Handler] = {AdoptPlant: Handler(_adopt, first=True, pin=True)}
