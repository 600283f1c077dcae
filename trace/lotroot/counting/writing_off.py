"""What becomes of goods that nobody finds any more, if somebody says so?"""

from typing import Any

from sqlalchemy import Row

from lotroot.counting.carrying import difference_words, move_of, rest_words, still_there
from lotroot.counting.counts import find_count
from lotroot.counting.elsewhere import seen_elsewhere
from lotroot.counting.sightings import where_stands
from lotroot.errors import Refused
from lotroot.plant.places import place_name
from lotroot.stock.carriers import find_carrier
from lotroot.stock.events import DIFFERENCE, CarrierChanged, Move, Moved
from lotroot.stock.standing import at_spot
from lotroot.work import Work


def write_off(work: Work, row: Row[Any], why: str) -> str:
    """What still stands where it was missed goes to the account *difference*."""
    place = find_count(work.connection, row.of_count).place
    _refuse_seen_elsewhere(work, row)
    if row.carrier:
        return _write_off_carrier(work, row, place, why)
    parts = still_there(work, row) if where_stands(work.connection, row.spot) == place else []
    moves = [move_of(work, row, part, (row.spot, DIFFERENCE), why) for part in parts]
    if not moves:
        raise _turned_up(work, row)
    work.record(Moved(tuple(moves)))
    return rest_words(row, parts)


def _refuse_seen_elsewhere(work: Work, row: Row[Any]) -> None:
    there = seen_elsewhere(work.connection, row)
    if there:
        name = place_name(work.connection, work.plant, there)
        raise Refused(
            f"{difference_words(work, row)} was seen when {name} was counted.",
            value=row.lot or row.carrier,
            expected="Goods that nobody has seen anywhere.",
            next_step=f"Settle that in the count of {name} first.",
        )


def _write_off_carrier(work: Work, row: Row[Any], place: str, why: str) -> str:
    carrier = find_carrier(work.connection, row.carrier)
    on_it = at_spot(work.connection, row.carrier)
    if carrier.spot != place:
        raise _turned_up(work, row)
    moves = tuple(
        Move(one.lot, row.carrier, DIFFERENCE, one.amount, one.first, one.last, reason=why) for one in on_it
    )
    if moves:
        work.record(Moved(moves))
    if carrier.state == "open":
        work.record(CarrierChanged(row.carrier, "emptied", carrier.state))
    return "" if moves else " Nothing was on it any more."


def _turned_up(work: Work, row: Row[Any]) -> Refused:
    return Refused(
        f"{difference_words(work, row)} has been moved or used since the count: it turned up.",
        value=row.lot or row.carrier,
        expected="Goods that still stand where they were missed.",
        next_step="Choose that it is there after all; look at its page for what became of it.",
    )
