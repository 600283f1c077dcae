"""What are numbers, codes, amounts and times called here, in words people at the plant use?

Names of people are looked up at the moment of reading: they stand outside the ledger.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.genealogy.walks import lots_numbered
from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.labelling.wording import amount_words, date_words, described
from lotroot.ledger.canonical import canonical
from lotroot.ledger.codec import encode
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import plant_or_none, things
from lotroot.processes.definition import Plant
from lotroot.stock.carriers import coded_carriers

NUMBER = 11
"""Characters of a number."""
_LOT = re.compile(r"\b[A-Z]\d{10}\b")


class Named(NamedTuple):
    """A number or code, and what people call it."""

    number: str
    name: str


class Quantity(NamedTuple):
    """An amount in a base unit, and as the plant shows it."""

    amount: int
    unit: str
    shown: str


class Moment(NamedTuple):
    """A time in microseconds UTC, and as the plant's clocks show it."""

    at: int
    shown: str


class Words:
    """The words of one plant as it is now: a few statements, however much is told."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self.plant: Plant | None = plant_or_none(connection)
        self._names = names_of(connection)
        self._things = {row.number: row for row in things(connection)}
        self._carriers = {row.number: row for row in coded_carriers(connection)}
        self._lots: dict[str, Row[Any]] = {}

    def learn(self, lots: Iterable[str]) -> None:
        """Look up some lots together, so that their units are known; others count as none."""
        self._lots.update(lots_numbered(self._connection, set(lots) - set(self._lots)))

    def learn_from(self, facts: Iterable[Any]) -> None:
        """Look up every lot that some events name."""
        self.learn({number for fact in facts for number in _LOT.findall(canonical(encode(fact)))})

    def called(self, number: str) -> str:
        """What people call a number: a person's name, Coil yard, Pan 17, R26-000123-83."""
        if number in self._things:
            return self._thing(self._things[number])
        if number in self._carriers:
            return _name(self.plant.carriers if self.plant else {}, self._carriers[number].code)
        if number.startswith(Family.CARRIER) and len(number) == NUMBER:
            return f"pallet {shown(number)}"  # every other carrier has a code
        return self._names.get(number) or shown(number)

    def named(self, number: str) -> Named:
        """A number with what it is called."""
        return Named(number, self.called(number) if number else "")

    def _thing(self, row: Row[Any]) -> str:
        plant = self.plant
        if plant is None:
            return str(row.code)
        if row.kind == "payoff":
            station = plant.stations.get(row.owner)
            payoffs = {payoff.code: payoff.name for payoff in station.payoffs} if station else {}
            return payoffs.get(row.code, str(row.code))
        groups: dict[str, Mapping[str, Any]] = {
            "place": plant.places,
            "vessel": plant.vessels,
            "station": plant.stations,
            "resource": plant.resources,
            "instrument": plant.instruments,
            "printer": plant.printers,
            "bin": plant.bins,
        }
        return _name(groups.get(row.kind, {}), row.code)

    def people(self) -> list[tuple[str, str]]:
        """Everybody who has a name: number and name, by name."""
        found = [(number, name) for number, name in self._names.items() if number.startswith(Family.PERSON)]
        return sorted((one for one in found if len(one[0]) == NUMBER), key=lambda one: one[1])

    def numbers_of(self, kind: str) -> list[str]:
        """The numbers of all things of a kind, such as stations."""
        return [number for number, row in self._things.items() if row.kind == kind]

    def party(self, code: str) -> str:
        """A supplier's or customer's name."""
        return self._names.get(code, code)

    def product(self, code: str) -> str:
        """A product's name and size."""
        return described(self.plant, code)

    def kind(self, code: str) -> str:
        """A kind of lot, as the plant says."""
        return _name(self.plant.kinds if self.plant else {}, code)

    def process(self, code: str) -> str:
        """A process's name."""
        return _name(self.plant.processes if self.plant else {}, code)

    def characteristic(self, code: str) -> str:
        """What is checked."""
        return _name(self.plant.characteristics if self.plant else {}, code)

    def reason(self, code: str) -> str:
        """A reason's words, or words that were typed."""
        found = self.plant.reasons.get(code) if self.plant else None
        return found.words if found else code

    def typed(self, by: str) -> str:
        """Whether a scale or fingers typed a number, to go on with; nothing where it is not known."""
        return {"hand": ", typed by hand", "scale": ", off the scale"}.get(by, "")

    def lot(self, number: str) -> Row[Any] | None:
        """A lot that was looked up."""
        return self._lots.get(number)

    def stream_unit(self, stream: str) -> str:
        """The base unit a stream closes in; empty where the plant's processes do not agree or know none."""
        processes = self.plant.processes.values() if self.plant else ()
        units = {one.streams[stream] for one in processes if stream in one.streams}
        return units.pop() if len(units) == 1 else ""

    def amount(self, amount: int, unit: str) -> str:
        """An amount as the plant shows it."""
        return amount_words(amount, unit, self.plant)

    def amount_of(self, lot: str, amount: int) -> str:
        """An amount of a lot as the plant shows it; the bare figure where the lot is not known."""
        row = self._lots.get(lot)
        return self.amount(amount, row.unit) if row is not None else str(amount)

    def quantity(self, amount: int, unit: str) -> Quantity:
        """An amount with how it is shown."""
        return Quantity(amount, unit, self.amount(amount, unit))

    def time(self, at: int) -> str:
        """A time as the plant's clocks show it."""
        return date_words(at, self.plant)

    def moment(self, at: int) -> Moment:
        """A time with how it is shown."""
        return Moment(at, self.time(at))


def items(first: int, last: int) -> str:
    """Serials in words: empty, item 3, items 3 to 7."""
    if not first:
        return ""
    return f"item {first}" if first == last else f"items {first} to {last}"


def _name(group: Mapping[str, Any], code: str) -> str:
    found = group.get(code)
    return str(found.name) if found is not None else code
