"""Which checks does a page offer as buttons: those that are due, those that fit the goods, and all others?"""

from typing import Any

from sqlalchemy import Connection

from lotroot.genealogy.lots import find_lot
from lotroot.goods import goods, typed
from lotroot.identity import Family, ItemNumber, is_lot, is_run
from lotroot.identity.showing import shown
from lotroot.processes.definition import Plant
from lotroot.production.runs import find_run, judged_by
from lotroot.quality.checks import checks_due, checks_of, lots_checked_with
from lotroot.web.scene import Scene

CHOOSE = "CHECK "
"""What a button for a characteristic scans, before its code."""


def choices(scene: Scene, number: str, code: str) -> dict[str, Any]:
    """The checks as buttons: those that are due, those that fit the goods, and behind them all others."""
    due = due_on(scene.connection, number) if number else []
    fitting = [one for one in _fitting(scene, number) if one not in due] if number else []
    known = sorted(scene.plant.characteristics.values(), key=lambda one: one.name)
    return {
        "number": number,
        "shown": shown(number) if number else "",
        "chosen": code,
        "due": [_button(scene.plant, one) for one in due],
        "fitting": [_button(scene.plant, one) for one in fitting],
        "others": [_button(scene.plant, one.code) for one in known if one.code not in {*due, *fitting}],
    }


def due_on(connection: Connection, number: str) -> list[str]:
    """The checks still to be made on goods, by code, in the plant's order. Raises Unknown."""
    value = typed(number)
    if isinstance(value, ItemNumber):
        return checks_due(connection, str(value.lot))
    if is_run(value):
        run = find_run(connection, number)
        done = {row.characteristic for row in checks_of(connection, number)}
        return [code for code in judged_by(connection, run.row)[1].checks if code not in done]
    lots = [number] if is_lot(value) else sorted({one.lot.number for one in goods(connection, number)})
    return list(dict.fromkeys(code for lot in lots for code in checks_due(connection, lot)))


def _fitting(scene: Scene, number: str) -> list[str]:
    """The checks that goods may have: by the process that makes them, and by their product's own limits."""
    value = typed(number)
    if isinstance(value, ItemNumber) or is_lot(value):
        lots = [find_lot(scene.connection, number[:11])]
    elif is_run(value):
        lots = list(lots_checked_with(scene.connection, number))
    else:
        lots = [one.lot for one in goods(scene.connection, number)]
    products = [scene.plant.products[lot.product] for lot in lots if lot.product in scene.plant.products]
    makers = {lot.run for lot in lots if lot.run} | ({number} if number[0] == Family.RUN else set())
    asked = [
        code
        for run in sorted(makers)
        for code in judged_by(scene.connection, find_run(scene.connection, run).row)[1].checks
    ]
    found = dict.fromkeys([*asked, *(code for product in products for code in product.limits)])
    return [code for code in found if code in scene.plant.characteristics]


def _button(plant: Plant, code: str) -> dict[str, str]:
    return {"code": code, "name": plant.characteristic(code).name, "scan": f"{CHOOSE}{code}"}
