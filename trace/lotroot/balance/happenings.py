"""What can happen inside a run, and what is a link?

Happenings are handed to `lotroot.balance.feeds.links` in the order they happened, one stream at a
time. Amounts are integers in the closing unit of that stream, times integer microseconds UTC. Lots go by
their numbers, loads by their place in the run. RULES.md 6 to 11.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

End: TypeAlias = Literal["outer", "inner", "unknown"]
Order: TypeAlias = Literal["kept", "reversed", "lost"]
FeedName: TypeAlias = Literal["in_turn", "together", "side_by_side", "mixed", "as_is"]
Basis: TypeAlias = Literal["weighed", "counted", "calculated", "estimated", "apportioned", "bounded"]


@dataclass(frozen=True, slots=True)
class Margin:
    """How far a border between two loads may lie from where it is reckoned, as amounts of one payoff.

    `loss` covers weld ends and the inexact moment of the scan; `on_blocks` is what lies between payoff
    and take-up, so that the next load reaches the output that much after it was welded on.
    """

    loss: int = 0
    on_blocks: int = 0

    @property
    def width(self) -> int:
        """The amount a border may lie to either side: loss plus wire on the blocks (DESIGN.md 6)."""
        return self.loss + self.on_blocks


@dataclass(frozen=True, slots=True)
class Load:
    """A lot was put on and could run in from now on; a coil that only stands ready is no load yet.

    `seq` names this loading within the run. `amount` stood on the lot when loaded. `start` is what had
    already been taken from `end`. `weight` is mass a metre of product in any one unit, for `together`.
    A vessel's heel is a load of the lot that stayed in it.
    """

    seq: int
    lot: str
    role: str
    stream: str
    payoff: str
    amount: int
    start: int = 0
    end: End = "unknown"
    at: int = 0
    weight: int = 0


@dataclass(frozen=True, slots=True)
class Ended:
    """A load ran out, and `next_load` (0: none yet) was welded on: the anchor of that border.

    `counter` is the machine's counter when it was scanned, None where not read. In a vessel it states
    that nothing of the load is left (*empty* was scanned).
    """

    load: int
    next_load: int = 0
    at: int = 0
    counter: int | None = None


@dataclass(frozen=True, slots=True)
class Unloaded:
    """A load was taken off with `remainder` left on it.

    As full as it came, it had only been waiting and gave nothing; else it is an anchor like `Ended`.
    """

    load: int
    at: int = 0
    remainder: int = 0


@dataclass(frozen=True, slots=True)
class Scrapped:
    """`amount` of a load left it without reaching an output: named scrap or a sample.

    `placed`: it left where the load stood at that time. What is apportioned from a bin later was anywhere
    along it, and so moves nothing that follows.
    """

    load: int
    amount: int
    at: int = 0
    placed: bool = True


@dataclass(frozen=True, slots=True)
class Made:
    """An output: `amount` of `lot`, made from `began` to `ended`.

    Items have serials `first` to `last`, other lots 0 and 0; a lot may be made in several outputs and
    then grows. `of` is the load the output names itself (0: none named; a load of another group passes
    by). Counters are None where not read. Lanes are mm from the operator side. `basis` says how the
    amount is known.
    An output that began before the one before it ended (a by-product) is divided by time.
    """

    seq: int
    lot: str
    first: int
    last: int
    amount: int
    began: int = 0
    ended: int = 0
    of: int = 0
    counter_from: int | None = None
    counter_to: int | None = None
    lane_from: int = 0
    lane_to: int = 0
    basis: Basis = "weighed"


@dataclass(frozen=True, slots=True)
class Closed:
    """The run was closed: what is still open of ended loads becomes their difference."""

    at: int = 0


Happening: TypeAlias = Load | Ended | Unloaded | Scrapped | Made | Closed


@dataclass(frozen=True, slots=True)
class Link:
    """Parent lot to child lot: what was given, over which stretch of each, and how surely.

    `taken` and `given` are the same amount in the closing unit; the caller converts `taken` to the
    parent's own unit. `parent_from` to `parent_to` count from the parent's `end` as what has left it
    (RULES.md 8). `child_from` to `child_to` count from where the making of the child began, which is its
    `child_end`: outer where order is kept, inner where reversed, unknown where lost. Stretches are half open.

    `least` and `most` bound what came from this load within this link's child stretch. Links of one load
    to one child add up: an uncertain border gives both sides a further link with nothing given and
    `least` 0, over the stretch that could be theirs. So only links that give something never overlap
    on the parent.
    """

    child: str
    child_first: int
    child_last: int
    child_from: int
    child_to: int
    parent: str
    load: int
    role: str
    stream: str
    taken: int
    given: int
    parent_from: int
    parent_to: int
    feed: FeedName
    least: int
    most: int
    basis: Basis
    end: End = "unknown"
    child_end: End = "unknown"
    lane_from: int = 0
    lane_to: int = 0
    filling: int = 0


@dataclass(frozen=True, slots=True)
class Difference:
    """A signed difference of one load, booked with the happening at index `booked` of the history.

    Positive: less was made than the load held. Several lines of one load add up.
    """

    load: int
    lot: str
    amount: int
    booked: int
