"""Where did this come from, what became of it, and where is everything else of the same origin?"""

from sqlalchemy import Connection

from lotroot.tracing.asking import Asked, asked
from lotroot.tracing.chapters import Story
from lotroot.tracing.contract import as_json
from lotroot.tracing.downward import down
from lotroot.tracing.finding import Candidate, find
from lotroot.tracing.lineage import Direction, Kinsman, Lineage, OnHand, Shipped
from lotroot.tracing.origins import Origins, Siblings, origins, siblings
from lotroot.tracing.story import story
from lotroot.tracing.upward import up

__all__ = [
    "Asked",
    "Candidate",
    "Direction",
    "Kinsman",
    "Lineage",
    "OnHand",
    "Origins",
    "Shipped",
    "Siblings",
    "Story",
    "as_json",
    "find",
    "origins",
    "siblings",
    "story",
    "trace",
]


def trace(connection: Connection, number: str, direction: Direction) -> Lineage:
    """The lineage of a lot, item, carrier, run or shipment, typed, scanned or by another name of a lot.

    With what each part is at least and at most.

    Raises Unknown for a number nobody gave, Unreadable for what is no goods or fits several lots.
    """
    found = asked(connection, number)
    if direction == "up":
        return up(connection, found, bounded=True)
    return down(connection, found, bounded=True)
