"""Does the demo plant hold all that it is to show, and is it built the same every time?"""

from collections.abc import Iterator

import pytest
from engines import PostgresServer
from lotroot import house as program
from lotroot.database import Database
from lotroot.demo.build import act, begun
from lotroot.demo.practice import people, sheet
from lotroot.genealogy.tables import edge, lot
from lotroot.holds.standing import standing_holds
from lotroot.ledger.book import head
from lotroot.ledger.tables import event, posting
from lotroot.plant.adopted import current_plant, number_of
from lotroot.production.runs import open_runs
from lotroot.production.tables import run, run_input, run_join
from lotroot.questions import open_questions
from lotroot.stock.tables import carrier
from lotroot.verify import verify
from sqlalchemy import Connection, func, select


@pytest.fixture(scope="module")
def demo(demo_database: Database) -> Database:
    """Without its labels: they are a matter of the worker's own tests."""
    return demo_database


@pytest.fixture
def connection(demo: Database) -> Iterator[Connection]:
    with demo.reading() as found:
        yield found


def count(connection: Connection, kind: str) -> int:
    """How many events of a kind there are."""
    return int(connection.scalar(select(func.count()).where(event.c.kind == kind)) or 0)


def posted(connection: Connection, command: str) -> int:
    """How often a command was posted."""
    return int(connection.scalar(select(func.count()).where(posting.c.command == command)) or 0)


def test_the_record_of_the_demo_agrees_with_itself(demo: Database) -> None:
    assert str(verify(demo)).startswith("ok ")


@pytest.mark.in_ci
def test_a_second_build_on_the_other_engine_has_the_same_hashes(
    demo: Database, postgres: PostgresServer, thorough: bool
) -> None:
    """The quick profile builds a quarter of the days: what it ends with is in the other's chain there."""
    with postgres.database() as url:
        database = Database(url)
        program.create(database)
        work, lines = begun(database)
        for line in lines if thorough else lines[: len(lines) // 4]:
            act(work, line)
        with database.reading() as connection:
            again = head(connection)
        database.close()
    with demo.reading() as connection:
        assert again.count == head(connection).count or not thorough
        assert again.hash == connection.scalar(select(event.c.hash).where(event.c.id == again.count))


def test_every_process_of_the_plant_ran(connection: Connection) -> None:
    worked = {row.process for row in connection.execute(select(run.c.process).where(run.c.voided == 0))}
    assert worked == set(current_plant(connection).processes)


@pytest.mark.parametrize(
    ("command", "least"),
    [
        ("OpenShipment", 6),
        ("Restack", 1),
        ("ReturnGoods", 1),
        ("OpenComplaint", 1),
        ("CorrectInput", 1),
        ("BringBack", 1),
        ("Undo", 1),
        ("PrintAgain", 1),
        ("ReceiveDelivery", 1),
        ("CompleteReceipt", 1),
        ("OpenStock", 4),
        ("RecordCheck", 10),
        ("ReleaseHold", 4),
        ("UnloadInput", 2),
    ],
)
def test_the_days_hold_what_they_are_to_show(connection: Connection, command: str, least: int) -> None:
    assert posted(connection, command) >= least


def test_the_plant_is_busy_enough(connection: Connection) -> None:
    coils = connection.execute(select(lot.c.number).where(lot.c.number.like("C%"), lot.c.voided == 0)).all()
    pallets = connection.execute(select(carrier.c.number).where(carrier.c.kind == "pallet")).all()
    customers = connection.execute(select(event.c.body).where(event.c.kind == "ShipmentOpened")).all()
    assert len(coils) >= 40
    assert len(pallets) >= 25
    assert len({row.body for row in customers}) >= 6


def test_strippers_lie_across_welds_and_tumbler_loads_mix_three_to_six_lots(connection: Connection) -> None:
    parents = (
        select(edge.c.child, func.count(func.distinct(edge.c.parent)).label("parents"))
        .join(lot, lot.c.id == edge.c.child)
        .where(edge.c.state == 0, edge.c.given > 0)
        .group_by(edge.c.child)
    )
    of_kind = {
        kind: [row.parents for row in connection.execute(parents.where(lot.c.kind == kind))]
        for kind in ("stripper", "tumbled_nails", "barbed_wire", "mesh", "coated_wire")
    }
    assert max(of_kind["stripper"]) == 2
    assert {3, 4, 5} & set(of_kind["tumbled_nails"])
    assert of_kind["barbed_wire"] == [3]
    assert max(of_kind["mesh"]) >= 12
    assert set(of_kind["coated_wire"]) == {2}


def test_a_pan_was_topped_up_and_part_coils_were_loaded_again(connection: Connection) -> None:
    assert connection.execute(select(run_join)).all()
    loads = select(run_input.c.lot).where(run_input.c.voided == 0).group_by(run_input.c.lot)
    assert connection.execute(loads.having(func.count() > 1)).all()


def test_the_morning_after_has_something_to_look_at(connection: Connection) -> None:
    assert open_runs(connection)
    assert open_questions(connection)
    assert standing_holds(connection)


def test_the_practice_sheet_has_everybodys_badge_and_things_to_scan(demo: Database) -> None:
    with demo.reading() as connection:
        paper = sheet(connection)
    assert {one.badge for one in people()} <= set(paper.codes)
    assert len(paper.codes) >= 30
    with demo.reading() as connection:
        treating = [number_of(connection, "station", "treating"), number_of(connection, "vessel", "tank_1")]
    assert {*treating, "L2600000940"} <= set(paper.codes), "a charge can be tried from the sheet"
