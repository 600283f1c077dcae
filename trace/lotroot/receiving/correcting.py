"""How is a lot's own amount put right at any later time, so that its accounts still close (RULES 3, 14)?

The difference goes to where the lot stands; where it stands no more, or not enough of it, the
difference account takes it: what was made of the lot stays what it was.
"""

from typing import Any, NamedTuple

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import AmountCorrected
from lotroot.genealogy.lots import find_lot
from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.receiving.birth import words_of
from lotroot.receiving.commands import HOWS, CorrectAmount
from lotroot.receiving.details import checked_amount
from lotroot.stock.events import BORN, DIFFERENCE, Move, Moved
from lotroot.stock.standing import standings
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, LabelRequest, Work


class Right(NamedTuple):
    """A lot's amount as it is and always was; `mass` None leaves that beside it."""

    amount: int
    mass: int | None
    how: str
    why: str
    mass_how: str = ""
    typed_by: str = ""


def correct_amount(work: Work, lot: Row[Any], right: Right) -> None:
    """Record that a lot's own amount is another, and move the difference of its accounts."""
    by = right.typed_by if "weighed" in (right.how, right.mass_how) else ""
    told = (lot.number, right.amount, lot.amount, right.how, right.mass, right.mass_how)
    work.record(AmountCorrected(*told, typed_by=by))
    more = right.amount - lot.amount
    if more:
        moves = _items_anew(work, lot, right) or _spread(work, lot, more, right.why)
        work.record(Moved(tuple(moves)))


def _spread(work: Work, lot: Row[Any], more: int, why: str) -> list[Move]:
    """Moves that bring `more` (of either sign) into the lot's accounts, where most of it stands first."""
    rows = [] if lot.axis == "serial" else standings(work.connection, lot.number)
    # What is loaded in a run comes last: only there may a lot stand below zero until it ends.
    spots = sorted(rows, key=lambda row: (row.spot.startswith(Family.RUN), -row.amount, row.spot))
    if more > 0:
        # An unweighed coil leaves a trace of nothing where it was put first; it is where it gave from.
        there = [row for row in spots if row.amount] or spots
        return [Move(lot.number, BORN, there[0].spot if there else DIFFERENCE, more, reason=why)]
    left, moves = -more, []
    for row in spots:
        part = left if row.spot.startswith(Family.RUN) else min(left, max(row.amount, 0))
        if part:
            moves.append(Move(lot.number, row.spot, BORN, part, reason=why))
        left -= part
    return moves + ([Move(lot.number, DIFFERENCE, BORN, left, reason=why)] if left else [])


def _items_anew(work: Work, lot: Row[Any], right: Right) -> list[Move]:
    """Items that all still stand together are put there anew with the right amount; else nothing."""
    rows = standings(work.connection, lot.number)
    together = len(rows) == 1 and (rows[0].first, rows[0].last) == (1, lot.items)
    if lot.axis != "serial" or not together:
        return []
    spot, items = rows[0].spot, lot.items
    return [
        Move(lot.number, spot, BORN, rows[0].amount, 1, items, reason=right.why),
        Move(lot.number, BORN, spot, rows[0].amount + right.amount - lot.amount, 1, items, reason=right.why),
    ]


def handle_correction(work: Work, command: CorrectAmount) -> Answer:
    """Correct a lot's own amount; a lot made in a run is put in question, whose sum is another now."""
    lot = find_lot(work.connection, command.lot)
    why = words_of(work.plant, command.why)
    how = "counted" if lot.unit == "pcs" and command.how == "weighed" else command.how
    mass = _mass(work, lot, command.mass)
    told = checked_amount("amount", command.amount, lot.unit)
    right = Right(told, mass, how, why, command.how if mass else "", typed_by(command.typed_by))
    _check(work, lot, right)
    correct_amount(work, lot, right)
    if lot.run:
        said = f"{work.show(lot.amount, lot.unit)} became {work.show(right.amount, lot.unit)}"
        work.put_in_question(lot.number, f"{said}: the sum of run {shown(lot.run)} is another. {why}.")
    if lot.axis == "amount":
        work.label(LabelRequest(lot.number))
    was, now = work.show(lot.amount, lot.unit), work.show(right.amount, lot.unit)
    return Answer(f"{shown(lot.number)} is {now}, no longer {was}: {why}.", (lot.number,))


def _mass(work: Work, lot: Row[Any], mass: int) -> int | None:
    """The mass beside the amount, None to leave it. Raises Unreadable where the kind has none."""
    if not checked_amount("mass", mass):
        return None
    kind = work.plant.kinds.get(lot.kind)
    if kind is None or not kind.mass:
        raise Unreadable(
            f"{shown(lot.number)} has no mass beside its amount.",
            value=str(mass),
            expected=f"Its amount alone, in {lot.unit}.",
            next_step="Leave the mass empty.",
        )
    return mass


def _check(work: Work, lot: Row[Any], right: Right) -> None:
    if lot.voided:
        raise Refused(
            f"{shown(lot.number)} was taken back: it has no amount.",
            value=lot.number,
            expected="A lot that stands.",
            next_step="Look at its page for what came of it.",
        )
    if right.how not in HOWS or not right.amount:
        raise Unreadable(
            "This amount cannot be recorded.",
            value=f"{right.amount}, {right.how}",
            expected=f"More than 0, known as one of: {', '.join(HOWS)}.",
            next_step="Enter the amount; what never was is taken back instead.",
        )
    if right.amount == lot.amount and right.mass in (None, lot.mass):
        raise Refused(
            f"{shown(lot.number)} is {work.show(lot.amount, lot.unit)} already.",
            word="already",
            value=work.show(right.amount, lot.unit),
            expected="Another amount.",
            next_step="Nothing: it is as you say.",
        )
