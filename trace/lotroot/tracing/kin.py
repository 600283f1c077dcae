"""Which lots and links stand above or below what was asked?

Live links only, and no lot that was taken back.
"""

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.genealogy.lots import Walk
from lotroot.genealogy.walks import above_all, above_since, below_all
from lotroot.tracing.spans import ALL, Span


class Link(NamedTuple):
    """A live link as tracing needs it; lots by id, `given` in the unit of its stream.

    `child_span` are the serials it made, all of them where nobody knows which; `parent_span` those it was
    made of, ALL where that is the whole lot or nobody knows. ALL stands for lots that are no lots of items.

    `taken` is what was given in the parent's own unit; `most` is what could have been given at most, None
    where nobody said. `ordered`: it is known where in the child it lies. `run`, `load` and `filling` say
    which loading of which vessel it is of; filling 0: of none.
    """

    child: int
    seq: int
    parent: int
    stream: str
    given: int
    basis: str
    child_span: Span = ALL
    parent_span: Span = ALL
    most: int | None = None
    ordered: bool = False
    taken: int = 0
    run: str = ""
    load: int = 0
    filling: int = 0


EVER = -(2**62)
"""Since when a walk goes back that leaves nothing out."""


class Kin(NamedTuple):
    """Lots by id, and the links of each child to its parents in link order."""

    lots: dict[int, Row[Any]]
    links: dict[int, list[Link]]


def kin_above(connection: Connection, ids: Iterable[int], since: int = EVER) -> Kin:
    """Some lots and all they were made of; of what else was born before a moment, not what it was made of."""
    return _kin(above_all(connection, ids) if since == EVER else above_since(connection, ids, since))


def kin_below(connection: Connection, ids: Iterable[int]) -> Kin:
    """Some lots and all made of them, each with the links to all its parents."""
    return _kin(below_all(connection, ids))


def _kin(walk: Walk) -> Kin:
    lots = {key: row for key, row in walk.lots.items() if not row.voided}
    links: dict[int, list[Link]] = {}
    for link in links_between(lots, walk.edges):
        links.setdefault(link.child, []).append(link)
    return Kin(lots, links)


def links_between(lots: Mapping[int, Row[Any]], edges: Iterable[Row[Any]]) -> list[Link]:
    """Rows of the edge table as links, those between known lots alone."""
    return [_link(edge, lots) for edge in edges if edge.child in lots and edge.parent in lots]


def _link(edge: Row[Any], lots: Mapping[int, Row[Any]]) -> Link:
    return Link(
        child=edge.child,
        seq=edge.seq,
        parent=edge.parent,
        stream=edge.stream,
        given=edge.given,
        basis=edge.basis,
        child_span=_serials(lots[edge.child], edge.child_from, edge.child_to),
        parent_span=_all_or(lots[edge.parent], edge.parent_from, edge.parent_to),
        most=edge.most,
        ordered=edge.child_end != "unknown",
        taken=edge.taken,
        run=lots[edge.child].run,
        load=edge.load,
        filling=edge.filling,
    )


def _serials(lot: Row[Any], first: int | None, last: int | None) -> Span:
    """The items a stretch names; what is no stretch of this lot's serials may be any of them."""
    if lot.axis != "serial" or not lot.items:
        return ALL
    named = first is not None and last is not None and 1 <= first <= last <= lot.items
    return (first, last) if named and first and last else (1, lot.items)


def _all_or(lot: Row[Any], first: int | None, last: int | None) -> Span:
    span = _serials(lot, first, last)
    return ALL if span == (1, lot.items) else span
