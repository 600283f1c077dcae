"""What was made of asked goods, item by item where that is known?

Goes on only where the serials on both sides of a link meet, as holds do (RULES 18): where nobody knows
which items went into what, all of them did.
"""

from collections.abc import Iterable
from typing import NamedTuple

from lotroot.tracing.kin import Kin, Link
from lotroot.tracing.nodes import Goods
from lotroot.tracing.spans import ALL, Span, common, merged


class Reached(NamedTuple):
    """The asked lots and all made of them, with the serials that are; and the links that lead there."""

    spans: dict[int, list[Span]]
    links: list[Link]


def reached(kin: Kin, asked: Iterable[Goods]) -> Reached:
    """All that some goods went into, by lot."""
    out_of: dict[int, list[Link]] = {}
    for links in kin.links.values():
        for link in links:
            out_of.setdefault(link.parent, []).append(link)
    todo = [(goods.lot, span) for goods in asked for span in goods.spans]
    seen: set[tuple[int, Span]] = set()
    followed: dict[tuple[int, int], Link] = {}
    spans: dict[int, list[Span]] = {}
    while todo:
        lot, span = place = todo.pop()
        if place in seen:
            continue
        seen.add(place)
        spans.setdefault(lot, []).append(span)
        for link in out_of.get(lot, ()):
            if common([span], link.parent_span):
                followed[link.child, link.seq] = link
                todo.append((link.child, link.child_span))
    simple = {lot: [ALL] if ALL in some else merged(some) for lot, some in spans.items()}
    return Reached(simple, list(followed.values()))


def depths(asked: Iterable[int], steps: Iterable[tuple[int, int]]) -> dict[int, int]:
    """The fewest links from the asked lots to each lot, over steps from lot to lot."""
    onward: dict[int, list[int]] = {}
    for one, other in steps:
        onward.setdefault(one, []).append(other)
    found = dict.fromkeys(asked, 0)
    level = list(found)
    while level:
        after = [other for one in level for other in onward.get(one, ()) if other not in found]
        depth = found[level[0]] + 1
        level = list(dict.fromkeys(after))
        found.update(dict.fromkeys(level, depth))
    return found
