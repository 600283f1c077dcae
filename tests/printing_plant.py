"""A house whose wire shop prints at a real printer, its worker, and what a test asks of both."""

from dataclasses import dataclass

from goods_by_hand import LayDown
from houses import House
from lotroot.labelling.printers import seen
from lotroot.labelling.tables import print_job
from lotroot.posting.door import now
from lotroot.worker import Worker
from printers_at_hand import PaperPrinter, until

MICROSECONDS = 1_000_000


class TrueClock:
    """The time of day, or so many minutes later."""

    def __init__(self) -> None:
        self.ahead = 0

    def __call__(self) -> int:
        return now() + self.ahead * 60 * MICROSECONDS


@dataclass
class PrintingPlant:
    """A house whose wire shop prints at a real printer, and its worker."""

    house: House
    clock: TrueClock
    printer: PaperPrinter
    worker: Worker

    def made(self, count: int = 1, items: int = 0) -> list[str]:
        """Goods of the wire shop, each with its label queued."""
        yard, station = self.house.thing("place", "coil_yard"), self.house.thing("station", "draw_1")
        product, amount = ("box_25x50", 25_000 * items) if items else ("wire_25", 486_500)
        command = LayDown(product, amount, yard, items=items, source="")
        return [self.house.post(command, station=station).numbers[0] for _ in range(count)]

    def states(self) -> list[str]:
        return [job["state"] for job in self.house.rows(print_job)]

    def jobs(self, state: str) -> list[int]:
        return [job["id"] for job in self.house.rows(print_job) if job["state"] == state]

    def settled(self, *but: str) -> None:
        """Wait until every job is done, or in one of these states."""
        until(lambda: set(self.states()) <= {"done", "cancelled", *but}, self.states)

    def trouble(self) -> str:
        row = self.house.ask(seen).get("wire")
        return row.trouble if row is not None else ""

    def restart(self) -> None:
        """Another worker, as at a start of the program."""
        self.worker.stop()
        self.worker = Worker(self.house.door)
        self.worker.start()


def once(numbers: list[str]) -> list[set[str]]:
    """One label of each, in order, bars and square saying the number alone."""
    return [{number} for number in numbers]
