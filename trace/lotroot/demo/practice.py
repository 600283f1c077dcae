"""What does somebody need to try the demo: whose badge, which lots, which machines, which commands?"""

import tomllib
from dataclasses import dataclass
from functools import cache

from sqlalchemy import Connection, select

from lotroot.genealogy.tables import lot
from lotroot.identity import Badge, Command
from lotroot.identity.showing import shown
from lotroot.papers.sheets import Entry, Group, Paper, groups_sheet
from lotroot.plant.adopted import current_plant, number_of
from lotroot.settings import data_folder
from lotroot.stock.carriers import find_carrier
from lotroot.stock.tables import carrier, standing

STATIONS = ("receiving", "draw_1", "nail_1", "packing", "treating", "dispatch", "laboratory")
COMMANDS = (
    *(Command.DONE, Command.UNDO, Command.PRINT_AGAIN, Command.SAME_AGAIN, Command.PART, Command.ENDED),
    *(Command.NEXT, Command.ROW, Command.YES, Command.ANSWER_1, Command.ANSWER_2, Command.LEAVE_IT),
)
KINDS = ("rod", "stripper", "tumbled_nails", "boxed_nails", "lumber", "treated_lumber", "sheet_coil")


@dataclass(frozen=True)
class Somebody:
    """A person of the demo, with what signs them in."""

    key: str
    name: str
    roles: tuple[str, ...]
    badge: str
    pin: str


@cache
def people() -> tuple[Somebody, ...]:
    """The people of the demo, as people.toml has them."""
    told = tomllib.loads((data_folder("demo_seed") / "people.toml").read_text(encoding="utf-8"))
    return tuple(
        Somebody(key, one["name"], tuple(one["roles"]), str(Badge(one["badge"])), one["pin"])
        for key, one in told["person"].items()
    )


def groups(connection: Connection) -> tuple[Group, ...]:
    """What the practice sheet holds: badges, goods that stand in the plant now, machines, commands."""
    plant = current_plant(connection)
    badges = [Entry(one.badge, one.name, f"{', '.join(one.roles)}, PIN {one.pin}") for one in people()]
    machines = [
        Entry(number_of(connection, "station", code), plant.station(code).name, "station")
        for code in STATIONS
    ]
    codes = [Entry(one.code, one.word, one.meaning) for one in COMMANDS]
    return (
        Group("People", tuple(badges)),
        Group("Goods", tuple(_goods(connection))),
        Group("Machines", tuple(machines)),
        Group("Commands", tuple(codes)),
    )


def _goods(connection: Connection) -> list[Entry]:
    """Some lots of each kind that stand somewhere, a pallet and a pan."""
    plant = current_plant(connection)
    found = []
    for kind in KINDS:
        query = (
            select(lot.c.number, lot.c.product)
            .join(standing, standing.c.lot == lot.c.number)
            .where(lot.c.kind == kind, lot.c.voided == 0, ~standing.c.spot.startswith("U"))
            .group_by(lot.c.number, lot.c.product)
            .order_by(lot.c.number.desc())
            .limit(2)
        )
        for row in connection.execute(query):
            found.append(Entry(row.number, plant.product(row.product).name, shown(row.number)))
    pallets = select(carrier.c.number).where(carrier.c.state == "closed").order_by(carrier.c.number.desc())
    for row in connection.execute(pallets.limit(2)):
        found.append(Entry(row.number, "Pallet", shown(row.number)))
    for code, what in (("pan_23", "empty pan"), ("tram_1", "empty tram")):
        found.append(Entry(find_carrier(connection, code).number, plant.carrier(code).name, what))
    return [*found, Entry(number_of(connection, "vessel", "tank_1"), plant.vessel("tank_1").name, "solution")]


def sheet(connection: Connection) -> Paper:
    """The practice sheet, to print or to scan from another screen."""
    note = "Invented people, invented goods. Fold or cut along the lines; a second screen does as well."
    return groups_sheet("Practice sheet", note, groups(connection), demo=True)
