"""Which tables hold the genealogy? All are status: rebuilt from events.

Stretches are positions on a lot's axis: the amount that has left it from the end it was taken from
(RULES 8), or serials for a lot of items; NULL means the whole lot, or unknown.
"""

from sqlalchemy import BigInteger, CheckConstraint, Column, Index, Integer, Table, Text, literal_column

from lotroot.database import index_where, metadata

LIVE, DOUBTED = 0, 1

lot = Table(
    "lot",
    metadata,
    # The event of its birth. On SQLite INTEGER is the row's own key: no index between a link and its lot.
    Column("id", BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=False),
    Column("number", Text, nullable=False, unique=True),
    Column("kind", Text, nullable=False),
    Column("product", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("how", Text, nullable=False),
    Column("mass", BigInteger),
    Column("mass_how", Text, nullable=False),
    Column("axis", Text, nullable=False),
    Column("items", Integer, nullable=False),
    Column("run", Text, nullable=False),
    Column("rank", BigInteger, nullable=False, index=True),
    Column("source", Text, nullable=False),
    Column("typed_by", Text, nullable=False),  # the amount by itself: of what runs made, outputs say it
    Column("born_at", BigInteger, nullable=False),
    Column("station", Text, nullable=False),
    Column("sealed", Integer, nullable=False),
    Column("voided", Integer, nullable=False),
    CheckConstraint("axis IN ('amount', 'serial')", name="axis"),
    info={"layer": "status"},
)
Index("ix_lot_run", lot.c.run)

item_mass = Table(
    "item_mass",
    metadata,
    Column("lot", Text, primary_key=True),
    Column("first", Integer, primary_key=True, autoincrement=False),  # 0 where nobody kept which items
    Column("last", Integer, nullable=False),
    Column("mass", BigInteger, nullable=False),  # as made and corrected, by output
    info={"layer": "status"},
)

edge = Table(
    "edge",
    metadata,
    Column("child", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("parent", BigInteger, nullable=False),
    Column("run", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("stream", Text, nullable=False),
    Column("taken", BigInteger, nullable=False),  # in the parent's unit
    Column("given", BigInteger, nullable=False),  # in the stream's unit
    Column("parent_from", BigInteger),
    Column("parent_to", BigInteger),
    Column("child_from", BigInteger),
    Column("child_to", BigInteger),
    Column("end", Text, nullable=False),
    Column("feed", Text, nullable=False),
    Column("least", BigInteger),
    Column("most", BigInteger),
    Column("basis", Text, nullable=False),
    Column("child_end", Text, nullable=False),
    Column("lane_from", Integer, nullable=False),
    Column("lane_to", Integer, nullable=False),
    Column("filling", Integer, nullable=False),
    Column("load", Integer, nullable=False),
    Column("state", Integer, nullable=False),
    CheckConstraint("child <> parent", name="no_self"),
    sqlite_with_rowid=False,
    info={"layer": "status"},
)
Index("ix_edge_forward", edge.c.parent, edge.c.child, edge.c.state)
IN_DOUBT = edge.c.state == literal_column(str(DOUBTED))
index_where("ix_edge_in_doubt", IN_DOUBT, edge.c.child)

alias = Table(
    "alias",
    metadata,
    Column("scheme", Text, primary_key=True),
    Column("value", Text, primary_key=True),
    Column("number", Text, primary_key=True),
    info={"layer": "status"},
)
Index("ix_alias_value", alias.c.value)
Index("ix_alias_number", alias.c.number)
