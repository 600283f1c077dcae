"""Which tables say what stands where? All are status: rebuilt from events.

`standing` holds what a lot has at a spot now: one row for a lot of an amount (first = last = 0), one
row a range of serials for a lot of items. A spot is the number of a place, carrier, run or shipment.
`line` keeps every amount that came from, or went to, something that is no spot.

What every recall and hold check looks up by its key lies in the key's own tree on SQLite (`with_rowid`
is false): one look-up instead of two, and what is asked together lies together.
"""

from sqlalchemy import BigInteger, CheckConstraint, Column, Index, Integer, Table, Text, and_, literal_column

from lotroot.database import index_where, metadata

standing = Table(
    "standing",
    metadata,
    Column("lot", Text, primary_key=True),
    Column("first", Integer, primary_key=True, autoincrement=False),
    Column("spot", Text, primary_key=True),
    Column("last", Integer, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("since", BigInteger, nullable=False),  # the event that put it there
    CheckConstraint("(first = 0 AND last = 0) OR (first > 0 AND last >= first)", name="range"),
    sqlite_with_rowid=False,
    info={"layer": "status"},
)
# With all that is asked of what lies on a pallet, so that it need not go to the row as well.
Index("ix_standing_spot", standing.c.spot, standing.c.amount)

line = Table(
    "line",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("lot", Text, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("account", Text, nullable=False),  # born, taken, scrap, loss, sample, difference, void
    Column("amount", BigInteger, nullable=False),  # what the account gained, in the lot's unit
    Column("run", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    info={"layer": "status"},
)
Index("ix_line_lot", line.c.lot)
Index("ix_line_run", line.c.run)
MISSING = line.c.account == literal_column("'difference'")
index_where("ix_line_missing", MISSING, line.c.at)

item_weight = Table(
    "item_weight",
    metadata,
    Column("lot", Text, primary_key=True),
    Column("serial", Integer, primary_key=True, autoincrement=False),
    Column("amount", BigInteger, nullable=False),
    info={"layer": "status"},
)

carrier = Table(
    "carrier",
    metadata,
    Column("number", Text, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("code", Text, nullable=False),
    Column("reusable", Integer, nullable=False),
    Column("state", Text, nullable=False),  # open, closed, emptied, became, shipped, void
    Column("spot", Text, nullable=False),
    Column("became", Text, nullable=False),
    Column("since", BigInteger, nullable=False),
    sqlite_with_rowid=False,
    info={"layer": "status"},
)
Index("ix_carrier_spot", carrier.c.spot)
Index("ix_carrier_code", carrier.c.code)
OPEN_PALLET = and_(carrier.c.kind == literal_column("'pallet'"), carrier.c.state == literal_column("'open'"))
index_where("ix_carrier_open_pallet", OPEN_PALLET, carrier.c.since)

content = Table(
    "content",
    metadata,
    Column("carrier", Text, primary_key=True),
    Column("lot", Text, primary_key=True),
    Column("first", Integer, primary_key=True, autoincrement=False),
    Column("put_on", BigInteger, primary_key=True, autoincrement=False),  # event
    Column("last", Integer, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("taken_off", BigInteger),  # event, NULL while it is on
    sqlite_with_rowid=False,
    info={"layer": "status"},
)
Index("ix_content_lot", content.c.lot)

tare = Table(
    "tare",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("carrier", Text, nullable=False),
    Column("grams", BigInteger, nullable=False),
    Column("since", BigInteger, nullable=False),  # when it was weighed, microseconds UTC
    Column("person", Text, nullable=False),
    Column("typed_by", Text, nullable=False),
    info={"layer": "status"},
)
Index("ix_tare_carrier", tare.c.carrier, tare.c.since)
Index("ix_tare_since", tare.c.since)
