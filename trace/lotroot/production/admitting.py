"""Is a lot one that can go onto a machine here, and is there as much of it?"""

from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused
from lotroot.goods import ITEM_LENGTH, Goods, away, goods, standing_goods
from lotroot.identity.showing import shown
from lotroot.plant.adopted import code_of
from lotroot.production.putting_on import serial_of
from lotroot.production.runs import Run, find_run, loads_of_lot
from lotroot.stock.carriers import shipment_at
from lotroot.work import Work


def refuse_loaded(work: Work, row: Row[Any], number: str) -> None:
    """Refuse a lot that was taken back, or is on a machine already; of an item only where it is itself."""
    if row.voided:
        raise Refused(
            f"{shown(row.number)} was taken back: its label is to be destroyed.",
            value=row.number,
            expected="A lot that exists.",
            next_step="Destroy this label and scan the goods' new one.",
        )
    for load in loads_of_lot(work.connection, row.number):
        if not _is_on(work, load, number):
            continue
        if load.ended_at is None and load.unloaded_at is None:
            run = find_run(work.connection, load.run)
            if run.row.closed is None:
                at = work.local_time(load.at)
                _refuse_on_another(work, row, run, at)
                raise Refused(
                    f"{shown(number if serial_of(number) else row.number)} is loaded already, since {at}.",
                    word="already",
                    value=number,
                    expected=f"It is in run {shown(load.run)}.",
                    next_step="Go on; nothing was recorded again.",
                )


def _is_on(work: Work, load: Row[Any], number: str) -> bool:
    """Whether a load may be what a number means; an item that stands elsewhere is not on."""
    serial = serial_of(number)
    if not serial:
        return True
    return load.first <= serial <= load.last if load.first else not goods(work.connection, number)


def refuse_part(work: Work, name: str, row: Row[Any], own: int) -> None:
    """Refuse some items of a lot where it comes off as it went on: one lot is not split there (RULES 9)."""
    there = sum(one.amount for one in goods(work.connection, row.number))
    if row.axis != "serial" or own >= there:
        return
    work.refuse(
        Refused(
            f"{name} takes a lot as a whole: {shown(row.number)} comes off under its own number.",
            value=work.show(own, row.unit),
            expected=f"All that is here of it, {work.show(there, row.unit)}.",
            next_step="Scan the number of the lot, for all of its items.",
        ),
        row.number,
    )


def _refuse_on_another(work: Work, row: Row[Any], run: Run, at: str) -> None:
    """A lot that another machine has by the record is not loaded here by scanning it."""
    if run.row.station == work.posting.station:
        return
    name = work.plant.station(code_of(work.connection, run.row.station, "station")).name
    raise Refused(
        f"{shown(row.number)} is on {name} by the record, since {at}.",
        value=row.number,
        expected="A lot that is on no machine.",
        next_step=f"Take it off there first: at {name} scan PART, or DONE. Then scan it here again.",
    )


def ask_more(work: Work, row: Row[Any], standing: list[Goods], own: int) -> None:
    """Ask once where more goes in than stands there by the record."""
    there = sum(one.amount for one in standing)
    if not standing or own <= there:
        return
    work.ask(
        f"more-than-stands-{own}",
        f"{work.show(own, row.unit)} goes in, {work.show(there, row.unit)} of {shown(row.number)} stands "
        "here by the record. Is the number right?",
        {"yes": "Yes, it is right"},
    )
    work.put_in_question(row.number, "More went in than was recorded as standing.")


def refuse_elsewhere(work: Work, number: str, row: Row[Any]) -> None:
    """Refuse items that a pallet or, where one item was scanned, a shipment has: a label read too far off."""
    if not row.items:
        return
    one_item = len(number) == ITEM_LENGTH
    named = standing_goods(work.connection, number) if one_item else goods(work.connection, row.number)
    packed = [
        part
        for part in named
        if part.spot.startswith("P") and (one_item or not shipment_at(work.connection, part.spot))
    ]
    wrong = packed + [part for part in named if one_item and part.spot[:1] in ("D", "U")]
    if wrong:
        work.refuse(
            Refused(
                away(work.connection, wrong),
                value=wrong[0].number,
                expected="Items that stand here by themselves.",
                next_step="Take them off there first, then scan them again.",
            ),
            row.number,
        )
