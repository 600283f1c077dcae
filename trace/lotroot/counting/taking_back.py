"""What of a count cannot be taken back any more, because the count went on from it?"""

from collections.abc import Sequence

from sqlalchemy import Connection

from lotroot.counting.counts import differences_of, find_count, open_count_at, seen_in
from lotroot.counting.facts import CountFinished, CountOpened, GoodsCounted
from lotroot.errors import Refused
from lotroot.ledger.events import Recorded


def refuse_counted(connection: Connection, facts: Sequence[Recorded]) -> None:
    """Refuse to take back a scan of a finished count, a count with scans, or one with settled differences."""
    for one in facts:
        if isinstance(one.event, GoodsCounted):
            _refuse_if(
                find_count(connection, one.event.count).state != "open",
                "The count it belongs to is finished",
                "Take back that it is finished first, or count the place again.",
            )
        elif isinstance(one.event, CountOpened):
            _refuse_if(
                bool(seen_in(connection, one.id)) or find_count(connection, one.id).state != "open",
                "Something was scanned in this count",
                "Take the scans back first, or finish it.",
            )
        elif isinstance(one.event, CountFinished):
            _refuse_if(
                any(row.choice for row in differences_of(connection, one.event.count)),
                "Differences of this count are settled",
                "Take that back first, or count the place again.",
            )
            _refuse_if(
                open_count_at(connection, one.event.place) is not None,
                "The place is being counted again",
                "Go on with the new count.",
            )


def _refuse_if(wrong: bool, what: str, next_step: str) -> None:
    if wrong:
        raise Refused(
            f"{what}: this stays.",
            value=what,
            expected="A count that nobody went on from.",
            next_step=next_step,
        )
