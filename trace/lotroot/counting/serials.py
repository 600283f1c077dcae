"""Which serials of a lot are left when some are taken away, and which rows do they form?"""

from collections.abc import Iterable
from typing import NamedTuple


class Span(NamedTuple):
    """Serials first to last."""

    first: int
    last: int

    @property
    def size(self) -> int:
        """How many they are."""
        return self.last - self.first + 1


def joined(spans: Iterable[Span]) -> list[Span]:
    """The same serials as rows that neither meet nor overlap, in order."""
    rows: list[Span] = []
    for span in sorted(spans):
        if rows and span.first <= rows[-1].last + 1:
            rows[-1] = Span(rows[-1].first, max(rows[-1].last, span.last))
        else:
            rows.append(span)
    return rows


def without(span: Span, others: Iterable[Span]) -> list[Span]:
    """What of a row is in none of the others."""
    rest, first = [], span.first
    for other in joined(others):
        if other.last < first or other.first > span.last:
            continue
        if other.first > first:
            rest.append(Span(first, other.first - 1))
        first = other.last + 1
    return [*rest, Span(first, span.last)] if first <= span.last else rest


def common(span: Span, others: Iterable[Span]) -> list[Span]:
    """What of a row is in one of the others too."""
    met = (Span(max(span.first, one.first), min(span.last, one.last)) for one in others)
    return joined(one for one in met if one.first <= one.last)
