"""Does the record agree with itself?

Six checks in this order, each named in the answer: triggers (what keeps the ledger from being changed
stands), chain (every event is as it was written), status (it is what the events say), ranks (no lot
stands above its own child), conservation (amounts close), counts (one of a place at a time, each
difference of a finished one, about goods there are).
"""

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Connection

from lotroot.database import Database
from lotroot.ledger.book import Head, head
from lotroot.ledger.proof import Finding, chain_finding
from lotroot.verify.conservation import conservation_finding
from lotroot.verify.counts import count_finding
from lotroot.verify.ranks import rank_finding
from lotroot.verify.rebuilt import status_finding
from lotroot.verify.triggers import trigger_finding

__all__ = ["Verdict", "verdict", "verify"]

CHECKS: dict[str, Callable[[Connection], Finding | None]] = {
    "triggers": trigger_finding,
    "chain": chain_finding,
    "status": status_finding,
    "ranks": rank_finding,
    "conservation": conservation_finding,
    "counts": count_finding,
}


@dataclass(frozen=True)
class Verdict:
    """The head all of it was checked up to, and the first thing found wrong, if any."""

    head: Head
    check: str = ""
    finding: Finding | None = None

    def __str__(self) -> str:
        """As in CONTRACTS: ok EVENTS HEAD, or fault CHECK WHERE: found X, expected Y."""
        if self.finding is None:
            return f"ok {self.head.count} {self.head.hash}"
        found = self.finding
        return f"fault {self.check} {found.where}: found {found.found}, expected {found.expected}"


def verify(database: Database) -> Verdict:
    """Check one moment of a database; the first check that finds something ends it."""
    with database.reading() as connection:
        return verdict(connection)


def verdict(connection: Connection) -> Verdict:
    """Check what one connection sees."""
    last = head(connection)
    for name, check in CHECKS.items():
        finding = check(connection)
        if finding is not None:
            return Verdict(last, name, finding)
    return Verdict(last)
