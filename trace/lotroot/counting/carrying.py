"""How is what was seen at a place moved there, if somebody says so?"""

from typing import Any

from sqlalchemy import Row

from lotroot.counting.counts import find_count
from lotroot.counting.elsewhere import left_behind
from lotroot.counting.seeing import carrier_name
from lotroot.counting.serials import Span, common
from lotroot.counting.sightings import where_stands
from lotroot.errors import Refused
from lotroot.goods import row_words
from lotroot.identity.showing import shown
from lotroot.plant.places import place_name
from lotroot.stock.carriers import find_carrier
from lotroot.stock.events import CarrierMoved, Move, Moved
from lotroot.stock.standing import amount_at, standings
from lotroot.work import MICROSECONDS, Work

DAY = 24 * 3600 * MICROSECONDS
"""Items that a count of the day before saw by themselves are not on a carrier seen elsewhere now (ours)."""


def difference_words(work: Work, row: Row[Any]) -> str:
    """What a difference is about: a lot, items of it, a carrier."""
    if row.carrier:
        name = carrier_name(work, row.carrier)
        return f"{name[:1].upper()}{name[1:]}"
    if not row.first:
        return shown(row.lot)
    word = "item" if row.first == row.last else "items"
    return f"{shown(row.lot)}, {word} {row_words(row.first, row.last)}"


def move_here(work: Work, row: Row[Any]) -> str:
    """What still is where the record had it stands at the place where it was seen."""
    place = find_count(work.connection, row.of_count).place
    if row.carrier:
        carrier = find_carrier(work.connection, row.carrier)
        if carrier.spot != row.stood:
            raise moved_since(work, row)
        said = _leave_behind(work, row, carrier.spot)
        work.record(CarrierMoved(row.carrier, place, carrier.spot))
        return said
    parts = still_there(work, row) if where_stands(work.connection, row.spot) == row.stood else []
    if not parts:
        raise moved_since(work, row)
    moves = tuple(move_of(work, row, part, (row.spot, place), "counted") for part in parts)
    work.record(Moved(moves))
    return rest_words(row, parts)


def _leave_behind(work: Work, row: Row[Any], place: str) -> str:
    """Items that were seen by themselves where the record has their carrier come off it there."""
    since = find_count(work.connection, row.of_count).opened - DAY
    parts = left_behind(work.connection, row.carrier, place, since)
    moves = [
        Move(
            part.lot,
            row.carrier,
            place,
            amount_at(work.connection, part.lot, row.carrier, part.first, part.last),
            part.first,
            part.last,
            reason="counted",
        )
        for part in parts
    ]
    if not moves:
        return ""
    work.record(Moved(tuple(moves)))
    items = sum(part.last - part.first + 1 for part in parts)
    seen = "item was seen by itself" if items == 1 else "items were seen by themselves"
    return f" {items} {seen} at {place_name(work.connection, work.plant, place)}: left there."


def still_there(work: Work, row: Row[Any]) -> list[Span]:
    """What of a difference still stands at the spot where the record had it."""
    rows = [one for one in standings(work.connection, row.lot) if one.spot == row.spot]
    return common(Span(row.first, row.last), [Span(one.first, one.last) for one in rows])


def move_of(work: Work, row: Row[Any], part: Span, way: tuple[str, str], why: str) -> Move:
    amount = amount_at(work.connection, row.lot, row.spot, part.first, part.last)
    return Move(row.lot, *way, amount, part.first, part.last, reason=why)


def rest_words(row: Row[Any], parts: list[Span]) -> str:
    """That some of the items had been moved or used meanwhile."""
    rest = row.last - row.first + 1 - sum(part.size for part in parts)
    return (
        f" {rest} of them had gone elsewhere since and {'is' if rest == 1 else 'are'} as recorded."
        if rest
        else ""
    )


def moved_since(work: Work, row: Row[Any]) -> Refused:
    return Refused(
        f"{difference_words(work, row)} has been moved or used since the count.",
        value=row.lot or row.carrier,
        expected="Goods that are still recorded where they were then.",
        next_step="Nothing is to be moved: choose that it was scanned by mistake, or count the place again.",
    )
