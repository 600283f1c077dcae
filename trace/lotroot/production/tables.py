"""Which tables hold runs? All are status: rebuilt from events."""

from sqlalchemy import BigInteger, Column, Index, Integer, Table, Text

from lotroot.database import index_where, metadata

_STATUS = {"layer": "status"}


run = Table(
    "run",
    metadata,
    Column("number", Text, primary_key=True),
    Column("process", Text, nullable=False),
    Column("station", Text, nullable=False),
    Column("product", Text, nullable=False),
    Column("plant", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("shift", Text, nullable=False),
    Column("opened", BigInteger, nullable=False),
    Column("opened_event", BigInteger, nullable=False),
    Column("closed", BigInteger),
    Column("closed_event", BigInteger),
    Column("voided", Integer, nullable=False),
    info=_STATUS,
)
Index("ix_run_station", run.c.station, run.c.closed)
Index("ix_run_person", run.c.person)
Index("ix_run_closed", run.c.closed)

run_use = Table(
    "run_use",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("run", Text, nullable=False),
    Column("thing", Text, nullable=False, index=True),
    Column("since", BigInteger, nullable=False),
    Column("until", BigInteger),
    info=_STATUS,
)
Index("ix_run_use_run", run_use.c.run)

run_input = Table(
    "run_input",
    metadata,
    Column("run", Text, primary_key=True),
    Column("load", Integer, primary_key=True, autoincrement=False),
    Column("lot", Text, nullable=False, index=True),
    Column("first", Integer, nullable=False),  # the serials that went on, 0 where nobody said which
    Column("last", Integer, nullable=False),
    Column("role", Text, nullable=False),
    Column("stream", Text, nullable=False),
    Column("payoff", Text, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("own", BigInteger, nullable=False),
    Column("end", Text, nullable=False),
    Column("weight", BigInteger, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("event", BigInteger, nullable=False),
    Column("ended_at", BigInteger),
    Column("ended_event", BigInteger),
    Column("next_load", Integer, nullable=False),
    Column("counter", BigInteger),
    Column("unloaded_at", BigInteger),
    Column("unloaded_event", BigInteger),
    Column("remainder", BigInteger, nullable=False),
    Column("left_how", Text, nullable=False),  # how the remainder is known; empty for none
    Column("typed_by", Text, nullable=False),  # who typed the remainder: scale, hand or not known
    Column("taken", BigInteger, nullable=False),
    Column("difference", BigInteger, nullable=False),
    Column("voided", Integer, nullable=False),
    info=_STATUS,
)
LEFT = run_input.c.unloaded_at.is_not(None)
index_where("ix_run_input_unloaded", LEFT, run_input.c.unloaded_at)

run_output = Table(
    "run_output",
    metadata,
    Column("run", Text, primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("output", Text, nullable=False),
    Column("lot", Text, nullable=False, index=True),
    Column("stream", Text, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("own", BigInteger, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("began", BigInteger, nullable=False),
    Column("ended", BigInteger, nullable=False),
    Column("of", Integer, nullable=False),
    Column("counter_from", BigInteger),
    Column("counter_to", BigInteger),
    Column("lane_from", Integer, nullable=False),
    Column("lane_to", Integer, nullable=False),
    Column("basis", Text, nullable=False),
    Column("typed_by", Text, nullable=False),
    Column("gross", BigInteger, nullable=False),
    Column("tare", BigInteger, nullable=False),
    Column("shift", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("event", BigInteger, nullable=False),
    Column("voided", Integer, nullable=False),
    info=_STATUS,
)
Index("ix_run_output_person", run_output.c.person, run_output.c.ended)
Index("ix_run_output_shift", run_output.c.shift, run_output.c.ended)

item_cut = Table(
    "item_cut",
    metadata,
    Column("run", Text, primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("line", Integer, primary_key=True, autoincrement=False),
    Column("lot", Text, nullable=False, index=True),
    Column("serial", Integer, nullable=False),
    Column("count", Integer, nullable=False),
    Column("length_mm", BigInteger, nullable=False),
    info=_STATUS,
)

run_scrap = Table(
    "run_scrap",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("run", Text, nullable=False, index=True),
    Column("load", Integer, nullable=False),
    Column("amount", BigInteger, nullable=False),
    Column("own", BigInteger, nullable=False),
    Column("reason", Text, nullable=False),
    Column("typed_by", Text, nullable=False),
    Column("how", Text, nullable=False),  # weighed, apportioned
    Column("weighing", BigInteger, nullable=False),  # the event of the bin's weighing it is a part of; 0
    Column("at", BigInteger, nullable=False),
    Column("voided", Integer, nullable=False),
    info=_STATUS,
)

Index("ix_run_scrap_weighing", run_scrap.c.weighing)
Index("ix_run_scrap_at", run_scrap.c.at)

bin_weighing = Table(
    "bin_weighing",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("bin", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("weight", BigInteger, nullable=False),
    Column("tare", BigInteger, nullable=False),
    Column("since", BigInteger, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("named", BigInteger, nullable=False),
    Column("shared", BigInteger, nullable=False),
    Column("typed_by", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("voided", Integer, nullable=False),
    info=_STATUS,
)
Index("ix_bin_weighing_bin", bin_weighing.c.bin, bin_weighing.c.at)
Index("ix_bin_weighing_at", bin_weighing.c.at, bin_weighing.c.event)

run_join = Table(
    "run_join",
    metadata,
    Column("child", Text, primary_key=True),
    Column("parent", Text, primary_key=True),
    Column("run", Text, nullable=False, index=True),
    Column("taken", BigInteger, nullable=False),
    Column("given", BigInteger, nullable=False),
    Column("stream", Text, nullable=False),
    info=_STATUS,
)

run_mark = Table(
    "run_mark",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("run", Text, nullable=False, index=True),
    Column("kind", Text, nullable=False),
    Column("payoff", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    info=_STATUS,
)

label_block = Table(
    "label_block",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("run", Text, nullable=False, index=True),
    Column("lot", Text, nullable=False, index=True),
    Column("output", Text, nullable=False),
    Column("first", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    info=_STATUS,
)

label_unused = Table(
    "label_unused",
    metadata,
    Column("event", BigInteger, primary_key=True, autoincrement=False),
    Column("first", Integer, primary_key=True, autoincrement=False),
    Column("lot", Text, nullable=False, index=True),
    Column("last", Integer, nullable=False),
    Column("why", Text, nullable=False),  # spoiled, returned
    info=_STATUS,
)
