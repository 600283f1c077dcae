"""What does one version of the plant say, and where is the thing with this code?

`Plant` is what `AdoptPlant` stored, read back: every posting and run is judged by the version it ran
under (DESIGN.md section 7).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from lotroot.errors import Unknown
from lotroot.processes.bins import Bin
from lotroot.processes.parts import (
    Carrier,
    Characteristic,
    Gs1,
    Instrument,
    Kind,
    LayoutChoice,
    Limits,
    Payoff,
    Place,
    Printer,
    Product,
    Reason,
    Resource,
    Shift,
    Station,
    Vessel,
)
from lotroot.processes.working import Drafts, Margin, Output, Process, Role

__all__ = [
    "Bin",
    "Carrier",
    "Characteristic",
    "Drafts",
    "Gs1",
    "Instrument",
    "Kind",
    "LayoutChoice",
    "Limits",
    "Margin",
    "Output",
    "Payoff",
    "Place",
    "Plant",
    "Printer",
    "Process",
    "Product",
    "Reason",
    "Resource",
    "Role",
    "Shift",
    "Station",
    "Vessel",
]

_T = TypeVar("_T")


LATER = {
    "AnswerWithPad": "PrintAgain",
    "PrintNow": "PrintAgain",
    "SendElsewhere": "PrintAgain",
    "SayPrinted": "PrintAgain",
    "DropLabel": "PrintAgain",
    "PrintForCustomer": "PrintAgain",
    "DestroyPadLabels": "ReserveNumbers",
    "SetPrinter": "ReserveNumbers",
    "PrintAt": "ReserveNumbers",
    "TryPrinter": "ReserveNumbers",
    "ChangeParty": "AddParty",
    "SetCustomerItem": "AddParty",
    "EndHold": "ReleaseHold",
    "ConfirmFigure": "AdoptPlant",
    "OverrideFigure": "AdoptPlant",
    "WithdrawFigure": "AdoptPlant",
    "WeighBin": "ScrapInput",
    "CorrectBin": "CorrectAmount",
    "WeighEmpty": "EmptyCarrier",
    "RecutDie": "ChangeTool",
    "CloseMonth": "CloseComplaint",
    "SetFactor": "SettleQuestion",
    "WithdrawFactor": "SettleQuestion",
}
"""Commands that came later, each with the older one whose roles have it where no role names it."""


@dataclass(frozen=True, slots=True)
class Plant:
    """One version of a plant; dicts are by code, in the order of the text.

    `hash` is the sha256 of `text` in hex. `units` maps a base unit to the unit shown. `roles` maps a
    person's role to the commands it may post ("*": all). `minutes` are the plant's patience, by name.
    `unsure_permille` is how far an amount may be off by how it is known, where no scale tells.
    A bare number `far_off` times above or below the weight expected at receiving may not be a weight.
    A factor from weighed rolls lies in `factor_between`, the least and the most of theory as decimal text.
    """

    name: str
    site: str
    demo: bool
    hash: str
    text: str
    number_start: int
    far_off: int
    factor_between: tuple[str, str]
    units: Mapping[str, str]
    day_start: str
    zone: str
    shifts: tuple[Shift, ...]
    kinds: Mapping[str, Kind]
    products: Mapping[str, Product]
    stations: Mapping[str, Station]
    places: Mapping[str, Place]
    vessels: Mapping[str, Vessel]
    instruments: Mapping[str, Instrument]
    resources: Mapping[str, Resource]
    carriers: Mapping[str, Carrier]
    bins: Mapping[str, Bin]
    printers: Mapping[str, Printer]
    reasons: Mapping[str, Reason]
    processes: Mapping[str, Process]
    characteristics: Mapping[str, Characteristic]
    gs1: Gs1 | None
    layout_choices: tuple[LayoutChoice, ...]
    roles: Mapping[str, tuple[str, ...]]
    minutes: Mapping[str, int]
    unsure_permille: Mapping[str, int]

    def kind(self, code: str) -> Kind:
        """The kind of lot with this code; Unknown if the plant has none."""
        return _found(self.kinds, code, "kind of lot")

    def product(self, code: str) -> Product:
        """The product with this code; Unknown if the plant has none."""
        return _found(self.products, code, "product")

    def station(self, code: str) -> Station:
        """The station with this code; Unknown if the plant has none."""
        return _found(self.stations, code, "station")

    def place(self, code: str) -> Place:
        """The place with this code; Unknown if the plant has none."""
        return _found(self.places, code, "place")

    def vessel(self, code: str) -> Vessel:
        """The vessel with this code; Unknown if the plant has none."""
        return _found(self.vessels, code, "vessel")

    def instrument(self, code: str) -> Instrument:
        """The instrument with this code; Unknown if the plant has none."""
        return _found(self.instruments, code, "instrument")

    def resource(self, code: str) -> Resource:
        """The die set, mould or the like with this code; Unknown if the plant has none."""
        return _found(self.resources, code, "resource")

    def carrier(self, code: str) -> Carrier:
        """The permanent carrier with this code; Unknown if the plant has none."""
        return _found(self.carriers, code, "carrier")

    def bin(self, code: str) -> Bin:
        """The bin with this code; Unknown if the plant has none."""
        return _found(self.bins, code, "bin")

    def bins_at(self, station: str) -> tuple[Bin, ...]:
        """The bins a station throws its scrap into."""
        return tuple(one for one in self.bins.values() if station in one.stations)

    def printer(self, code: str) -> Printer:
        """The printer with this code; Unknown if the plant has none."""
        return _found(self.printers, code, "printer")

    def reason(self, code: str) -> Reason:
        """The reason with this code; Unknown if the plant has none."""
        return _found(self.reasons, code, "reason")

    def process(self, code: str) -> Process:
        """The process with this code; Unknown if the plant has none."""
        return _found(self.processes, code, "process")

    def characteristic(self, code: str) -> Characteristic:
        """The characteristic with this code; Unknown if the plant has none."""
        return _found(self.characteristics, code, "characteristic")

    def reasons_of(self, group: str) -> tuple[Reason, ...]:
        """The buttons of one group (scrap, hold, broke ...), in the order of the text."""
        return tuple(reason for reason in self.reasons.values() if reason.group == group)

    def stations_working(self, process: str) -> tuple[Station, ...]:
        """The stations that can work a process."""
        return tuple(station for station in self.stations.values() if process in station.processes)

    def limits(self, characteristic: str, product: str | None) -> Limits:
        """What a reading may be on this product: the product's own limits, else the characteristic's."""
        general = self.characteristic(characteristic).limits
        return general if product is None else self.product(product).limits.get(characteristic, general)

    def allows(self, roles: Iterable[str], command: str) -> bool:
        """Whether any of a person's roles covers a command; roles the plant does not know cover none.

        What a plant adopted before there was such a command says of no role goes by the older one beside it.
        """
        if command in LATER and all(command not in named for named in self.roles.values()):
            command = LATER[command]
        allowed = [command_name for role in roles for command_name in self.roles.get(role, ())]
        return command in allowed or "*" in allowed


def _found(table: Mapping[str, _T], code: str, what: str) -> _T:
    try:
        return table[code]
    except KeyError:
        known = ", ".join(sorted(table)[:12]) or "none"
        raise Unknown(
            f"This plant has no {what} {code!r}.",
            value=code,
            expected=f"Known here: {known}.",
            next_step="Check the code, or add it to plant.toml and adopt that.",
        ) from None
