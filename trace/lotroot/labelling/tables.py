"""Which tables keep labels?

`print_job` is operational: the outbox, written in the same transaction as the fact the label belongs
to. `label` is status: what was printed, and the first scan that proved it on the goods.
"""

from sqlalchemy import BigInteger, Column, Index, Integer, Table, Text

from lotroot.database import index_where, metadata

print_job = Table(
    "print_job",
    metadata,
    Column("id", BigInteger, primary_key=True, autoincrement=False),
    Column("posting", BigInteger, nullable=False),
    Column("number", Text, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("copy", Integer, nullable=False),
    Column("layout", Text, nullable=False),
    Column("fields", Text, nullable=False),  # JSON: what stands on the label
    Column("printer", Text, nullable=False),  # a printer's code, empty for the label tray
    Column("station", Text, nullable=False),
    Column("state", Text, nullable=False),  # queued, sending, done, failed, unknown, cancelled
    Column("attempts", Integer, nullable=False),
    Column("reason", Text, nullable=False),
    Column("queued", BigInteger, nullable=False),
    info={"layer": "operational"},
)
Index("ix_print_job_state", print_job.c.state)
Index("ix_print_job_number", print_job.c.number)

label = Table(
    "label",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("number", Text, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("copy", Integer, nullable=False),
    Column("layout", Text, nullable=False),
    Column("fields", Text, nullable=False),
    Column("printed_at", BigInteger, nullable=False),
    Column("station", Text, nullable=False),
    Column("printer", Text, nullable=False),  # empty for the label tray
    Column("job", BigInteger, nullable=False),
    Column("proved", BigInteger),  # the event of the first scan on the goods
    info={"layer": "status"},
)
Index("ix_label_number", label.c.number)
Index("ix_label_printed_at", label.c.printed_at)
index_where("ix_label_unproved", label.c.proved.is_(None), label.c.printed_at)
