"""What does a pallet or a shipment weigh, and how does its paper list it, package by package?"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.genealogy.item_masses import masses
from lotroot.genealogy.lots import find_lot
from lotroot.genealogy.walks import lots_numbered
from lotroot.identity.showing import shown
from lotroot.processes.definition import Plant
from lotroot.quantities import show_amount

NOT_WEIGHED = "not weighed"


class Weight(NamedTuple):
    """Grams of what was weighed, and how many lines were not."""

    grams: int
    unweighed: int

    @property
    def words(self) -> str:
        """As people read it: 75.0 kg; 75.0 kg and 2 lines not weighed; not weighed."""
        kg = show_amount(self.grams, "g", "kg", decimals=1)
        if not self.unweighed:
            return kg
        if not self.grams:
            return NOT_WEIGHED
        lines = f"{self.unweighed} {'line' if self.unweighed == 1 else 'lines'} {NOT_WEIGHED}"
        return f"{kg} and {lines}"


def weight_of(connection: Connection, rows: Sequence[Row[Any]]) -> Weight:
    """What standing goods or the loads of a shipment weigh together."""
    lots = lots_numbered(connection, {row.lot for row in rows})
    known = masses(connection, lots.values())
    found = [known.of(lots[row.lot], row) for row in rows]
    return Weight(sum(one for one in found if one is not None), found.count(None))


def items_of(row: Row[Any]) -> int:
    """How many boxes, rolls or packs a line is; what has no serials is one."""
    return int(row.last) - int(row.first) + 1 if row.last else 1


def lot_words(row: Row[Any]) -> str:
    """A lot and which of its items: N26-000123-83, 3 to 9."""
    if not row.last:
        return shown(row.lot)
    return f"{shown(row.lot)}, {row.first}" + (f" to {row.last}" if row.last != row.first else "")


def package_of(row: Row[Any]) -> str:
    """The number on a load's package: its pallet's, else its own."""
    return shown(row.carrier or row.lot)


def packing_list(connection: Connection, plant: Plant, loads: Sequence[Row[Any]]) -> list[dict[str, Any]]:
    """Every line of a packing list: package, product, lot and items, units, amount, net weight."""
    lines = []
    for row in loads:
        lot = find_lot(connection, row.lot)
        product = plant.products.get(lot.product)
        lines.append(
            {
                "package": package_of(row),
                "product": product.name if product else lot.product,
                "size": product.size if product else "",
                "lot": lot_words(row),
                "count": items_of(row),
                "amount": show_amount(row.amount, lot.unit, plant.units.get(lot.unit, lot.unit)),
                "net": weight_of(connection, [row]).words,
            }
        )
    return lines


def weight_list(connection: Connection, loads: Sequence[Row[Any]]) -> list[dict[str, Any]]:
    """What each package weighs, in the order they were loaded."""
    packages: dict[str, list[Row[Any]]] = {}
    for row in loads:
        packages.setdefault(package_of(row), []).append(row)
    return [
        {
            "package": name,
            "count": sum(items_of(row) for row in rows),
            "net": weight_of(connection, rows).words,
        }
        for name, rows in packages.items()
    ]
