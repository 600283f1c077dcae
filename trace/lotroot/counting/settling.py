"""How is a difference of a count settled by a named person?

Nothing recorded is edited: goods are moved from where the record had them, or to and from *difference*.
What a run or a shipment has stays with it until it is put right there.
"""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Row

from lotroot.counting.carrying import difference_words, move_here, moved_since
from lotroot.counting.choices import (
    BROUGHT_BACK,
    CORRECTED,
    DECIDED,
    IN_QUESTION,
    MOVED,
    OPEN,
    WRITTEN_OFF,
    Found,
    choices_of,
)
from lotroot.counting.commands import SettleDifference
from lotroot.counting.counts import find_count, find_difference
from lotroot.counting.finishing import settle_questions, settled
from lotroot.counting.returning import brought_back
from lotroot.counting.writing_off import write_off
from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.ledger.names import name_of
from lotroot.plant.places import place_name
from lotroot.stock.events import DIFFERENCE, Move, Moved
from lotroot.stock.standing import amount_at, standings
from lotroot.work import Answer, Work

GROUP = "count"
"""The buttons that say why goods are written off."""


def settle_difference(work: Work, command: SettleDifference) -> Answer:
    """Decide about one difference; what it put in question is settled with it, unless it is left so."""
    count = find_count(work.connection, command.count)
    row = find_difference(work.connection, count.id, command.difference)
    _check(work, row, command)
    words = _words(work, command)
    said = _ACTS[command.choice](work, row, command) if command.choice in _ACTS else ""
    if command.choice not in IN_QUESTION:
        settle_questions(work, row, f"{DECIDED[command.choice].capitalize()}{f': {words}' if words else ''}")
    work.record(settled(row, command.choice, words))
    what = f"{difference_words(work, row)}: {DECIDED[command.choice]}"
    return Answer(f"{what}{f', {words}' if words else ''}.{said}", (row.lot or row.carrier, str(count.id)))


def _check(work: Work, row: Row[Any], command: SettleDifference) -> None:
    voided = bool(row.lot) and bool(find_lot(work.connection, row.lot).voided)
    offered = choices_of(Found(row.kind, row.stood, voided))
    if command.choice not in offered:
        raise Unreadable(
            f"“{command.choice[:40]}” is no way to settle this.",
            value=command.choice[:40],
            expected=f"One of: {', '.join(offered)}.",
            next_step="Choose one of the buttons.",
        )
    if row.choice not in OPEN or row.choice == command.choice:
        who = name_of(work.connection, row.person) if row.person else "somebody"
        said = f"{DECIDED[row.choice]} already, at {work.local_time(row.at)}, by {who}"
        raise Refused(
            f"{difference_words(work, row)}: {said}.",
            word="already",
            value=row.choice,
            expected="A difference that nobody has settled.",
            next_step="Go on; nothing was recorded again.",
        )


def _words(work: Work, command: SettleDifference) -> str:
    """Why, in words; needed to write off."""
    known = work.plant.reasons.get(command.reason)
    words = known.words if known is not None else " ".join(command.reason.split())
    if command.choice == WRITTEN_OFF and not words:
        raise Unreadable(
            "To write goods off needs a reason.",
            expected="A button, or a few words.",
            next_step="Choose the reason.",
        )
    return words


def _correct(work: Work, row: Row[Any], _command: SettleDifference) -> str:
    """What was found more or less than recorded goes from, or to, the account *difference*."""
    more = row.weighed - row.amount
    there = amount_at(work.connection, row.lot, row.spot)
    if not any(one.spot == row.spot for one in standings(work.connection, row.lot)) or there + more < 0:
        raise moved_since(work, row)
    way = (DIFFERENCE, row.spot) if more > 0 else (row.spot, DIFFERENCE)
    work.record(Moved((Move(row.lot, way[0], way[1], abs(more), reason="counted"),)))
    unit = find_lot(work.connection, row.lot).unit
    return f" {work.show(there + more, unit)} stand there now."


def _bring_back(work: Work, row: Row[Any], command: SettleDifference) -> str:
    count = find_count(work.connection, row.of_count)
    moves = brought_back(work, row, count.place, command.amount)
    work.record(Moved(moves))
    much = work.show(sum(move.amount for move in moves), find_lot(work.connection, row.lot).unit)
    return f" {much} stand at {place_name(work.connection, work.plant, count.place)}."


_ACTS: dict[str, Callable[[Work, Row[Any], SettleDifference], str]] = {
    WRITTEN_OFF: lambda work, row, command: write_off(work, row, _words(work, command)),
    MOVED: lambda work, row, _command: move_here(work, row),
    CORRECTED: _correct,
    BROUGHT_BACK: _bring_back,
}
