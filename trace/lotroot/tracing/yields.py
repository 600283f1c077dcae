"""How much of what each step used up is in what it made, and where did the rest go?

Of closed runs, and of each input by its role: used up is what is in the outputs, by-products among them, and
what went to scrap, and what is missing (RULES 3). What came off the machine again was not used up.
"""

from collections.abc import Sequence
from typing import NamedTuple

from sqlalchemy import Connection, and_, bindparam, func, select

from lotroot.genealogy.tables import lot
from lotroot.production.tables import run, run_input, run_scrap


class Yield(NamedTuple):
    """What a step did with one of its inputs, in base units of that input."""

    process: str
    product: str
    role: str
    unit: str
    runs: int
    made: int
    scrap: int
    missing: int

    @property
    def used(self) -> int:
        """All that was used up."""
        return self.made + self.scrap + self.missing

    @property
    def permille(self) -> int | None:
        """The part of it that is in what was made, in thousandths; None where nothing was used up."""
        return permille(self.made, self.used)


def permille(made: int, used: int) -> int | None:
    """`made` of `used` in thousandths, rounded half up; None for a part of nothing."""
    return (2000 * made + used) // (2 * used) if used > 0 else None


def percent(thousandths: int | None) -> str:
    """96.2 for 962; nothing where there is no part of anything."""
    return "" if thousandths is None else f"{thousandths // 10}.{thousandths % 10}"


_lately = select(run.c.number).where(run.c.closed >= bindparam("since"), run.c.voided == 0)
_group = (run.c.process, run.c.product, run_input.c.role, lot.c.unit)
_thrown = (
    select(run_scrap.c.run, run_scrap.c.load, func.sum(run_scrap.c.own).label("own"))
    .where(run_scrap.c.voided == 0, run_scrap.c.run.in_(_lately))
    .group_by(run_scrap.c.run, run_scrap.c.load)
    .subquery()
)
_yields = (
    select(
        *_group,
        func.count(run.c.number.distinct()).label("runs"),
        func.sum(run_input.c.taken).label("made"),
        func.coalesce(func.sum(_thrown.c.own), 0).label("scrap"),
        func.sum(run_input.c.difference).label("missing"),
    )
    .join(run, run.c.number == run_input.c.run)
    .join(lot, lot.c.number == run_input.c.lot)
    .outerjoin(_thrown, and_(_thrown.c.run == run_input.c.run, _thrown.c.load == run_input.c.load))
    .where(run_input.c.voided == 0, run_input.c.run.in_(_lately))
    .group_by(*_group)
    .order_by(*_group)
)


def yields(connection: Connection, since: int) -> Sequence[Yield]:
    """What each step yielded in the runs closed since a time, in microseconds UTC, by process and product.

    An input of which nothing was used up, such as what only passes through a furnace, is left out.
    """
    rows = connection.execute(_yields, {"since": since})
    found = [
        Yield(
            row.process,
            row.product,
            row.role,
            row.unit,
            row.runs,
            int(row.made),
            int(row.scrap),
            int(row.missing),
        )
        for row in rows
    ]
    return [one for one in found if one.used]
