"""Which holds were ever placed, what do they name, and what was let through?"""

from collections.abc import Iterable
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, select

from lotroot.genealogy.tables import lot
from lotroot.holds.facts import hold, hold_release, hold_root

_all_holds = select(hold).order_by(hold.c.id)
_all_roots = (
    select(hold_root)
    .join(lot, lot.c.number == hold_root.c.lot)
    .where(lot.c.voided == 0)  # what was taken back is held no more
    .order_by(hold_root.c.hold, hold_root.c.event)
)
_all_releases = select(hold_release).order_by(hold_release.c.event)


class Standing(NamedTuple):
    """A hold with its roots and releases, for the page of holds."""

    hold: Row[Any]
    roots: list[Row[Any]]
    releases: list[Row[Any]]

    @property
    def catching(self) -> bool:
        """Whether a lot that comes later may still be caught."""
        return not self.hold.ended and bool(self.hold.heat or self.hold.delivery or self.hold.supplier)

    @property
    def over(self) -> bool:
        """Whether every root has been released whole, and nothing more is caught."""
        freed = {row.lot for row in self.releases if not row.last}
        return not self.catching and all(root.lot in freed for root in self.roots)


def standing_holds(connection: Connection) -> list[Standing]:
    """Every hold ever placed, with what it names and what was let through, oldest first."""
    roots = _by_hold(connection.execute(_all_roots).all())
    releases = _by_hold(connection.execute(_all_releases).all())
    return [
        Standing(row, roots.get(row.id, []), releases.get(row.id, []))
        for row in connection.execute(_all_holds)
    ]


def _by_hold(rows: Iterable[Row[Any]]) -> dict[int, list[Row[Any]]]:
    found: dict[int, list[Row[Any]]] = {}
    for row in rows:
        found.setdefault(row.hold, []).append(row)
    return found
