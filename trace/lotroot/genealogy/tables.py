"""Which tables hold the genealogy? All are status: rebuilt from events.

Stretches are positions on a lot's axis: the amount that has left it from the end it was taken from
(RULES 8), or serials for a lot of items; NULL means the whole lot, or unknown.

Years of lots and links say the same few things in words: `lot_words` and `link_words` keep each set of words
once, and a row names its set. `lot` and `edge` are for reading: the rows with their words. `lot_table` and
`edge_table` are the rows alone, for those who write them, or ask for no words where every microsecond counts.
"""

from functools import lru_cache

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    Dialect,
    Index,
    Integer,
    Subquery,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
    literal_column,
    select,
)

from lotroot.database import index_where, metadata
from lotroot.errors import Unreadable
from lotroot.identity.families import Family
from lotroot.identity.numbers import is_run, make, number_from

LIVE, DOUBTED = 0, 1
_STATUS = {"layer": "status"}
_KEY = BigInteger().with_variant(Integer, "sqlite")
"""On SQLite INTEGER is the row's own key."""
_A_YEAR = 1_000_000
"""Running numbers of a year end before it."""


class RunNumber(TypeDecorator[str]):
    """A run's number by its year and running number, 26000123: letter and check pair follow from these.

    Four bytes, where its text takes twelve in the row and again in the index. No run, "", is NULL.
    """

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: str | None, dialect: Dialect) -> int | None:
        """0 for what is no run's number: nothing was made in it."""
        if not value:
            return None
        try:
            number = number_from(value)
        except Unreadable:
            return 0
        return number.year * _A_YEAR + number.running if is_run(number) else 0

    def process_result_value(self, value: int | None, dialect: Dialect) -> str:
        """The canonical text."""
        return _run_of(value) if value else ""


@lru_cache(maxsize=10_000)
def _run_of(key: int) -> str:
    return str(make(Family.RUN, *divmod(key, _A_YEAR)))


def _words(name: str, *words: str) -> Table:
    """A table of sets of words, each there once, numbered as they were first said."""
    key = Column("id", Integer, primary_key=True, autoincrement=False)
    columns = [Column(word, Text, nullable=False) for word in words]
    return Table(name, metadata, key, *columns, UniqueConstraint(*words), info=_STATUS)


def _in_words(rows: Table, words: Table) -> Subquery:
    """Rows to be read with their words beside them.

    An outer join: the engine goes from row to words, never from words to rows, and not at all where no
    word is asked for.
    """
    own = [column for column in rows.c if column.name != "words"]
    said = [column for column in words.c if column.name != "id"]
    joined = rows.outerjoin(words, words.c.id == rows.c.words)
    return select(*own, *said).select_from(joined).subquery(rows.name)


lot_words = _words(
    "lot_words", "kind", "product", "unit", "how", "mass_how", "axis", "source", "typed_by", "station"
)
lot_words.append_constraint(CheckConstraint("axis IN ('amount', 'serial')", name="axis"))

lot_table = Table(
    "lot",
    metadata,
    # The event of its birth; no index between a link and its lot.
    Column("id", _KEY, primary_key=True, autoincrement=False),
    Column("number", Text, nullable=False, unique=True),
    Column("words", Integer, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("mass", BigInteger),
    Column("items", Integer, nullable=False),
    Column("run", RunNumber),
    Column("rank", BigInteger, nullable=False),
    Column("born_at", BigInteger, nullable=False),
    Column("sealed", Integer, nullable=False),
    Column("voided", Integer, nullable=False),
    info=_STATUS,
)
index_where("ix_lot_run", lot_table.c.run.is_not(None), lot_table.c.run)
lot = _in_words(lot_table, lot_words)

item_mass = Table(
    "item_mass",
    metadata,
    Column("lot", Text, primary_key=True),
    Column("first", Integer, primary_key=True, autoincrement=False),  # 0 where nobody kept which items
    Column("last", Integer, nullable=False),
    Column("mass", BigInteger, nullable=False),  # as made and corrected, by output
    Column("amount", BigInteger, nullable=False),  # the same in the lot's unit
    info=_STATUS,
)

highest_rank = Table(
    "highest_rank",
    metadata,
    # One row, instead of an index of all ranks: nobody asks for more of them than the highest.
    Column("rank", _KEY, primary_key=True, autoincrement=False),
    info=_STATUS,
)

link_words = _words("link_words", "role", "stream", "end", "feed", "basis", "child_end")

edge_table = Table(
    "edge",
    metadata,
    # The run is the child's.
    Column("child", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("parent", BigInteger, nullable=False),
    Column("words", Integer, nullable=False),
    Column("taken", BigInteger, nullable=False),  # in the parent's unit
    Column("given", BigInteger, nullable=False),  # in the stream's unit
    Column("parent_from", BigInteger),
    Column("parent_to", BigInteger),
    Column("child_from", BigInteger),
    Column("child_to", BigInteger),
    Column("least", BigInteger),
    Column("most", BigInteger),
    Column("lane_from", Integer, nullable=False),
    Column("lane_to", Integer, nullable=False),
    Column("filling", Integer, nullable=False),
    Column("load", Integer, nullable=False),
    Column("state", Integer, nullable=False),
    CheckConstraint("child <> parent", name="no_self"),
    sqlite_with_rowid=False,
    info=_STATUS,
)
Index("ix_edge_forward", edge_table.c.parent, edge_table.c.child, edge_table.c.state)
edge = _in_words(edge_table, link_words)
IN_DOUBT = edge_table.c.state == literal_column(str(DOUBTED))
index_where("ix_edge_in_doubt", IN_DOUBT, edge_table.c.child)

_COLUMNS = [f'{"w" if column.name in link_words.c else "e"}."{column.name}"' for column in edge.c]
LINKS = " ".join(("SELECT", ", ".join(_COLUMNS), "FROM edge e LEFT JOIN link_words w ON w.id = e.words"))
"""The same as `edge`, for statements written out: links e with the columns of `edge` in their order."""

GRAPH = (lot_table, lot_words, highest_rank, edge_table, link_words)
"""What is told as the size of the graph: other names of lots and masses of items are no part of it."""

alias = Table(
    "alias",
    metadata,
    Column("scheme", Text, primary_key=True),
    Column("value", Text, primary_key=True),
    Column("number", Text, primary_key=True),
    info=_STATUS,
)
Index("ix_alias_value", alias.c.value)
Index("ix_alias_number", alias.c.number)
