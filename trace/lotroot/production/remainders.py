"""How much is left of a load that comes off, in which unit, and can that be?"""

from typing import Any

from sqlalchemy import Row

from lotroot.errors import Unreadable
from lotroot.genealogy.item_masses import Some
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.plant.adopted import code_of, number_of
from lotroot.production.amounts import MOST, in_unit, too_much
from lotroot.production.runs import Run, judged_by
from lotroot.work import Work

TENTH = 10
"""Less than this part of a load is never asked about when it is missing: the end of a coil (ours)."""


def reckoned_left(run: Run, load: Row[Any]) -> int:
    """What should be left of a load, in its lot's unit: loaded, less what was taken and scrapped."""
    scrapped = sum(one.own for one in run.scrap if one.load == load.load)
    return int(load.own - load.taken - scrapped)


def of_load(work: Work, unit: str, load: Row[Any], own: int) -> int:
    """An amount of a load, told in its lot's unit, in the closing unit of its stream."""
    if load.amount == load.own != 0:
        return own
    row = find_lot(work.connection, load.lot)
    if row.axis == "serial" and load.own:
        return int(own * load.amount // load.own)  # which items are left, nobody said
    return in_unit(work, row, unit, Some(own))


def in_stream(work: Work, run: Row[Any], load: Row[Any], own: int) -> int:
    """The same, by the process its run was opened under."""
    process = judged_by(work.connection, run)[1]
    role = process.input(load.role)
    return own if role is None else of_load(work, process.streams[role.stream], load, own)


def own_place(work: Work, run: Run) -> str:
    """The place of a run's station, by the plant it was opened under."""
    plant, _ = judged_by(work.connection, run.row)
    station = plant.station(code_of(work.connection, run.row.station, "station"))
    return number_of(work.connection, "place", station.place)


def refuse_impossible(work: Work, lot: Row[Any], own: int) -> None:
    """Raise Unreadable where nothing on a floor comes to so little, or so much."""
    if own < 0:
        raise Unreadable(
            "Less than nothing cannot be left.",
            value=str(own),
            expected="Zero or more.",
            next_step="Weigh it and enter the number.",
        )
    if own > MOST[lot.unit]:
        raise too_much(work, shown(lot.number), own, lot.unit)


def ask_remainder(work: Work, load: Row[Any], own: int, calculated: int) -> None:
    """Ask once about more than was loaded, or far less than what was made of it leaves."""
    if own > load.own and own > calculated:
        work.ask(
            f"more-than-loaded-{own}",
            f"{shown(load.lot)} was loaded with less than that. Is the weight right?",
            {"yes": "Yes, it is right"},
        )
        work.put_in_question(load.lot, "More came off the machine than was loaded.")
    elif own * work.plant.far_off < calculated and (calculated - own) * TENTH > load.own:
        unit = find_lot(work.connection, load.lot).unit
        text = f"{work.show(calculated, unit)} should be left of {shown(load.lot)}, by what was made of it."
        work.ask(
            f"far-less-left-{own}", f"{text} Is {work.show(own, unit)} right?", {"yes": "Yes, it is right"}
        )
        work.put_in_question(load.lot, f"{text} {work.show(own, unit)} came off the machine.")
