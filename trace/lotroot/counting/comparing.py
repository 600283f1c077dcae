"""What is otherwise than recorded at the end of a count?

What was moved, used or shipped since its scan is no difference: the record said something else of it later
than the count did.
"""

import dataclasses
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.counting.choices import FOUND, MISSING, WEIGHT, WRONG_PLACE, away
from lotroot.counting.counts import seen_in
from lotroot.counting.facts import Difference
from lotroot.counting.inside import Label
from lotroot.counting.scales import differs
from lotroot.counting.serials import Span, common, joined, without
from lotroot.counting.sightings import where_stands
from lotroot.genealogy.walks import lots_numbered
from lotroot.identity import Family
from lotroot.processes.definition import Plant
from lotroot.stock.carriers import carrier_or_none
from lotroot.stock.standing import amount_at, standings


def differences(
    connection: Connection, plant: Plant, count: Row[Any], unseen: Sequence[Label]
) -> list[Difference]:
    """Missing, found, in the wrong place, another weight: in this order, numbered from 1."""
    seen = seen_in(connection, count.id)
    elsewhere = [*_carriers(connection, count, seen), *_goods(connection, count, seen)]
    found = [
        *[_missing(count, label) for label in unseen],
        *[one for one in elsewhere if one.kind == FOUND],
        *[one for one in elsewhere if one.kind == WRONG_PLACE],
        *_weights(connection, plant, seen),
    ]
    return [dataclasses.replace(one, seq=seq) for seq, one in enumerate(found, 1)]


def _missing(count: Row[Any], label: Label) -> Difference:
    """A carrier with all on it, or a lot or row of items by itself."""
    if label.carrier:
        return Difference(0, MISSING, "", 0, 0, label.carrier, label.carrier, count.place, 0)
    part = label.parts[0]
    spot = part.carrier or count.place
    return Difference(0, MISSING, part.lot, part.first, part.last, "", spot, count.place, part.amount)


def _carriers(connection: Connection, count: Row[Any], seen: Sequence[Row[Any]]) -> list[Difference]:
    """Carriers that were seen here and stand elsewhere by the record, then and now."""
    found = []
    for row in {row.number: row for row in seen if not row.lot}.values():
        now = carrier_or_none(connection, row.number)
        if row.stood != count.place and now is not None and now.spot == row.stood:
            found.append(Difference(0, _kind(row.stood), "", 0, 0, row.number, row.number, row.stood, 0))
    return found


def _kind(stood: str) -> str:
    """What left with a shipment and is here was not in the wrong place: it should be nowhere any more."""
    return FOUND if not stood or stood.startswith(Family.SHIPMENT) else WRONG_PLACE


def _goods(connection: Connection, count: Row[Any], seen: Sequence[Row[Any]]) -> list[Difference]:
    """Lots and items that were scanned by themselves and are elsewhere or nowhere, then and now."""
    carriers = {row.number for row in seen if not row.lot}
    strange: dict[tuple[str, str, str], list[Span]] = {}
    for row in seen:
        by_itself = row.lot and row.number not in carriers and row.spot not in carriers
        if by_itself and count.place not in (row.spot, row.stood):
            strange.setdefault((row.lot, row.spot, row.stood), []).append(Span(row.first, row.last))
    weighed = {row.lot: row.weighed for row in seen if row.weighed}
    found = []
    for (lot, spot, stood), spans in strange.items():
        for span in joined(spans):
            for first, last in _still(connection, (lot, spot, stood), span):
                amount = amount_at(connection, lot, spot, first, last) if spot else 0
                told = (spot, stood, amount, 0 if spot else weighed.get(lot, 0))
                found.append(Difference(0, _kind(stood), lot, first, last, "", *told))
    return found


def _still(connection: Connection, seen: tuple[str, str, str], span: Span) -> Iterable[Span]:
    """What of a sighting the record still has where it had it then."""
    lot, spot, stood = seen
    rows = [Span(row.first, row.last) for row in standings(connection, lot) if not spot or row.spot == spot]
    if not spot:
        return without(span, rows)
    return common(span, rows) if where_stands(connection, spot) == stood else []


def _weights(connection: Connection, plant: Plant, seen: Sequence[Row[Any]]) -> list[Difference]:
    """Lots of which another amount was found than was recorded at that moment; the last weighing counts."""
    last = {(row.lot, row.spot): row for row in seen if row.weighed and row.spot and not away(row.stood)}
    lots = lots_numbered(connection, {lot for lot, _ in last})
    return [
        Difference(0, WEIGHT, row.lot, 0, 0, "", row.spot, row.stood, row.amount, row.weighed)
        for row in last.values()
        if differs(plant, lots[row.lot].unit, row.amount, row.weighed)
    ]
