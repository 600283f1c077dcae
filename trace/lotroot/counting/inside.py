"""What stands at a place by the record, itself or on carriers, and what of it must be seen in a count?

What was put there, moved or packed since the count began has been in somebody's hands: it need not be seen.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.counting.counts import seen_in
from lotroot.counting.serials import Span, joined, without
from lotroot.genealogy.item_masses import masses
from lotroot.genealogy.walks import lots_numbered
from lotroot.stock.standing import Range, cut, weights_of
from lotroot.stock.tables import carrier, standing

_loose = select(standing).where(standing.c.spot == bindparam("place")).order_by(standing.c.lot)
_carried = (
    select(standing, carrier.c.since.label("stands_since"))
    .join(carrier, carrier.c.number == standing.c.spot)
    .where(carrier.c.spot == bindparam("place"))
    .order_by(standing.c.spot, standing.c.lot, standing.c.first)
)


class Inside(NamedTuple):
    """Serials first to last of a lot (0 without) at a place, or on `carrier` there; `amount` in its unit.

    `since` is the last event that put it, or its carrier, there.
    """

    lot: str
    first: int
    last: int
    carrier: str
    amount: int
    since: int

    @property
    def span(self) -> Span:
        """Its serials."""
        return Span(self.first, self.last)


class Label(NamedTuple):
    """What one label, or a row of item labels, stands for: a lot, items, or a carrier with all on it."""

    carrier: str
    parts: tuple[Inside, ...]


class Progress(NamedTuple):
    """How far a count is: labels that must be seen, those that were, and what was not."""

    expected: int
    seen: int
    unseen: tuple[Label, ...]


class Seen:
    """What the scans of a count cover."""

    def __init__(self, rows: Iterable[Row[Any]]) -> None:
        self.bulk: set[tuple[str, str]] = set()
        self.items: dict[str, list[Span]] = {}
        for row in rows:
            if row.first:
                self.items.setdefault(row.lot, []).append(Span(row.first, row.last))
            else:
                self.bulk.add((row.lot, row.spot))
        self.items = {lot: joined(spans) for lot, spans in self.items.items()}

    def unseen(self, part: Inside, place: str) -> list[Span]:
        """What of a part nobody scanned: rows of serials, or the whole of a lot without (0 to 0)."""
        if part.first:
            return without(part.span, self.items.get(part.lot, []))
        return [] if (part.lot, part.carrier or place) in self.bulk else [Span(0, 0)]


def inside(connection: Connection, place: str) -> list[Inside]:
    """All that stands at a place now, loose things first."""
    found = [
        Inside(row.lot, row.first, row.last, "", row.amount, row.since)
        for row in connection.execute(_loose, {"place": place})
    ]
    return found + [
        Inside(row.lot, row.first, row.last, row.spot, row.amount, max(row.since, row.stands_since))
        for row in connection.execute(_carried, {"place": place})
    ]


def progress(connection: Connection, count: Row[Any]) -> Progress:
    """How far a count is, and what is not seen yet: the largest first, by mass where that is known."""
    seen = Seen(seen_in(connection, count.id))
    parts = inside(connection, count.place)
    required = [part for part in parts if part.since <= count.id]
    unseen = _unseen(connection, (required, parts), seen, count.place)
    expected = _labels(required)
    return Progress(
        expected,
        expected - _labels([part for label in unseen for part in label.parts]),
        _largest_first(connection, unseen),
    )


def _labels(parts: Iterable[Inside]) -> int:
    """How many labels stand for all parts: one a carrier, one an item or lot that stands by itself."""
    loose, carriers = 0, set()
    for part in parts:
        if part.carrier:
            carriers.add(part.carrier)
        else:
            loose += part.span.size if part.first else 1
    return loose + len(carriers)


def _whole(parts: Sequence[Inside]) -> list[Label]:
    """All parts by what carries them; what stands by itself is by itself."""
    carriers: dict[str, list[Inside]] = {}
    for part in parts:
        if part.carrier:
            carriers.setdefault(part.carrier, []).append(part)
    loose = [Label("", (part,)) for part in parts if not part.carrier]
    return loose + [Label(number, tuple(on_it)) for number, on_it in carriers.items()]


def _unseen(
    connection: Connection, parts: tuple[Sequence[Inside], Sequence[Inside]], seen: Seen, place: str
) -> list[Label]:
    """What was not seen, out of `parts`: those that must be, and all. A carrier is one label while nothing
    on it was seen nor put on since; else each part of it is missed by itself."""
    required, every = parts
    weighed = weights_of(connection, {part.lot for part in required if part.first})
    touched = {part.carrier for part in every if part.carrier and part not in required}
    found: list[Label] = []
    for label in _whole(required):
        rest = [one for part in label.parts for one in _left(part, seen, (place, weighed))]
        untouched = label.carrier and label.carrier not in touched
        if untouched and rest == list(label.parts):
            found.append(Label(label.carrier, tuple(rest)))
        else:
            found += [Label("", (one,)) for one in rest]
    return found


def _left(part: Inside, seen: Seen, given: tuple[str, Mapping[str, Mapping[int, int]]]) -> list[Inside]:
    place, weighed = given
    whole = Range(part.first, part.last, part.amount)
    return [
        part._replace(first=span.first, last=span.last, amount=_amount(whole, weighed.get(part.lot), span))
        for span in seen.unseen(part, place)
    ]


def _amount(whole: Range, weighed: Mapping[int, int] | None, span: Span) -> int:
    return cut(whole, weighed or {}, span.first, span.last) if whole.first else whole.amount


def _largest_first(connection: Connection, labels: list[Label]) -> tuple[Label, ...]:
    lots = lots_numbered(connection, {part.lot for label in labels for part in label.parts})

    known = masses(connection, lots.values())

    def grams(label: Label) -> int:  # 0 where nobody knows, so that it comes last
        return sum(known.of(lots[part.lot], part) or 0 for part in label.parts)

    return tuple(sorted(labels, key=lambda label: (-grams(label), label.carrier, label.parts[0])))
