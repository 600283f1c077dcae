"""What is the answer to a trace?

Amounts are integers in base units. Parts are the expected ones; bounds stand beside them, for the same
streams, where they were asked for.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from sqlalchemy import Row

from lotroot.tracing.asking import Asked
from lotroot.tracing.between import Bound

Direction = Literal["up", "down"]

Streams = Mapping[str, int]
"""Amounts by stream, or by chain of streams where a lot was reached through another (RULES 2)."""

Bounds = Mapping[str, Bound]
"""What is known at least and at most, by stream or chain of streams."""


@dataclass(frozen=True)
class Kinsman:
    """A lot of the lineage; `part` is what it gave to the asked (up) or got of it (down).

    `depth` is the fewest links from the asked lots. `source`: received, or here before the system;
    `gap`: neither that nor any parent, upwards also none in a stream it was reached by. `basis` is the
    weakest on the way, of an asked lot its own.
    """

    lot: Row[Any]
    depth: int
    part: Streams
    basis: str
    source: bool
    gap: bool
    held: bool
    bounds: Bounds = field(default_factory=dict)


@dataclass(frozen=True)
class OnHand:
    """What of a lot stands at one place (its number), in the lot's unit, and the part of the asked in it.

    A place is a station for what is loaded there, a shipment for what is on one that has not left.
    """

    lot: str
    place: str
    amount: int
    unit: str
    part: Streams
    bounds: Bounds = field(default_factory=dict)


@dataclass(frozen=True)
class Shipped:
    """What left on one shipment, in one unit: as shipped, the part of the asked in it, what came back.

    `back` is the part of the asked in what came back.
    """

    shipment: str
    customer: str
    carriers: tuple[str, ...]
    lots: tuple[str, ...]
    amount: int
    unit: str
    part: Streams
    returned: int
    back: Streams
    bounds: Bounds = field(default_factory=dict)


@dataclass(frozen=True)
class Older:
    """What an answer does not follow any further: lots (numbers) that were made before a moment.

    `part` is what they gave to the asked together, `basis` the weakest of theirs, `held` whether any is.
    They stand among the lots of the lineage as gaps.
    """

    before: int
    lots: frozenset[str]
    part: Streams
    basis: str
    held: bool


@dataclass(frozen=True)
class Lineage:
    """All lots of a lineage by depth and number; downwards also what stands where and what left.

    `older` is what a long answer upwards leaves out (`tracing.window`).
    """

    asked: Asked
    direction: Direction
    lots: tuple[Kinsman, ...]
    on_hand: tuple[OnHand, ...] = ()
    shipments: tuple[Shipped, ...] = ()
    older: Older | None = None

    @property
    def ends(self) -> list[Kinsman]:
        """Sources and gaps; what is older than the answer goes back is told apart."""
        cut = self.older.lots if self.older else frozenset()
        return [one for one in self.lots if (one.source or one.gap) and one.lot.number not in cut]
