"""Which tables say what was counted? All are status: rebuilt from events."""

from sqlalchemy import BigInteger, Column, Index, Integer, Table, Text, literal_column

from lotroot.database import index_where, metadata

count = Table(
    "stock_count",
    metadata,
    Column("id", BigInteger, primary_key=True, autoincrement=False),  # the event that opened it
    Column("place", Text, nullable=False),
    Column("state", Text, nullable=False),  # open, finished, void
    Column("person", Text, nullable=False),
    Column("opened", BigInteger, nullable=False),  # microseconds UTC
    Column("finished_by", Text, nullable=False),
    Column("finished", BigInteger),
    Column("expected", Integer, nullable=False),  # labels, as known at its end
    Column("seen", Integer, nullable=False),
    info={"layer": "status"},
)
STILL_OPEN = count.c.state == literal_column("'open'")
index_where("ix_stock_count_open", STILL_OPEN, count.c.id)

sighting = Table(
    "stock_count_seen",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("of_count", BigInteger, nullable=False),
    Column("number", Text, nullable=False),  # what was scanned
    Column("lot", Text, nullable=False),  # empty for a carrier itself
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("spot", Text, nullable=False),
    Column("stood", Text, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("weighed", BigInteger, nullable=False),
    Column("typed_by", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    info={"layer": "status"},
)
Index("ix_stock_count_seen_lot", sighting.c.lot)
Index("ix_stock_count_seen_of", sighting.c.of_count, sighting.c.event)
WEIGHED_THERE = sighting.c.weighed > literal_column("0")
index_where("ix_stock_count_seen_weighed", WEIGHED_THERE, sighting.c.at)

difference = Table(
    "stock_count_difference",
    metadata,
    Column("of_count", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("place", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("lot", Text, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("carrier", Text, nullable=False),
    Column("spot", Text, nullable=False),
    Column("stood", Text, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("weighed", BigInteger, nullable=False),
    Column("questions", Text, nullable=False),  # events, with spaces between them
    Column("choice", Text, nullable=False),  # empty while nobody has decided
    Column("waiting", Integer, nullable=False),  # 1 until it is settled for good
    Column("words", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("at", BigInteger),
    info={"layer": "status"},
)
WAITING = difference.c.waiting == literal_column("1")
index_where("ix_stock_count_waiting", WAITING, difference.c.of_count, difference.c.seq)
