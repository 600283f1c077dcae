"""Which tables say where a lot from outside came from, and who told what it weighs? All are status."""

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

weight_told = Table(
    "weight_told",
    metadata,
    # The event that told a weight of a lot's own: its receipt, or a correction.
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("lot", Text, nullable=False),
    Column("typed_by", Text, nullable=False),
    Column("station", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    info={"layer": "status"},
)
Index("ix_weight_told_at", weight_told.c.at)
