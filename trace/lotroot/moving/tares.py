"""How does a pan, tram, spool or pallet get its tare?

It is weighed empty, and that weight holds until it is weighed again. One that is far from the last is asked
about once: a wrong tare is in every net weight that follows.
"""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.identity.showing import shown
from lotroot.stock.carriers import find_carrier
from lotroot.stock.events import CarrierTared
from lotroot.stock.standing import at_spot
from lotroot.stock.tares import Tare, tare_at
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, Work

FAR_PERCENT = 10
FAR_GRAMS = 5_000
"""A tare this far from the last one is asked about (our own choice): rust and mending are less."""
MOST_GRAMS = 10_000_000
"""No carrier weighs 10 t (our own choice); so much is a number that was read wrongly."""


@dataclass(frozen=True)
class WeighEmpty:
    """A carrier weighs `weight` grams empty; `typed_by` is scale or hand, empty where it is not known."""

    carrier: str
    weight: int
    typed_by: str = ""


def weigh_empty(work: Work, command: WeighEmpty) -> Answer:
    """Record what a carrier weighs empty from now on."""
    carrier = find_carrier(work.connection, command.carrier)
    name = work.called(carrier)
    _refuse_unfit(work, carrier, command.weight)
    known = work.plant.carriers.get(carrier.code)
    before = tare_at(work.connection, carrier.number, work.happened, known.tare_g if known else None)
    if before is not None:
        _ask_far(work, carrier, before, command.weight)
    was = before.grams if before else 0
    work.record(CarrierTared(carrier.number, command.weight, was, typed_by(command.typed_by)))
    changed = f", {work.show(was, 'g')} before" if before and was != command.weight else ""
    return Answer(f"{name} weighs {work.show(command.weight, 'g')} empty{changed}.", (carrier.number,))


def _refuse_unfit(work: Work, carrier: Row[Any], weight: int) -> None:
    if not 0 < weight <= MOST_GRAMS:
        raise Unreadable(
            f"{work.called(carrier)} cannot weigh that empty.",
            value=work.show(weight, "g"),
            expected=f"More than zero, at most {work.show(MOST_GRAMS, 'g')}.",
            next_step="Read the scale again and type the number.",
        )
    rows = at_spot(work.connection, carrier.number)
    if rows:
        raise Refused(
            f"{work.called(carrier)} still shows {shown(rows[0].lot)}.",
            value=carrier.number,
            expected="An empty carrier.",
            next_step="Empty it first; if it is empty, record that with EMPTY, then weigh it.",
        )


def _ask_far(work: Work, carrier: Row[Any], before: Tare, weight: int) -> None:
    apart = abs(weight - before.grams)
    if apart <= FAR_GRAMS and apart * 100 <= before.grams * FAR_PERCENT:
        return
    last = f"{work.called(carrier)} weighed {work.show(before.grams, 'g')} before"
    work.ask(
        f"tare-{carrier.number}-{weight}",
        f"{last}, {work.show(weight, 'g')} now. Is it empty, and the number right?",
        {"yes": "Yes, record it"},
    )
    work.put_in_question(carrier.number, f"{last}, {work.show(weight, 'g')} now.")
