"""How is a difference of a count settled by a named person?

Nothing recorded is edited: goods are moved from where the record had them, or to and from *difference*.
What a run or a shipment has stays with it until it is put right there.
"""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Row

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
from lotroot.counting.seeing import carrier_name
from lotroot.counting.serials import Span, common
from lotroot.counting.sightings import where_stands
from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.goods import row_words
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of
from lotroot.plant.places import place_name
from lotroot.stock.carriers import find_carrier
from lotroot.stock.events import DIFFERENCE, CarrierChanged, CarrierMoved, Move, Moved
from lotroot.stock.standing import amount_at, at_spot, standings
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


def difference_words(work: Work, row: Row[Any]) -> str:
    """What a difference is about: a lot, items of it, a carrier."""
    if row.carrier:
        name = carrier_name(work, row.carrier)
        return f"{name[:1].upper()}{name[1:]}"
    if not row.first:
        return shown(row.lot)
    word = "item" if row.first == row.last else "items"
    return f"{shown(row.lot)}, {word} {row_words(row.first, row.last)}"


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


def _write_off(work: Work, row: Row[Any], command: SettleDifference) -> str:
    """What still stands where it was missed goes to the account *difference*."""
    place = find_count(work.connection, row.of_count).place
    why = _words(work, command)
    if row.carrier:
        return _write_off_carrier(work, row, place, why)
    parts = _still_there(work, row) if where_stands(work.connection, row.spot) == place else []
    moves = [_move(work, row, part, (row.spot, DIFFERENCE), why) for part in parts]
    if not moves:
        raise _turned_up(work, row)
    work.record(Moved(tuple(moves)))
    return _rest(row, parts)


def _write_off_carrier(work: Work, row: Row[Any], place: str, why: str) -> str:
    carrier = find_carrier(work.connection, row.carrier)
    on_it = at_spot(work.connection, row.carrier)
    if carrier.spot != place or not on_it:
        raise _turned_up(work, row)
    moves = (
        Move(one.lot, row.carrier, DIFFERENCE, one.amount, one.first, one.last, reason=why) for one in on_it
    )
    work.record(Moved(tuple(moves)))
    if carrier.state == "open":
        work.record(CarrierChanged(row.carrier, "emptied", carrier.state))
    return ""


def _move_here(work: Work, row: Row[Any], _command: SettleDifference) -> str:
    """What still is where the record had it stands at the place where it was seen."""
    place = find_count(work.connection, row.of_count).place
    if row.carrier:
        carrier = find_carrier(work.connection, row.carrier)
        if carrier.spot != row.stood:
            raise _moved_since(work, row)
        work.record(CarrierMoved(row.carrier, place, carrier.spot))
        return ""
    parts = _still_there(work, row) if where_stands(work.connection, row.spot) == row.stood else []
    if not parts:
        raise _moved_since(work, row)
    moves = tuple(_move(work, row, part, (row.spot, place), "counted") for part in parts)
    work.record(Moved(moves))
    return _rest(row, parts)


def _still_there(work: Work, row: Row[Any]) -> list[Span]:
    """What of a difference still stands at the spot where the record had it."""
    rows = [one for one in standings(work.connection, row.lot) if one.spot == row.spot]
    return common(Span(row.first, row.last), [Span(one.first, one.last) for one in rows])


def _move(work: Work, row: Row[Any], part: Span, way: tuple[str, str], why: str) -> Move:
    amount = amount_at(work.connection, row.lot, row.spot, part.first, part.last)
    return Move(row.lot, *way, amount, part.first, part.last, reason=why)


def _rest(row: Row[Any], parts: list[Span]) -> str:
    """That some of the items had been moved or used meanwhile."""
    rest = row.last - row.first + 1 - sum(part.size for part in parts)
    return (
        f" {rest} of them had gone elsewhere since and {'is' if rest == 1 else 'are'} as recorded."
        if rest
        else ""
    )


def _turned_up(work: Work, row: Row[Any]) -> Refused:
    return Refused(
        f"{difference_words(work, row)} has been moved or used since the count: it turned up.",
        value=row.lot or row.carrier,
        expected="Goods that still stand where they were missed.",
        next_step="Choose that it is there after all; look at its page for what became of it.",
    )


def _moved_since(work: Work, row: Row[Any]) -> Refused:
    return Refused(
        f"{difference_words(work, row)} has been moved or used since the count.",
        value=row.lot or row.carrier,
        expected="Goods that are still recorded where they were then.",
        next_step="Nothing is to be moved: choose that it was scanned by mistake, or count the place again.",
    )


def _correct(work: Work, row: Row[Any], _command: SettleDifference) -> str:
    """What was found more or less than recorded goes from, or to, the account *difference*."""
    more = row.weighed - row.amount
    there = amount_at(work.connection, row.lot, row.spot)
    if not any(one.spot == row.spot for one in standings(work.connection, row.lot)) or there + more < 0:
        raise _moved_since(work, row)
    way = (DIFFERENCE, row.spot) if more > 0 else (row.spot, DIFFERENCE)
    work.record(Moved((Move(row.lot, way[0], way[1], abs(more), reason="counted"),)))
    unit = find_lot(work.connection, row.lot).unit
    return f" {work.show(there + more, unit)} stand there now."


def _bring_back(work: Work, row: Row[Any], command: SettleDifference) -> str:
    count = find_count(work.connection, row.of_count)
    work.record(Moved(brought_back(work, row, count.place, command.amount)))
    return f" It stands at {place_name(work.connection, work.plant, count.place)}."


_ACTS: dict[str, Callable[[Work, Row[Any], SettleDifference], str]] = {
    WRITTEN_OFF: _write_off,
    MOVED: _move_here,
    CORRECTED: _correct,
    BROUGHT_BACK: _bring_back,
}
