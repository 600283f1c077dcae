"""Which tables keep labels?

`print_job` is operational: the outbox, written in the same transaction as the fact the label belongs
to; `printer_seen` too: how each printer was when it was last asked. `label` is status: what was printed, and
the first scan that proved it on the goods; so are `printer` and `station_printer`: what was set on the page
of the printers, which goes before what plant.toml says.
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
    Column("state", Text, nullable=False),  # see outbox
    Column("attempts", Integer, nullable=False),
    Column("reason", Text, nullable=False),
    Column("queued", BigInteger, nullable=False),
    Column("fresh", BigInteger, nullable=False),  # asked for at the goods then: queued, or PRINT NOW
    Column("claimed", BigInteger, nullable=False, server_default="0"),  # given to the printer then
    Column("remote", BigInteger, nullable=False, server_default="0"),  # the printer's number for it
    info={"layer": "operational"},
)
Index("ix_print_job_state", print_job.c.state)
Index("ix_print_job_number", print_job.c.number)

printer_seen = Table(
    "printer_seen",
    metadata,
    Column("code", Text, primary_key=True),
    Column("at", BigInteger, nullable=False),
    Column("model", Text, nullable=False),
    Column("resolutions", Text, nullable=False),  # dots an inch, with commas
    Column("trouble", Text, nullable=False),  # words that follow its name; empty: fit
    Column("remark", Text, nullable=False),
    info={"layer": "operational"},
)

printer = Table(
    "printer",
    metadata,
    Column("code", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("address", Text, nullable=False),  # empty: the label tray
    Column("dpi", Integer, nullable=False),  # 0: as the printer says
    Column("across", Integer, nullable=False),  # hundredths of a millimetre to the right
    Column("along", Integer, nullable=False),  # and down
    Column("stock", Text, nullable=False),
    Column("instead", Text, nullable=False),  # the printer that takes over
    Column("certificate", Text, nullable=False),
    info={"layer": "status"},
)

station_printer = Table(
    "station_printer",
    metadata,
    Column("station", Text, primary_key=True),  # its number
    Column("printer", Text, nullable=False),
    info={"layer": "status"},
)

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
    Column("unreadable", Integer, nullable=False),  # 1: at its first scan it could not be read
    info={"layer": "status"},
)
Index("ix_label_number", label.c.number)
Index("ix_label_printed_at", label.c.printed_at)
index_where("ix_label_unproved", label.c.proved.is_(None), label.c.printed_at)
