"""Which complaints are there, of what, and what has been said in each?"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, or_, select

from lotroot.complaints.facts import complaint, entry, named
from lotroot.errors import Unknown
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of

_by_number = select(complaint).where(complaint.c.number == bindparam("number"))
_all = select(complaint).order_by(complaint.c.state.desc(), complaint.c.number.desc())
_numbers = select(named).where(named.c.case == bindparam("case")).order_by(named.c.event, named.c.number)
_entries = select(entry).where(entry.c.case == bindparam("case")).order_by(entry.c.event)
_of = (
    select(complaint, named.c.number.label("of"))
    .join(named, named.c.case == complaint.c.number)
    .where(or_(named.c.number == bindparam("asked"), named.c.lot == bindparam("asked")))
    .order_by(complaint.c.number, named.c.number)
)


class Case(NamedTuple):
    """A complaint: its row, the goods named, what was said in order, and whom to call back."""

    row: Row[Any]
    numbers: Sequence[Row[Any]]
    entries: Sequence[Row[Any]]
    contact: str


def find_case(connection: Connection, number: str) -> Case:
    """A complaint with all that came to it. Raises Unknown."""
    row = connection.execute(_by_number, {"number": number}).first()
    if row is None:
        raise Unknown(
            f"No complaint {shown(number)} is recorded.",
            value=number,
            expected="The number of a complaint.",
            next_step="Choose it from the list, or open a new one.",
        )
    query = {"case": number}
    contact = name_of(connection, contact_key(number))
    return Case(
        row,
        connection.execute(_numbers, query).all(),
        connection.execute(_entries, query).all(),
        "" if contact == contact_key(number) else contact,
    )


def contact_key(case: str) -> str:
    """Under which key the name of whoever complained is kept, outside the chain."""
    return f"contact-{case}"


def cases(connection: Connection, *, only_open: bool = False) -> list[Row[Any]]:
    """All complaints, open ones first, then the latest first."""
    return [row for row in connection.execute(_all) if row.state == "open" or not only_open]


def complaints_of(connection: Connection, number: str) -> list[Row[Any]]:
    """The complaints that name a number, or an item of it if it is a lot; `of` is what they name."""
    return list(connection.execute(_of, {"asked": number}))
