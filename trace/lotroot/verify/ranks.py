"""Does every lot rank above all its parents, so that no lot can be its own ancestor (RULES 12)?"""

from sqlalchemy import Connection, select

from lotroot.genealogy.tables import edge_table, lot_table
from lotroot.ledger.proof import Finding

_parent = lot_table.alias("parent")
_child = lot_table.alias("child")
# Live and doubted links alike: rank stands above both (RULES 14).
_wrong = (
    select(
        edge_table.c.child,
        edge_table.c.parent,
        _child.c.number.label("child_number"),
        _child.c.rank.label("child_rank"),
        _parent.c.number.label("parent_number"),
        _parent.c.rank.label("parent_rank"),
    )
    .join(_child, _child.c.id == edge_table.c.child, isouter=True)
    .join(_parent, _parent.c.id == edge_table.c.parent, isouter=True)
    .where(
        _child.c.id.is_(None) | _parent.c.id.is_(None) | (_parent.c.rank >= _child.c.rank),
    )
    .order_by(edge_table.c.child, edge_table.c.seq)
    .limit(1)
)


def rank_finding(connection: Connection) -> Finding | None:
    """The first link, by the child's birth, whose parent does not rank below the child."""
    row = connection.execute(_wrong).first()
    if row is None:
        return None
    if row.child_number is None or row.parent_number is None:
        missing = row.child if row.child_number is None else row.parent
        return Finding(f"link {row.child} from {row.parent}", f"no lot born of event {missing}", "a lot")
    expected = f"more than the {row.parent_rank} of its parent {row.parent_number}"
    return Finding(row.child_number, f"rank {row.child_rank}", expected)
