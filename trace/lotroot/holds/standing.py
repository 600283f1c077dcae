"""Which holds stand, what do they name, and what was let through?"""

from collections.abc import Iterable
from typing import Any, NamedTuple

from sqlalchemy import BindParameter, Connection, Row, bindparam, or_, select

from lotroot.genealogy.tables import lot
from lotroot.holds.facts import hold, hold_release, hold_root

AT_ONCE = 500

# What was taken back is held no more.
_holding = (
    select(hold_root.c.hold)
    .join(lot, lot.c.number == hold_root.c.lot)
    .where(hold_root.c.live == 1, lot.c.voided == 0)
)
_standing = select(hold).where(or_(hold.c.catches == 1, hold.c.id.in_(_holding))).order_by(hold.c.id)
_some: BindParameter[Any] = bindparam("holds", expanding=True)
_roots = (
    select(hold_root)
    .join(lot, lot.c.number == hold_root.c.lot)
    .where(hold_root.c.hold.in_(_some), lot.c.voided == 0)
    .order_by(hold_root.c.hold, hold_root.c.event)
)
_releases = select(hold_release).where(hold_release.c.hold.in_(_some)).order_by(hold_release.c.event)


class Standing(NamedTuple):
    """A hold with its roots and releases, for the page of holds."""

    hold: Row[Any]
    roots: list[Row[Any]]
    releases: list[Row[Any]]

    @property
    def catching(self) -> bool:
        """Whether a lot that comes later may still be caught."""
        return bool(self.hold.catches)


def standing_holds(connection: Connection) -> list[Standing]:
    """Every hold that holds something or may catch what comes later, oldest first.

    A hold all of whose roots were released whole stands no longer, unless it still catches.
    """
    holds = connection.execute(_standing).all()
    ids = [row.id for row in holds]
    roots, releases = _by_hold(_of(connection, _roots, ids)), _by_hold(_of(connection, _releases, ids))
    return [Standing(row, roots.get(row.id, []), releases.get(row.id, [])) for row in holds]


def _of(connection: Connection, query: Any, ids: list[int]) -> Iterable[Row[Any]]:
    for start in range(0, len(ids), AT_ONCE):
        yield from connection.execute(query, {"holds": ids[start : start + AT_ONCE]})


def _by_hold(rows: Iterable[Row[Any]]) -> dict[int, list[Row[Any]]]:
    found: dict[int, list[Row[Any]]] = {}
    for row in rows:
        found.setdefault(row.hold, []).append(row)
    return found
