"""What do the tables say of the vessels behind some links, and of what else was made of some lots?

Live links only: what is doubted gives no amounts (RULES 14).
"""

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import BindParameter, Connection, Row, bindparam, select

from lotroot.genealogy.lots import lots_by_id
from lotroot.genealogy.tables import LIVE, edge, lot
from lotroot.genealogy.walks import AT_ONCE
from lotroot.production.facts import APPORTIONED
from lotroot.production.tables import run_input, run_scrap
from lotroot.tracing.fillings import Vessel, vessel
from lotroot.tracing.kin import Kin, Link, links_between

_runs: BindParameter[Any] = bindparam("some", expanding=True)
_outputs = (
    select(edge)
    .where(edge.c.child.in_(select(lot.c.id).where(lot.c.run.in_(_runs), lot.c.voided == 0)))
    .where(edge.c.state == LIVE, edge.c.filling > 0)
)
_loads = select(run_input).where(run_input.c.run.in_(_runs), run_input.c.voided == 0)
_scrap = select(run_scrap).where(
    run_scrap.c.run.in_(_runs),
    run_scrap.c.voided == 0,
    run_scrap.c.how != APPORTIONED,  # links do not know of it: without it the bounds are the outer ones
)
_out_of = select(edge).where(edge.c.parent.in_(bindparam("some", expanding=True)), edge.c.state == LIVE)

Vessels = Mapping[tuple[str, str], Vessel]
"""By stream and run."""


def vessels_of(connection: Connection, kin: Kin) -> Vessels:
    """The vessels that some links speak of; of a run without recorded loads the links are all there is."""
    runs = sorted({link.run for some in kin.links.values() for link in some if link.filling})
    put_in: dict[str, dict[int, int]] = {}
    for row in _rows(connection, _loads, runs):
        put_in.setdefault(row.run, {})[row.load] = row.amount - row.remainder
    for row in _rows(connection, _scrap, runs):
        if row.load in put_in.get(row.run, {}):
            put_in[row.run][row.load] -= row.amount
    grouped: dict[tuple[str, str], list[Link]] = {}
    for link in _linked(connection, _rows(connection, _outputs, sorted(put_in)), kin):
        grouped.setdefault((link.stream, link.run), []).append(link)
    return {key: vessel(some, put_in[key[1]]) for key, some in grouped.items() if key[1] in put_in}


def links_out_of(connection: Connection, kin: Kin) -> list[Link]:
    """The links that lead from the lots of `kin` to children that are not among them."""
    parents = sorted({link.parent for some in kin.links.values() for link in some})
    rows = _rows(connection, _out_of, parents)
    return _linked(connection, [row for row in rows if row.child not in kin.lots], kin)


def _linked(connection: Connection, rows: list[Row[Any]], kin: Kin) -> list[Link]:
    ends = {end for row in rows for end in (row.child, row.parent)}
    more = lots_by_id(connection, ends - kin.lots.keys())
    known = kin.lots | {key: row for key, row in more.items() if not row.voided}
    return links_between(known, rows)


def _rows(connection: Connection, query: Any, some: Iterable[Any]) -> list[Row[Any]]:
    wanted = list(some)
    return [
        row
        for start in range(0, len(wanted), AT_ONCE)
        for row in connection.execute(query, {"some": wanted[start : start + AT_ONCE]})
    ]
