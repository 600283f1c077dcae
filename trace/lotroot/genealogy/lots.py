"""What is known of one lot, and which lots stand above and below it?

Statements are built once at import: building one at every call costs six times its answer.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple
from unicodedata import normalize

from sqlalchemy import Connection, Row, bindparam, func, select, text

from lotroot.errors import Unknown
from lotroot.genealogy.tables import (
    DOUBTED,
    IN_DOUBT,
    LINKS,
    LIVE,
    alias,
    edge,
    edge_table,
    highest_rank,
    lot,
    lot_table,
)
from lotroot.identity.showing import shown

_by_number = select(lot).where(lot.c.number == bindparam("number"))
_by_ids = select(lot).where(lot.c.id.in_(bindparam("ids", expanding=True)))
_of_run = select(lot).where(lot.c.run == bindparam("run"), lot.c.voided == 0).order_by(lot.c.id)
_highest = select(func.coalesce(func.max(highest_rank.c.rank), 0))
_links = (
    select(edge, lot.c.number.label("parent_number"))
    .join(lot, lot.c.id == edge.c.parent)
    .where(edge.c.child == bindparam("child"), edge.c.state <= bindparam("state"))
    .order_by(edge.c.seq)
)
_children = (
    select(edge, lot.c.number.label("child_number"))
    .join(lot, lot.c.id == edge.c.child)
    .where(edge.c.parent == bindparam("parent"), edge.c.state <= bindparam("state"))
    .order_by(edge.c.child, edge.c.seq)
)
_aliases = select(alias).where(alias.c.number == bindparam("number")).order_by(alias.c.scheme, alias.c.value)
_by_alias = select(alias).where(alias.c.value == bindparam("value")).order_by(alias.c.number)
_with_alias = select(alias.c.number).where(
    alias.c.scheme == bindparam("scheme"), alias.c.value == bindparam("value")
)
_taken = select(func.coalesce(func.sum(edge_table.c.taken), 0)).where(
    edge_table.c.parent == bindparam("parent"), edge_table.c.state == LIVE
)
_in_doubt = (
    select(lot_table.c.number)
    .where(lot_table.c.voided == 0, lot_table.c.id.in_(select(edge_table.c.child).where(IN_DOUBT)))
    .order_by(lot_table.c.number)
)

# UNION, never UNION ALL: a lot is visited once, however many paths lead to it.
_UP = """
WITH RECURSIVE walk(id) AS (
  SELECT CAST(:id AS BIGINT)
  UNION
  SELECT e.parent FROM walk JOIN edge e ON e.child = walk.id
   WHERE e.state <= :state AND (SELECT rank FROM lot WHERE lot.id = walk.id) > :floor
)
"""
_DOWN = """
WITH RECURSIVE walk(id) AS (
  SELECT CAST(:id AS BIGINT)
  UNION
  SELECT e.child FROM walk JOIN edge e ON e.parent = walk.id WHERE e.state <= :state
)
"""
# As a join, SQLite reads the whole edge table and looks each edge up among the few that were walked.
_OF = " WHERE e.{side} IN (SELECT id FROM walk) AND e.state <= :state"
_ID = " SELECT id FROM walk"
# With its columns told, what a row looks like is worked out once and not at every call.
_up = text("".join((_UP, LINKS, _OF.format(side="child")))).columns(*edge.c)
_down = text("".join((_DOWN, LINKS, _OF.format(side="parent")))).columns(*edge.c)
_up_ids = text("".join((_UP, _ID))).columns(lot.c.id)
_down_ids = text("".join((_DOWN, _ID))).columns(lot.c.id)


class Walk(NamedTuple):
    """The sub-graph above or below a lot: its lots by id and its edges."""

    lots: dict[int, Row[Any]]
    edges: Sequence[Row[Any]]


def lot_or_none(connection: Connection, number: str) -> Row[Any] | None:
    """The lot of that number, void ones included."""
    return connection.execute(_by_number, {"number": number}).first()


def find_lot(connection: Connection, number: str) -> Row[Any]:
    """The lot of that number. Raises Unknown."""
    row = lot_or_none(connection, number)
    if row is None:
        raise Unknown(
            f"No lot {shown(number)} is recorded.",
            value=number,
            expected="The number of a lot labelled here.",
            next_step="Scan the label again; if it is a label of this plant, call QA.",
        )
    return row


def lots_of_run(connection: Connection, run: str) -> Sequence[Row[Any]]:
    """The lots a run made, in the order of their birth."""
    return connection.execute(_of_run, {"run": run}).all()


def lots_by_id(connection: Connection, ids: Iterable[int]) -> dict[int, Row[Any]]:
    """Lots by their id, fetched a few hundred at a time."""
    wanted = sorted(set(ids))
    found: dict[int, Row[Any]] = {}
    for start in range(0, len(wanted), 500):
        for row in connection.execute(_by_ids, {"ids": wanted[start : start + 500]}):
            found[row.id] = row
    return found


def next_rank(connection: Connection) -> int:
    """One above every rank given so far (RULES 12)."""
    return int(connection.scalar(_highest) or 0) + 1


def links_of(connection: Connection, child: int, doubted: bool = False) -> Sequence[Row[Any]]:
    """A lot's links to its parents, in link order, each with `parent_number`."""
    return connection.execute(_links, {"child": child, "state": _state(doubted)}).all()


