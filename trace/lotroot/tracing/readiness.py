"""How much of a shipment can be traced to where it came from, and how is that known?

Per stream of what was loaded, by the weakest link on the way to each received lot: measured (weighed,
counted, or by the supplier's papers), reckoned (calculated or estimated), apportioned or bounded. What was
here before the system, and what nothing is recorded of, cannot be traced. What is older than a long answer
looks back counts as far as it was followed.
"""

from collections.abc import Mapping
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.receiving.arriving import BEFORE as OPENING
from lotroot.tracing.asking import asked
from lotroot.tracing.lineage import Kinsman
from lotroot.tracing.upward import up

MEASURED, RECKONED, APPORTIONED, BOUNDED = "measured", "reckoned", "apportioned", "bounded"
BEFORE, UNTRACED = "before the system", "not recorded"
WAYS = (MEASURED, RECKONED, APPORTIONED, BOUNDED, BEFORE, UNTRACED)
_OF_BASIS: Mapping[str, str] = {
    "weighed": MEASURED,
    "counted": MEASURED,
    "theirs": MEASURED,
    "calculated": RECKONED,
    "estimated": RECKONED,
    "apportioned": APPORTIONED,
}


class Readiness(NamedTuple):
    """What of one stream of a shipment is traced how: whole base units by way, their sum what was loaded."""

    shipment: str
    stream: str
    by_way: Mapping[str, int]
    visited: int

    @property
    def amount(self) -> int:
        """All that was loaded of this stream."""
        return sum(self.by_way.values())

    def permille(self, way: str) -> int:
        """The part that is traced one way, in thousandths, rounded down."""
        return self.by_way.get(way, 0) * 1000 // self.amount if self.amount else 0


def readiness(connection: Connection, shipment: str) -> list[Readiness]:
    """How well a shipment can be traced, stream by stream. Raises Unknown."""
    lineage = up(connection, asked(connection, shipment))
    found: dict[str, dict[str, int]] = {}
    for one in lineage.lots:
        for stream, part in one.part.items() if one.source or one.gap else ():
            if "/" not in stream:  # what was reached through another stream stands under its chain
                ways = found.setdefault(stream, dict.fromkeys(WAYS, 0))
                older = lineage.older is not None and one.lot.number in lineage.older.lots
                ways[_OF_BASIS.get(one.basis, BOUNDED) if older else _way(one)] += part
    return [Readiness(shipment, stream, ways, len(lineage.lots)) for stream, ways in sorted(found.items())]


def _way(one: Kinsman) -> str:
    if not one.source:
        return UNTRACED
    return BEFORE if one.lot.source == OPENING else _OF_BASIS.get(one.basis, BOUNDED)
