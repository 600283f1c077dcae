"""How does a synthetic plant get into a scratch database of ours, and into one with a node for every box?

Rows go straight into the tables of status: ten years through the posting door would take days. Nothing
here is ever pointed at a database that holds anything (`empty` asks).
"""

import sqlite3
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any, NamedTuple

from sqlalchemy import Connection, Table, func, insert, inspect, select

from lotroot.bench.goods import Day, Lot, Pallet
from lotroot.bench.synthetic import Plant
from lotroot.database import Database, metadata
from lotroot.dispatch.facts import load, shipment
from lotroot.errors import Unavailable
from lotroot.genealogy.tables import LIVE, edge_table, highest_rank, link_words, lot_table, lot_words
from lotroot.genealogy.wording import in_numbers
from lotroot.identity.numbers import make
from lotroot.posting.features import APPLIES
from lotroot.stock.tables import carrier, content, standing

DAY = 86_400_000_000
"""A day in microseconds."""
PLACES = tuple(str(make("T", 26, running)) for running in range(1, 6))
_STATION, _AT_ONCE = str(make("T", 26, 9)), 20


class Size(NamedTuple):
    """How large a synthetic plant came out; `events` as a plant would have recorded."""

    days: int
    lots: int
    edges: int
    pallets: int
    items: int
    events: int


def empty(database: Database) -> None:
    """Raises Unavailable where a database holds any table."""
    found = inspect(database.engine).get_table_names()
    if found:
        raise Unavailable(
            "A benchmark writes into an empty database only, and leaves its plant there.",
            value=f"{len(found)} tables",
            expected="A new file, or a database without tables.",
            next_step="Name another with --database, or leave it out for a scratch file.",
        )


def with_tables(database: Database) -> None:
    """Make every table of the house."""
    with database.writing() as connection:
        assert APPLIES  # with the features their tables are known
        metadata.create_all(connection)


def written(database: Database, days: int, seed: int = 1) -> tuple[Size, list[str]]:
    """Write so many days of a plant; returns its size, and the numbers of its pallets in their order."""
    with_tables(database)
    plant = Plant(seed)
    size, pallets = Size(0, 0, 0, 0, 0, 0), []
    coming = plant.days(days)
    while some := list(islice(coming, _AT_ONCE)):
        with database.writing() as connection:
            _write_days(connection, some)
        size = _added(size, some)
        pallets += [pallet.number for day in some for pallet in day.pallets]
    with database.writing() as connection:
        fill(connection, carrier, (_carrier(pallet) for pallet in plant.in_yard()))
        fill(connection, standing, _left_over(plant))
        connection.execute(insert(highest_rank).from_select(["rank"], select(func.max(lot_table.c.rank))))
        if not database.on_sqlite:
            connection.exec_driver_sql("ANALYZE")
    return size, pallets


def _write_days(connection: Connection, days: list[Day]) -> None:
    lots = [one for day in days for one in day.lots]
    pallets = [one for day in days for one in day.pallets]
    leaving = [one for day in days for one in day.leaving]
    fill_lots(connection, lots)
    fill(connection, standing, (row for one in pallets for row in _standing(one)))
    fill(connection, content, (row for one in pallets for row in _content(one)))
    fill(connection, carrier, (_carrier(one) for one in leaving))
    shipments = {one.shipment: (day.day, one.customer) for day in days for one in day.leaving}
    sent = [(day.day, *one) for day in days for one in day.sent]
    shipments |= {number: (day, customer) for day, _, number, customer in sent}
    fill(connection, shipment, (_shipment(number, *rest) for number, rest in shipments.items()))
    fill(connection, load, (row for one in leaving for row in _loads(one)))
    fill(connection, load, (_load_of(one, number) for _, one, number, _ in sent))


def fill(connection: Connection, table: Table, rows: Iterable[tuple[Any, ...]]) -> None:
    """Append rows, their values in the order of the table's columns."""
    names = [column.name for column in table.columns]
    some = [dict(zip(names, row, strict=True)) for row in rows]
    if some:
        connection.execute(insert(table), some)


def fill_lots(connection: Connection, lots: Iterable[Lot]) -> None:
    """Append lots with their links."""
    some = list(lots)
    rows = in_numbers(connection, lot_words, map(_lot_row, some))
    links = in_numbers(connection, link_words, (row for one in some for row in _link_rows(one)))
    connection.execute(insert(lot_table), rows)
    if links:
        connection.execute(insert(edge_table), links)


def _lot_row(one: Lot) -> dict[str, Any]:
    return {
        "id": one.id,
        "number": one.number,
        "kind": one.kind,
        "product": one.kind,
        "unit": one.unit,
        "amount": one.amount,
        "how": "weighed",
        "mass": one.amount if one.unit == "g" else None,
        "mass_how": "weighed",
        "typed_by": "",
        "axis": "serial" if one.items else "amount",
        "items": one.items,
        "run": str(make("U", 26, one.id % 900_000 + 1)) if one.links else "",
        "rank": one.id,
        "source": "" if one.links else "received",
        "born_at": one.day * DAY,
        "station": _STATION,
        "sealed": 1,
        "voided": 0,
    }


def _link_rows(one: Lot) -> Iterator[dict[str, Any]]:
    blank = {"child_from": None, "child_to": None, "lane_from": 0, "lane_to": 0, "filling": 1, "state": LIVE}
    for seq, link in enumerate(one.links, 1):
        end = None if link.start is None else link.start + link.given
        bound = link.given if link.feed == "mixed" else None
        yield {
            **blank,
            "child": one.id,
            "seq": seq,
            "parent": link.parent,
            "role": link.stream,
            "stream": link.stream,
            "taken": link.given,
            "given": link.given,
            "parent_from": link.start,
            "parent_to": end,
            "end": "outer" if end else "",
            "feed": link.feed,
            "least": bound,
            "most": bound,
            "basis": "weighed",
            "child_end": "outer",
            "load": seq,
        }


