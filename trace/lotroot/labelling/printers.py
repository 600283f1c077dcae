"""Which printers does the plant have, where is each, and which one prints for a station?

plant.toml names printers; what was set on the page of the printers goes before it, and may add more.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, bindparam, delete, insert, select

from lotroot.errors import Unknown
from lotroot.labelling.tables import printer, printer_seen, station_printer
from lotroot.plant.adopted import plant_or_none, thing_or_none
from lotroot.processes.definition import Plant

PRINT_ALONE = 15
"""Minutes after which a label prints on a person's word only, where plant.toml [minutes] has no
`print_alone` (our own choice)."""

_set = select(printer).order_by(printer.c.code)
_one_set = select(printer).where(printer.c.code == bindparam("code"))
_of_station = select(station_printer.c.printer).where(station_printer.c.station == bindparam("station"))
_seen = select(printer_seen)


@dataclass(frozen=True)
class Printer:
    """One printer as it is set: `address` empty for the label tray, `dpi` 0 for as the printer says,
    `across` and `along` the offset to the right and down in hundredths of a millimetre, `instead` the
    printer that takes over, `certificate` the SHA-256 of the one it is known by.
    """

    code: str
    name: str
    address: str = ""
    dpi: int = 0
    across: int = 0
    along: int = 0
    stock: str = ""
    instead: str = ""
    certificate: str = ""


def printers(connection: Connection) -> dict[str, Printer]:
    """Every printer of the plant by its code, as it is set now."""
    plant = plant_or_none(connection)
    known = plant.printers.values() if plant else ()
    found = {one.code: Printer(one.code, one.name, one.address, one.dpi) for one in known}
    return found | {row.code: Printer(*row) for row in connection.execute(_set)}


def printer_or_none(connection: Connection, code: str) -> Printer | None:
    """A printer by its code."""
    row = connection.execute(_one_set, {"code": code}).first() if code else None
    if row is not None:
        return Printer(*row)
    plant = plant_or_none(connection) if code else None
    one = plant.printers.get(code) if plant else None
    return Printer(one.code, one.name, one.address, one.dpi) if one else None


def find_printer(connection: Connection, code: str) -> Printer:
    """A printer by its code. Raises Unknown."""
    found = printer_or_none(connection, code)
    if found is None:
        raise Unknown(
            f"The plant has no printer {code}.",
            value=code,
            expected="One of: " + (", ".join(printers(connection)) or "none yet") + ".",
            next_step="Choose one, or add it on the page Printers.",
        )
    return found


def printer_at(connection: Connection, station: str) -> str:
    """The code of the printer that prints for a station (its number); empty for the label tray."""
    told = connection.scalar(_of_station, {"station": station}) if station else None
    found = printer_or_none(connection, _planned(connection, station) if told is None else told)
    return found.code if found is not None and found.address else ""


def chosen_for(connection: Connection, plant: Plant, station: str) -> str:
    """The code of the printer a station is given, whether or not it has an address."""
    told = connection.scalar(_of_station, {"station": station})
    return _planned(connection, station, plant) if told is None else told


def _planned(connection: Connection, station: str, plant: Plant | None = None) -> str:
    """What plant.toml says of a station's printer."""
    plant = plant or plant_or_none(connection)
    row = thing_or_none(connection, station) if station else None
    found = plant.stations.get(row.code) if plant and row is not None and row.kind == "station" else None
    return (found.printer or "") if found else ""


def after(connection: Connection, code: str) -> Printer | None:
    """The printer that takes over from one: the one set for it, else the next of the list with an address."""
    known = printers(connection)
    mine = known.get(code)
    if mine is not None and mine.instead in known and known[mine.instead].address:
        return known[mine.instead]
    codes = list(known)
    begin = codes.index(code) + 1 if code in known else 0
    others = (known[one] for one in codes[begin:] + codes[:begin] if one != code)
    return next((one for one in others if one.address), None)


def print_alone(plant: Plant | None) -> int:
    """For how many minutes a label may print by itself."""
    return plant.minutes.get("print_alone", PRINT_ALONE) if plant else PRINT_ALONE


def seen(connection: Connection) -> dict[str, Row[Any]]:
    """How each printer was when it was last asked: rows of at, model, resolutions, trouble, remark."""
    return {row.code: row for row in connection.execute(_seen)}


def keep_seen(connection: Connection, code: str, row: dict[str, Any]) -> None:
    """Keep how a printer is."""
    connection.execute(delete(printer_seen).where(printer_seen.c.code == code))
    connection.execute(insert(printer_seen), [{"code": code, **row}])
