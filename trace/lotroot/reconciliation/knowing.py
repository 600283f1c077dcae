"""Which balances were known at a time, or when the ledger ended in an event?"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, bindparam, or_

from lotroot.reconciliation.tables import STANDS, run_balance

_row = run_balance.c


class Then(NamedTuple):
    """A state of knowledge: at a time in microseconds UTC, or at an event of the ledger; neither: now."""

    at: int | None = None
    head: int | None = None

    @property
    def values(self) -> dict[str, int]:
        """What the conditions below are asked with."""
        return {name: value for name, value in (("at", self.at), ("head", self.head)) if value is not None}


NOW = Then()


def known(then: Then) -> ColumnElement[bool]:
    """What holds of the balances that stood then."""
    if then.head is not None:
        head: ColumnElement[Any] = bindparam("head")
        return (_row.event <= head) & or_(_row.replaced_by.is_(None), _row.replaced_by > head)
    if then.at is not None:
        at: ColumnElement[Any] = bindparam("at")
        return (_row.known <= at) & or_(_row.replaced.is_(None), _row.replaced > at)
    return STANDS


def since(then: Then) -> Sequence[ColumnElement[bool]]:
    """What holds of the balances that stood then and do not stand now, and of those that are new since."""
    if then.head is not None:
        gone = known(then) & _row.replaced_by.is_not(None)
        return gone, (_row.event > bindparam("head")) & STANDS
    gone = known(then) & _row.replaced.is_not(None)
    return gone, (_row.known > bindparam("at")) & STANDS
