"""Which tables hold how runs add up? All are status: rebuilt from events.

A row is never changed but for `replaced`: the time at which a later posting made it out of date, None while
it stands. So what was known on a day is the rows with `known` up to then and `replaced` not before; what was
known when the ledger ended in an event, those with `event` up to it and `replaced_by` not before.
Times are in microseconds UTC.
"""

from sqlalchemy import BigInteger, Column, Index, Integer, Table, Text

from lotroot.database import index_where, metadata

_STATUS = {"layer": "status"}

run_balance = Table(
    "run_balance",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("stream", Text, primary_key=True),
    Column("run", Text, nullable=False),
    Column("process", Text, nullable=False),
    Column("product", Text, nullable=False),
    Column("station", Text, nullable=False),
    Column("day", Text, nullable=False),  # the production day it was closed in, 2026-11-24
    Column("shift", Text, nullable=False),
    Column("closed", BigInteger, nullable=False),
    Column("unit", Text, nullable=False),
    Column("loaded", BigInteger, nullable=False),
    Column("returned", BigInteger, nullable=False),
    Column("good", BigInteger, nullable=False),
    Column("by_product", BigInteger, nullable=False),
    Column("scrap", BigInteger, nullable=False),
    Column("loss", BigInteger, nullable=False),
    Column("difference", BigInteger, nullable=False),
    Column("spread", BigInteger, nullable=False),
    Column("tolerance", BigInteger, nullable=False),
    Column("basis", Text, nullable=False),
    Column("verdict", Text, nullable=False),
    Column("other_good", BigInteger, nullable=False),
    Column("other_spread", BigInteger, nullable=False),
    Column("reckoned", BigInteger, nullable=False),
    Column("known", BigInteger, nullable=False),
    Column("replaced", BigInteger),
    Column("replaced_by", BigInteger),  # the event that did
    info=_STATUS,
)
Index("ix_run_balance_run", run_balance.c.run)
# With what says when a row was known: what changed in a month is found without looking into its rows.
Index(
    "ix_run_balance_day",
    run_balance.c.day,
    run_balance.c.event,
    run_balance.c.replaced_by,
    run_balance.c.known,
    run_balance.c.replaced,
)
Index("ix_run_balance_station", run_balance.c.station, run_balance.c.day)
Index("ix_run_balance_product", run_balance.c.product, run_balance.c.day)
Index("ix_run_balance_process", run_balance.c.process, run_balance.c.day)
STANDS = run_balance.c.replaced.is_(None)
index_where("ix_run_balance_stands", STANDS, run_balance.c.day)

balance_source = Table(
    "balance_source",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("stream", Text, primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("role", Text, nullable=False),
    Column("supplier", Text, nullable=False),
    Column("heat", Text, nullable=False),
    Column("loaded", BigInteger, nullable=False),
    Column("returned", BigInteger, nullable=False),
    Column("taken", BigInteger, nullable=False),
    Column("scrap", BigInteger, nullable=False),
    Column("difference", BigInteger, nullable=False),
    info=_STATUS,
)
Index("ix_balance_source_heat", balance_source.c.heat)
Index("ix_balance_source_supplier", balance_source.c.supplier)

balance_scrap = Table(
    "balance_scrap",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("stream", Text, primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("reason", Text, nullable=False),
    Column("how", Text, nullable=False),
    Column("amount", BigInteger, nullable=False),
    info=_STATUS,
)

closed_month = Table(
    "closed_month",
    metadata,
    Column("month", Text, primary_key=True),  # 2026-11
    Column("events", BigInteger, nullable=False),  # its figures are what the ledger told up to this event
    Column("hash", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("person", Text, nullable=False),
    info=_STATUS,
)
