"""Which serials of a lot are meant, and which do two lots of them have in common?"""

from collections.abc import Iterable

Span = tuple[int, int]
"""Serials from and to, both included."""

ALL: Span = (0, 0)
"""All of a lot, or a part of it that nobody can tell from the rest."""


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same serials in as few spans as possible, lowest first."""
    found: list[Span] = []
    for first, last in sorted(spans):
        if found and first <= found[-1][1] + 1:
            found[-1] = (found[-1][0], max(last, found[-1][1]))
        else:
            found.append((first, last))
    return found


def common(spans: Iterable[Span], other: Span) -> list[Span]:
    """What some spans have in common with another; ALL has everything in common."""
    some = list(spans)
    if ALL in some:
        return [other]
    if other == ALL:
        return merged(some)
    cut = ((max(first, other[0]), min(last, other[1])) for first, last in some)
    return merged((first, last) for first, last in cut if first <= last)


def size(spans: Iterable[Span]) -> int:
    """How many serials there are."""
    return sum(last - first + 1 for first, last in merged(spans))


def without(spans: Iterable[Span], taken: Iterable[Span]) -> list[Span]:
    """The serials of some spans that are not among others."""
    left = merged(spans)
    for first, last in merged(taken):
        cut: list[Span] = []
        for start, end in left:
            cut += [(start, min(end, first - 1)), (max(start, last + 1), end)]
        left = [(start, end) for start, end in cut if start <= end]
    return left
