"""Which links follow from what happened in a run?

A call takes one group of inputs: all roles that share a stream and a feed, with every output's amount in
the closing unit of that stream. Where roles are fed differently (treating: each pack names its wood by
`Made.of`, the solution is mixed), the caller asks once a group, with that group's loads and the outputs
that carry its stream, and puts the links together. Signs and outputs that name loads of another group
pass by, so they need not be filtered out.

Links of an output depend on what happened before it alone: a posting that ends, unloads, weighs or closes
changes none (RULES.md 6). A late mark or output is put where it happened, the links are asked for again,
and only outputs between the anchors on either side come out changed.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Protocol

from lotroot.balance.happenings import (
    Ended,
    FeedName,
    Happening,
    Link,
    Load,
    Made,
    Margin,
    Order,
    Scrapped,
    Unloaded,
)
from lotroot.balance.in_turn import InTurn
from lotroot.balance.linking import Part, link, merged
from lotroot.balance.mixed import Mixed
from lotroot.balance.side_by_side import SideBySide
from lotroot.balance.together import Together

SHARP = Margin()


class Feed(Protocol):
    """How the inputs of a run reach its outputs; told of one happening after the other."""

    def put_on(self, load: Load) -> None:
        """A lot was put on."""

    def end(self, mark: Ended) -> None:
        """A load ran out."""

    def take_off(self, unloaded: Unloaded) -> None:
        """A load was taken off."""

    def scrap(self, scrapped: Scrapped) -> None:
        """Part of a load was scrapped or sampled."""

    def make(self, made: Made) -> tuple[Part, ...]:
        """The parts of an output."""

    def settled(self, load: int) -> bool:
        """Whether an ended load gives no more to outputs yet to come."""


class AsIs:
    """The lot that goes in comes out under its own number: no links (RULES.md 9)."""

    def __init__(self, _margin: Margin) -> None:
        """Nothing runs past a payoff here."""

    def put_on(self, load: Load) -> None:
        """It is the same lot."""

    def end(self, mark: Ended) -> None:
        """It is the same lot."""

    def take_off(self, unloaded: Unloaded) -> None:
        """It is the same lot."""

    def scrap(self, scrapped: Scrapped) -> None:
        """It is the same lot."""

    def make(self, made: Made) -> tuple[Part, ...]:
        """Nothing new is made."""
        return ()

    def settled(self, load: int) -> bool:
        """It never gave anything."""
        return True


FEEDS: Mapping[FeedName, Callable[[Margin], Feed]] = {
    "in_turn": InTurn,
    "together": Together,
    "side_by_side": SideBySide,
    "mixed": Mixed,
    "as_is": AsIs,
}


def links(
    feed: FeedName, order: Order, happenings: Iterable[Happening], margin: Margin = SHARP
) -> tuple[Link, ...]:
    """All links of the run's outputs, in the order they were made; those that go on each other joined."""
    return merged(each for _, found in per_output(feed, order, happenings, margin) for each in found)


def per_output(
    feed: FeedName, order: Order, happenings: Iterable[Happening], margin: Margin = SHARP
) -> tuple[tuple[Made, tuple[Link, ...]], ...]:
    """The links of each output by itself, none joined; an output made with nothing on has none."""
    before: dict[str, int] = {}
    found: list[tuple[Made, tuple[Link, ...]]] = []
    for happening, parts in walked(FEEDS[feed](margin), happenings):
        if isinstance(happening, Made):
            offset = before.get(happening.lot, 0)
            before[happening.lot] = offset + happening.amount
            found.append((happening, tuple(link((feed, order), happening, offset, part) for part in parts)))
    return tuple(found)


def walked(feed: Feed, happenings: Iterable[Happening]) -> Iterator[tuple[Happening, tuple[Part, ...]]]:
    """Tell `feed` of each happening in turn; answers it with the parts of the output, if it was one."""
    for happening in happenings:
        yield happening, _tell(feed, happening)


def _tell(feed: Feed, happening: Happening) -> tuple[Part, ...]:
    match happening:
        case Made():
            return feed.make(happening)
        case Load():
            feed.put_on(happening)
        case Ended():
            feed.end(happening)
        case Unloaded():
            feed.take_off(happening)
        case Scrapped(placed=True):
            feed.scrap(happening)
    return ()
