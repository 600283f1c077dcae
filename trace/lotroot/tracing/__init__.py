"""Where did this come from, what became of it, and where is everything else of the same origin?"""

from sqlalchemy import Connection

from lotroot.tracing.asking import asked
from lotroot.tracing.contract import as_json
from lotroot.tracing.downward import down
from lotroot.tracing.lineage import Direction, Kinsman, Lineage, OnHand, Shipped
from lotroot.tracing.upward import up

__all__ = ["Direction", "Kinsman", "Lineage", "OnHand", "Shipped", "as_json", "trace"]


def trace(connection: Connection, number: str, direction: Direction) -> Lineage:
    """The lineage of a lot, item, carrier, run or shipment, typed, scanned or by another name of a lot.

    Raises Unknown for a number nobody gave, Unreadable for what is no goods or fits several lots.
    """
    found = asked(connection, number)
    return up(connection, found) if direction == "up" else down(connection, found)