def links_from(connection: Connection, parent: int, doubted: bool = False) -> Sequence[Row[Any]]:
    """The links of a lot's children to it, each with `child_number`."""
    return connection.execute(_children, {"parent": parent, "state": _state(doubted)}).all()


def lots_in_doubt(connection: Connection) -> list[str]:
    """The lots whose parents were corrected and whose old ones stay doubted (RULES 14)."""
    return [str(row.number) for row in connection.execute(_in_doubt)]


def taken_from(connection: Connection, lot_id: int) -> int:
    """How much live links have taken from a lot, in its own unit."""
    return int(connection.scalar(_taken, {"parent": lot_id}) or 0)


def above(connection: Connection, lot_id: int, *, doubted: bool = False, floor: int = 0) -> Walk:
    """The sub-graph of a lot's ancestors; nothing is followed below rank `floor`."""
    return _walked(connection, _up, {"id": lot_id, "state": _state(doubted), "floor": floor})


def below(connection: Connection, lot_id: int, *, doubted: bool = False) -> Walk:
    """The sub-graph of a lot's descendants."""
    return _walked(connection, _down, {"id": lot_id, "state": _state(doubted)})


def ids_above(connection: Connection, lot_id: int, *, floor: int = 0) -> set[int]:
    """A lot and all its ancestors by live and doubted links."""
    query = {"id": lot_id, "state": DOUBTED, "floor": floor}
    return {int(row[0]) for row in connection.execute(_up_ids, query)}


def ids_below(connection: Connection, lot_id: int) -> set[int]:
    """A lot and all its descendants by live and doubted links."""
    return {int(row[0]) for row in connection.execute(_down_ids, {"id": lot_id, "state": DOUBTED})}


def aliases_of(connection: Connection, number: str) -> Sequence[Row[Any]]:
    """The other names a lot goes by: rows of scheme, value."""
    return connection.execute(_aliases, {"number": number}).all()


def lots_known_as(connection: Connection, value: str) -> list[str]:
    """The lots that go by a name, however it is typed: a supplier's number, a heat, an SSCC."""
    return sorted({row.number for row in connection.execute(_by_alias, {"value": as_alias(value)})})


def lots_with(connection: Connection, scheme: str, value: str) -> set[str]:
    """The lots known by a value of one scheme: heat, delivery, supplier, supplier's number."""
    query = {"scheme": scheme, "value": as_alias(value)}
    return {str(row.number) for row in connection.execute(_with_alias, query)}


def as_alias(text: str) -> str:
    """A name as aliases keep it and are searched for: one space between words, capitals, NFC."""
    return normalize("NFC", " ".join(text.split()).upper())


def _state(doubted: bool) -> int:
    return DOUBTED if doubted else LIVE


def _walked(connection: Connection, query: Any, values: Mapping[str, Any]) -> Walk:
    edges = connection.execute(query, values).all()
    ids = {values["id"]} | {row.child for row in edges} | {row.parent for row in edges}
    return Walk(lots_by_id(connection, ids), edges)
