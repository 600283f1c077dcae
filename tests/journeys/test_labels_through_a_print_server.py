"""Do labels come out once through a CUPS whose queue is stopped, refuses, or has lost its printer?"""

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from goods_by_hand import by_hand
from houses import a_house
from lotroot.labelling.equipping import SetPrinter
from lotroot.labelling.tables import print_job
from lotroot.posting.door import Door
from lotroot.worker import Worker
from printers_at_hand import PaperPrinter, PrintServer, a_print_server, a_printer, until
from printing_plant import PrintingPlant, TrueClock

pytestmark = pytest.mark.in_ci


@pytest.fixture
def printer(tmp_path: Path) -> Iterator[PaperPrinter]:
    tmp_path.chmod(0o755)
    with a_printer(tmp_path / "printer", formats="image/pwg-raster,image/png,application/pdf") as one:
        yield one


@pytest.fixture
def server(printer: PaperPrinter) -> Iterator[PrintServer]:
    with TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)  # its filters run as another user
        with a_print_server(Path(folder), printer) as one:
            yield one


@pytest.fixture
def plant(tmp_path: Path, printer: PaperPrinter, server: PrintServer) -> Iterator[PrintingPlant]:
    with by_hand():
        house, clock = a_house(tmp_path), TrueClock()
        house.door = Door(house.database, clock)
        house.post(SetPrinter("wire", "Wire shop printer", server.address))
        plant = PrintingPlant(house, clock, printer, Worker(house.door))
        plant.worker.start()
        yield plant
        plant.worker.stop()
    house.database.close()


def came_out(printer: PaperPrinter) -> list[str]:
    """The numbers in the names of the jobs that came out, whatever form CUPS gave them."""
    return [name.rpartition("-")[2] for name in printer.names()]


def test_labels_come_out_once_in_order(plant: PrintingPlant) -> None:
    numbers = plant.made(3)
    plant.settled()
    assert came_out(plant.printer) == numbers


def test_at_a_resolution_set_for_the_queue_labels_come_out_too(
    plant: PrintingPlant, server: PrintServer
) -> None:
    plant.house.post(SetPrinter("wire", "Wire shop printer", server.address, dpi=300))
    numbers = plant.made(2)
    plant.settled()
    assert came_out(plant.printer) == numbers


def test_a_paused_queue_is_waited_for_and_its_words_are_shown(
    plant: PrintingPlant, server: PrintServer
) -> None:
    server.tell("cupsdisable", "-r", "Changing the ribbon", "gate")
    numbers = plant.made(2)
    until(lambda: plant.trouble() == "is paused" or "ribbon" in plant.trouble(), plant.trouble)
    # CUPS says that it is paused a second late: the first may lie in its queue by then, never the second
    assert plant.states()[1] == "queued"
    assert plant.printer.printed() == []
    server.tell("cupsenable", "gate")
    plant.settled()
    assert came_out(plant.printer) == numbers


def test_a_queue_that_takes_nothing_is_waited_for(plant: PrintingPlant, server: PrintServer) -> None:
    server.tell("cupsreject", "-r", "Moved to the other hall", "gate")
    numbers = plant.made(2)
    until(lambda: plant.trouble().startswith("takes no jobs"), plant.trouble)
    assert plant.states() == ["queued", "queued"]
    server.tell("cupsaccept", "gate")
    plant.settled()
    assert came_out(plant.printer) == numbers


def test_a_printer_switched_off_behind_its_queue_prints_everything_once_when_it_is_back(
    plant: PrintingPlant,
) -> None:
    plant.printer.stop()
    numbers = plant.made(3)
    until(lambda: plant.states()[0] == "sent", plant.states)
    plant.printer.start()
    plant.settled()
    assert came_out(plant.printer) == numbers
    reasons = {job["reason"] for job in plant.house.rows(print_job)}
    assert reasons == {""}
