"""How is a month closed, so that later entries show as changes to it?

What is recorded later is never refused for it: the month keeps the event up to which it was told, and its
figures then and now are both there for ever.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.ledger.book import head
from lotroot.production.opening import shift_of
from lotroot.reconciliation.facts import MonthClosed
from lotroot.reconciliation.knowing import Then
from lotroot.reconciliation.tables import closed_month
from lotroot.reconciliation.yields import Asked
from lotroot.work import Answer, Work

_MONTH = re.compile(r"[1-9]\d{3}-(0[1-9]|1[0-2])")
_of = select(closed_month).where(closed_month.c.month == bindparam("month"))
_latest = select(closed_month).order_by(closed_month.c.month.desc()).limit(bindparam("most"))


@dataclass(frozen=True)
class CloseMonth:
    """Close a month of production days, such as 2026-11."""

    month: str


def close_month(work: Work, command: CloseMonth) -> Answer:
    """Record up to which event a month was told. Raises Refused for one that goes on, or was closed."""
    month = month_read(command.month)
    today = shift_of(work.plant, work.posting.entered).partition(" ")[0]
    if month >= today[:7]:
        raise Refused(
            f"{month_words(month)} has not ended.",
            value=month,
            expected=f"A month before {month_words(today[:7])}; the production day is {today}.",
            next_step="Close it when its last production day is over.",
        )
    before = month_or_none(work.connection, month)
    if before is not None:
        raise Refused(
            f"{month_words(month)} was closed already.",
            word="already",
            value=month,
            expected="A month that is still open.",
            next_step="Go on; what was entered since shows as changes to it.",
        )
    last = head(work.connection)
    work.record(MonthClosed(month, last.count, last.hash))
    return Answer(f"{month_words(month)} is closed. Later entries show as changes to it.")


def month_read(text: str) -> str:
    """A month that was typed. Raises Unreadable."""
    if not _MONTH.fullmatch(text):
        raise Unreadable(
            "That is no month.",
            value=text[:20],
            expected="Such as 2026-11.",
            next_step="Enter year and month.",
        )
    return text


def month_words(month: str) -> str:
    """November 2026."""
    return f"{date.fromisoformat(f'{month}-01'):%B %Y}"


def month_or_none(connection: Connection, month: str) -> Row[Any] | None:
    """A closed month: a row of month, events, hash, at, person."""
    return connection.execute(_of, {"month": month}).first()


def find_month(connection: Connection, month: str) -> Row[Any]:
    """A closed month. Raises Unknown."""
    row = month_or_none(connection, month)
    if row is None:
        raise Unknown(
            "That month was not closed.",
            value=month[:20],
            expected="A month from the list of closed ones.",
            next_step="Open the list of closed months.",
        )
    return row


def latest_months(connection: Connection, most: int) -> Sequence[Row[Any]]:
    """Closed months, the latest first."""
    return connection.execute(_latest, {"most": most}).all()


def of_month(row: Row[Any]) -> Asked:
    """What a closed month asks: its production days, as the ledger told them when it was closed."""
    first = date.fromisoformat(f"{row.month}-01")
    last = (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)
    return Asked(str(first), str(last), then=Then(head=row.events))
