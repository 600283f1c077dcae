"""Do lots and links read as they were said, though the words of many are kept once?"""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from family_by_hand import Family
from lotroot.bench.plants import YEAR, megabytes
from lotroot.bench.scratch import written
from lotroot.database import Database
from lotroot.errors import Unreadable
from lotroot.genealogy.events import (
    AmountCorrected,
    LinksConfirmed,
    LotLink,
    NewRank,
    ProductCorrected,
    RanksRaised,
)
from lotroot.genealogy.lots import find_lot, links_of, lots_of_run, next_rank
from lotroot.genealogy.tables import GRAPH, edge, edge_table, link_words, lot, lot_table, lot_words
from lotroot.identity import make
from query_plans import plans, read_whole
from sqlalchemy import func, select

RUN = str(make("U", 26, 16))


@pytest.fixture
def family() -> Iterator[Family]:
    with closing(Family()) as found:
        yield found


def count(family: Family, table: Any) -> int:
    return int(family.connection.scalar(select(func.count()).select_from(table)) or 0)


def of_coil(parent: str, **more: Any) -> LotLink:
    said = {"end": "outer", "feed": "in_turn", "basis": "counted", "child_end": "inner", **more}
    return LotLink(parent, "rod", "steel", 100, 100, **said)


def test_a_lot_and_its_link_read_as_they_were_said(family: Family) -> None:
    coil = family.lot("rod", 1_000, source="received", how="theirs", mass=1_000, mass_how="weighed")
    wire = family.made("stripper", 100, of_coil(coil), run=RUN)
    row = find_lot(family.connection, coil)
    assert (row.kind, row.unit, row.how, row.mass_how) == ("rod", "g", "theirs", "weighed")
    assert (row.axis, row.source, row.run) == ("amount", "received", "")
    assert find_lot(family.connection, wire).run == RUN
    [link] = links_of(family.connection, find_lot(family.connection, wire).id)
    assert (link.role, link.stream, link.end, link.feed) == ("rod", "steel", "outer", "in_turn")
    assert (link.basis, link.child_end, link.taken, link.parent_number) == ("counted", "inner", 100, coil)


def test_what_is_said_again_takes_no_row(family: Family) -> None:
    coil = family.lot("rod", 1_000, source="received")
    family.made("stripper", 100, of_coil(coil))
    said = count(family, lot_words), count(family, link_words)
    for _ in range(5):
        family.made("stripper", 100, of_coil(coil), of_coil(family.lot("rod", 1_000, source="received")))
    assert (count(family, lot_words), count(family, link_words)) == said == (2, 1)
    family.made("stripper", 100, of_coil(coil, basis="apportioned"))
    assert count(family, link_words) == 2


def test_a_correction_of_one_lot_leaves_what_others_are_called(family: Family) -> None:
    first, second = (family.lot("rod", 1_000, source="received", mass=1_000) for _ in range(2))
    family.record(ProductCorrected(first, "rod_65", "wire"))
    family.record(AmountCorrected(first, 900, 1_000, "theirs", mass=900, mass_how="estimated"))
    one, other = (find_lot(family.connection, number) for number in (first, second))
    assert (one.product, one.kind, one.how, one.mass_how) == ("rod_65", "wire", "theirs", "estimated")
    assert (one.amount, one.mass, one.source) == (900, 900, "received")
    assert (other.kind, other.how, other.amount) == ("rod", "weighed", 1_000)
    family.record(AmountCorrected(first, 950, 900, "weighed", mass=950))
    assert find_lot(family.connection, first).mass_how == "estimated", "not said anew, it stays"


def test_a_doubted_link_keeps_its_words(family: Family) -> None:
    wrong, right = family.lot("rod", 1_000, source="received"), family.lot("rod", 1_000, source="received")
    wire = family.made("stripper", 100, of_coil(wrong, basis="apportioned"))
    family.link(wire, of_coil(right), doubted=True)
    key = find_lot(family.connection, wire).id
    found = [(one.parent_number, one.basis, one.state) for one in links_of(family.connection, key, True)]
    assert found == [(right, "counted", 0), (wrong, "apportioned", 1)]
    family.record(LinksConfirmed(wire))
    assert [one.parent_number for one in links_of(family.connection, key, True)] == [right]


def test_the_lots_of_a_run_are_found_by_its_number_alone(family: Family) -> None:
    wire = family.lot("stripper", 100, run=RUN)
    family.lot("rod", 100, source="received")
    assert [row.number for row in lots_of_run(family.connection, RUN)] == [wire]
    for strange in (str(make("U", 27, 16)), str(make("C", 26, 16)), "U2600001699", "no such", ""):
        assert lots_of_run(family.connection, strange) == []
    with pytest.raises(Unreadable):
        family.lot("stripper", 100, run="U2600001699")


def test_the_next_rank_is_above_all_that_were_given_or_raised(family: Family) -> None:
    assert next_rank(family.connection) == 1
    first, second = family.lot("rod", 100), family.lot("rod", 100)
    assert next_rank(family.connection) == 3
    family.record(RanksRaised((NewRank(first, 9), NewRank(second, 7))))
    assert next_rank(family.connection) == 10
    family.lot("rod", 100)
    assert next_rank(family.connection) == 10


@pytest.mark.parametrize(
    ("asked", "table"), [(select(edge.c.parent, edge.c.child), edge_table), (select(lot.c.number), lot_table)]
)
def test_who_asks_for_no_words_reads_none(family: Family, asked: Any, table: Any) -> None:
    lines = plans(family.connection, lambda: family.connection.execute(asked).all())
    assert len(lines) == 1
    assert [line.split()[1] for line in read_whole(lines)] == [table.name]


def test_a_year_of_lots_and_links_fits_in_seventy_megabytes(tmp_path: Path) -> None:
    file, days = tmp_path / "plant.db", 13
    with closing(Database(str(file))) as database:
        written(database, days)
    assert megabytes(file, *(table.name for table in GRAPH)) * YEAR / days <= 70