def _standing(pallet: Pallet) -> Iterator[tuple[Any, ...]]:
    for one in pallet.ranges:
        yield (one.lot.number, one.first, pallet.number, one.last, one.amount, pallet.id)


def _content(pallet: Pallet) -> Iterator[tuple[Any, ...]]:
    for one in pallet.ranges:
        yield (pallet.number, one.lot.number, one.first, pallet.id, one.last, one.amount, None)


def _carrier(pallet: Pallet) -> tuple[Any, ...]:
    spot = pallet.shipment or PLACES[pallet.place]
    state = "shipped" if pallet.shipment else "closed"
    return (pallet.number, "pallet", "", 0, state, spot, "", pallet.id)


def _shipment(number: str, day: int, customer: str) -> tuple[Any, ...]:
    return (number, customer, "", "left", day * DAY, day * DAY, "", "", "")


def _loads(pallet: Pallet) -> Iterator[tuple[Any, ...]]:
    for seq, one in enumerate(pallet.ranges):
        what = (one.lot.number, one.first, one.last, one.amount, None)
        yield (pallet.id, seq, pallet.shipment, pallet.number, *what)


def _load_of(one: Lot, number: str) -> tuple[Any, ...]:
    return (one.id, 0, number, "", one.number, 0, 0, one.amount, None)


def _left_over(plant: Plant) -> Iterator[tuple[Any, ...]]:
    for _, number, amount in plant.left_over():
        yield (number, 0, PLACES[0], 0, amount, 1)


def _added(size: Size, days: list[Day]) -> Size:
    lots = [one for day in days for one in day.lots]
    pallets = sum(len(day.pallets) for day in days)
    shipments = sum(len(day.leaving) // 8 + len(day.sent) for day in days)
    return Size(
        size.days + len(days),
        size.lots + len(lots),
        size.edges + sum(len(one.links) for one in lots),
        size.pallets + pallets,
        size.items + sum(one.items for one in lots),
        size.events + len(lots) + pallets + shipments,
    )


BOX_SCHEMA = """
CREATE TABLE edge(child INT NOT NULL, parent INT NOT NULL, part REAL NOT NULL, g INT NOT NULL,
  PRIMARY KEY(child, parent)) WITHOUT ROWID;
CREATE TABLE coil(id INTEGER PRIMARY KEY, number TEXT NOT NULL);
CREATE TABLE pallet(id INTEGER PRIMARY KEY, number TEXT NOT NULL UNIQUE, g INT NOT NULL,
  place TEXT, customer TEXT);
CREATE TABLE stock(id INTEGER PRIMARY KEY, g INT NOT NULL);
"""
BOX_INDEX = "CREATE INDEX edge_forward ON edge(parent, child, part, g)"
BOX = 1_000_000_000
"""Boxes are numbered from here on, with room for 1,000 a lot."""
MOST = 1_000


def boxes_written(file: sqlite3.Connection, days: int, seed: int = 1) -> int:
    """Write the same plant with a node for every box, pack and roll; returns how many edges it has."""
    file.executescript(BOX_SCHEMA)
    plant, count = Plant(seed), 0
    with file:
        for day in plant.days(days):
            rows = [*_box_links(day), *_pallet_links(day)]
            count += len(rows)
            file.executemany("INSERT INTO edge VALUES (?, ?, ?, ?)", rows)
            coils = [(one.id, one.number) for one in day.lots if not one.links]
            file.executemany("INSERT INTO coil VALUES (?, ?)", coils)
            file.executemany("INSERT INTO pallet VALUES (?, ?, ?, NULL, ?)", map(_palletised, day.leaving))
        file.executemany("INSERT INTO pallet VALUES (?, ?, ?, 'yard', NULL)", map(_in_yard, plant.in_yard()))
        file.executemany("INSERT INTO stock VALUES (?, ?)", [(one, g) for one, _, g in plant.left_over()])
        file.execute(BOX_INDEX)
    return count


BoxLink = tuple[int, int, float, int]
"""Child, parent, the parent's part of the child, and g."""


def _box(lot: Lot, serial: int) -> int:
    return BOX + lot.id * MOST + serial


def _box_links(day: Day) -> Iterator[BoxLink]:
    for one in day.lots:
        total = sum(link.given for link in one.links if link.stream != "solution") or 1
        children = range(_box(one, 1), _box(one, one.items) + 1) if one.items else [one.id]
        for link in one.links:
            each = link.given // (one.items or 1)
            for child in children:
                yield child, link.parent, link.given / total, each


def _pallet_links(day: Day) -> Iterator[BoxLink]:
    for pallet in day.pallets:
        weight = sum(one.amount for one in pallet.ranges)
        for some in pallet.ranges:
            each = some.lot.amount / some.lot.items
            for box in range(_box(some.lot, some.first), _box(some.lot, some.last) + 1):
                yield pallet.id, box, each / weight, int(each)


def _palletised(pallet: Pallet) -> tuple[int, str, int, str]:
    return (pallet.id, pallet.number, sum(one.amount for one in pallet.ranges), pallet.customer)


def _in_yard(pallet: Pallet) -> tuple[int, str, int]:
    return (pallet.id, pallet.number, sum(one.amount for one in pallet.ranges))
