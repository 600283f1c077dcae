"""Which table says where a lot from outside came from? It is status: rebuilt from events."""

from sqlalchemy import BigInteger, Column, Index, Integer, Table, Text

from lotroot.database import metadata

source = Table(
    "source",
    metadata,
    Column("lot", Text, primary_key=True),
    Column("supplier", Text, nullable=False),  # a party's code
    Column("supplier_number", Text, nullable=False),
    Column("heats", Text, nullable=False),  # separated by "; ", or "not on tag"
    Column("grade", Text, nullable=False),
    Column("size", Text, nullable=False),
    Column("mass_theirs", BigInteger, nullable=False),  # g, 0 where their tag tells none
    Column("order_number", Text, nullable=False),
    Column("delivery", Text, nullable=False),
    Column("certificate", Text, nullable=False),  # a file's SHA-256, "to follow" or empty
    Column("remark", Text, nullable=False),
    Column("paint_batch", Text, nullable=False),  # as on the tag of a painted coil
    Column("photo", Text, nullable=False),  # a file's SHA-256 or empty
    Column("details_due", Integer, nullable=False),
    Column("product_due", Integer, nullable=False),  # its product is a guess
    info={"layer": "status"},
)
Index("ix_source_details_due", source.c.details_due)
Index("ix_source_certificate", source.c.certificate)
