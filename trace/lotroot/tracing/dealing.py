"""How does what a link gave spread over the items it speaks of?

Alike, but for items in which one link ends and the next begins: boxes weigh alike and are filled in turn, so
that what a link gave fills them from where the one before it stopped. Where several links end or begin in
one item (two payoffs changed within one roll), or the amounts do not go with the items, nobody can tell.
"""

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor
from typing import NamedTuple

from lotroot.tracing.kin import Link
from lotroot.tracing.spans import ALL, Span, common, size

Portion = Fraction | int
"""A share or an amount that need not be whole; mostly it is, and integers are many times quicker."""


class Dealt(NamedTuple):
    """A link lies on its items from `start` to `stop`, counted in items from 0; `clear` if that is known."""

    span: Span
    start: Portion
    stop: Portion
    clear: bool = True

    def share(self, piece: Span) -> Portion:
        """What of the link some items have."""
        if ALL in (self.span, piece) or common([self.span], piece) == [self.span]:
            return 1
        first = self.start if piece[0] <= self.span[0] else piece[0] - 1
        last = self.stop if piece[1] >= self.span[1] else piece[1]
        length = self.stop - self.start
        return Fraction(min(max(last - first, 0), length)) / length if length else 0

    def most(self, piece: Span) -> Portion:
        """What of the most it can have given some items can have."""
        if self.clear:
            return self.share(piece)
        full = size([self.span]) - 2
        return min(Fraction(size(common([self.span], piece)), full), Fraction(1)) if full > 0 else 1


def dealt(links: Iterable[Link]) -> dict[int, Dealt]:
    """How the links of one stream to a lot of items are dealt out, by their place."""
    some = list(links)
    found = {link.seq: _alike(link) for link in some}
    giving = [link for link in some if link.given and link.child_span != ALL]
    following, unclear = _borders(giving)
    for chain in _chains(giving, following):
        if unclear & {link.seq for link in chain}:
            found |= {link.seq: _alike(link, clear=False) for link in chain}
        else:
            found |= _filled(chain)
    return found


def _alike(link: Link, clear: bool = True) -> Dealt:
    return Dealt(link.child_span, link.child_span[0] - 1, link.child_span[1], clear)


def _borders(links: Sequence[Link]) -> tuple[dict[int, Link], set[int]]:
    """Which link goes on where another stops, by its place; and the places of those where it is not clear."""
    following: dict[int, Link] = {}
    unclear: set[int] = set()
    for item in {end for link in links for end in link.child_span}:
        into = [link for link in links if link.child_span[0] < item == link.child_span[1]]
        within = [link for link in links if link.child_span == (item, item)]
        out_of = [link for link in links if link.child_span[0] == item < link.child_span[1]]
        if sum(map(bool, (into, within, out_of))) < 2:
            continue
        if len(into) > 1 or len(out_of) > 1:
            unclear |= {link.seq for link in (*into, *within, *out_of)}
            continue
        order = [*into, *sorted(within, key=lambda link: link.seq), *out_of]
        following |= {one.seq: other for one, other in pairwise(order)}
    return following, unclear


def _chains(links: Sequence[Link], following: dict[int, Link]) -> Iterator[list[Link]]:
    """Links that go on one after the other, each link once."""
    later = {link.seq for link in following.values()}
    for link in links:
        if link.seq not in later:
            chain = [link]
            while chain[-1].seq in following:
                chain.append(following[chain[-1].seq])
            yield chain


def _filled(chain: Sequence[Link]) -> dict[int, Dealt]:
    """Where each link of a chain lies, all items weighing alike."""
    if len(chain) == 1:
        return {chain[0].seq: _alike(chain[0])}
    begin = chain[0].child_span[0] - 1
    each = Fraction(sum(link.given for link in chain), chain[-1].child_span[1] - begin)
    found, place = {}, Fraction(begin)
    for link in chain:
        deal = Dealt(link.child_span, place, place + link.given / each)
        fits = (floor(deal.start) + 1, ceil(deal.stop)) == link.child_span
        found[link.seq] = deal if fits else _alike(link, clear=False)
        place = Fraction(deal.stop)
    return found
