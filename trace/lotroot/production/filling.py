"""What if the pan already shows a lot?

A pan that still shows another lot asks: was it emptied, topped up, or is it the wrong pan? Topping up
makes a new lot whose parents are what was in it and what was added (DESIGN.md section 6).
"""

from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused
from lotroot.genealogy.events import LotGrew
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.production.facts import ContentJoined
from lotroot.production.runs import Run
from lotroot.stock.carriers import find_carrier
from lotroot.stock.events import BORN, DIFFERENCE, TAKEN, Move, Moved
from lotroot.stock.standing import at_spot
from lotroot.work import Work

CHOICES = {
    "emptied": "It was empty",
    "topped": "Topped up: both are in it",
    "wrong": "Wrong pan",
}


def into_carrier(work: Work, run: Run, lot: str, number: str) -> None:
    """Settle what else a carrier shows when a lot made in a run has gone into it."""
    for row in topped_up(work, lot, number):
        made = [one for one in run.outputs if one.lot == lot]
        stream = made[-1].stream if made else next(iter(work.plant.process(run.row.process).streams))
        pour_in(work, lot, row, run.number)
        work.record(ContentJoined(run.number, lot, row.lot, row.amount, row.amount, stream))


def topped_up(work: Work, lot: str, number: str) -> list[Row[Any]]:
    """What a carrier still holds that the lot was poured onto; asks about all that it shows."""
    if kept := still_in(work, lot, number):
        return kept
    for row in shows_others(work, lot, number):
        _empty(work, row)
    return []


def shows_others(work: Work, lot: str, number: str) -> list[Row[Any]]:
    """What else than a lot a carrier shows."""
    carrier = find_carrier(work.connection, number)
    return [row for row in at_spot(work.connection, carrier.number) if row.lot != lot]


def still_in(work: Work, lot: str, number: str) -> list[Row[Any]]:
    """What else than a lot a carrier shows and still holds; asks, and changes nothing."""
    others = shows_others(work, lot, number)
    if not others:
        return []
    carrier = find_carrier(work.connection, number)
    name = work.called(carrier)
    answer = work.ask(
        f"pan-{carrier.number}-{others[0].lot}",
        f"{name} still shows {shown(others[0].lot)}. What is in it?",
        CHOICES,
    )
    if answer == "wrong":
        raise Refused(
            f"{name} holds {shown(others[0].lot)}.",
            value=carrier.number,
            expected="An empty pan, or the one with this lot.",
            next_step="Scan the pan the goods went into.",
        )
    return others if answer == "topped" else []


def _empty(work: Work, row: Row[Any]) -> None:
    """What the pan still showed had been used without a scan: it becomes a difference, in question."""
    move = Move(row.lot, row.spot, DIFFERENCE, row.amount, row.first, row.last, reason="pan was empty")
    work.record(Moved((move,)))
    work.put_in_question(row.lot, "Its pan was found empty.")


def pour_in(work: Work, lot: str, row: Row[Any], run: str = "") -> None:
    """The rest in the pan becomes part of the new lot; the caller links the two."""
    child, parent = find_lot(work.connection, lot), find_lot(work.connection, row.lot)
    if child.unit != parent.unit or child.axis != "amount":
        raise Refused(
            f"{shown(parent.number)} and {shown(child.number)} cannot be mixed in one pan.",
            value=parent.product,
            expected="Two lots of one kind.",
            next_step="Use another pan.",
        )
    work.record(Moved((Move(row.lot, row.spot, TAKEN, row.amount, run=run, reason="topped up"),)))
    work.record(Moved((Move(lot, BORN, row.spot, row.amount, run=run, reason="topped up"),)))
    work.record(LotGrew(lot, row.amount, row.amount if child.mass is not None else None))
