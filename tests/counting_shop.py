"""How does a test count what stands at a place, through the door, as a receiver and a supervisor do?"""

from typing import Any

from lotroot.counting.commands import CountGoods, FinishCount, SettleDifference, StartCount
from lotroot.counting.counts import differences_of, find_count
from lotroot.counting.inside import progress
from lotroot.errors import Question
from lotroot.moving.pallets import ClosePallet, OpenPallet, PutOn
from lotroot.production.making import MakeOutput
from lotroot.questions import open_questions
from lotroot.stock.standing import standings
from lotroot.verify import verify
from lotroot.work import Answer
from shop import Shop

YARD, RACK = "coil_yard", "rack_a"


class Counting(Shop):
    """A shop where somebody counts."""

    def start(self, place: str = YARD, who: str = "receiver") -> int:
        return int(self.at("receiving", StartCount(self.place(place)), who).numbers[0])

    def see(self, count: int, number: str, who: str = "receiver", **more: Any) -> Answer:
        return self.at("receiving", CountGoods(count, number, **more), who)

    def finish(self, count: int, **more: Any) -> Answer:
        try:
            return self.at("receiving", FinishCount(count), "receiver", **more)
        except Question as asked:
            return self.at("receiving", FinishCount(count), "receiver", answers={asked.identifier: "yes"})

    def found(self, count: int) -> list[tuple[str, str]]:
        """The kinds of difference and what they are about."""
        rows = self.house.ask(differences_of, count)
        return [
            (row.kind, row.carrier or (self.item(row.lot, row.first) if row.first else row.lot))
            for row in rows
        ]

    def settle(self, count: int, choice: str, seq: int = 1, who: str = "supervisor", **more: Any) -> Answer:
        return self.at("laboratory", SettleDifference(count, seq, choice, **more), who)

    def doubts(self) -> set[str]:
        return {row.subject for row in self.house.ask(open_questions)}

    def done(self, count: int) -> tuple[int, int]:
        found = self.house.ask(lambda connection: progress(connection, find_count(connection, count)))
        return found.seen, found.expected

    def boxes(self, count: int = 6) -> str:
        self.in_the_hopper()
        return self.at("packing", MakeOutput(count=count)).numbers[0]

    def pallet(self, lot: str, first: int, last: int, place: str = YARD) -> str:
        number = self.at("packing", OpenPallet(self.place(place))).numbers[0]
        self.at("packing", PutOn(number, self.item(lot, first), self.item(lot, last)))
        self.at("packing", ClosePallet(number))
        return number

    def spot(self, lot: str) -> dict[str, int]:
        return {row.spot: row.amount for row in self.house.ask(standings, lot)}

    def closes(self) -> None:
        super().closes()
        assert str(verify(self.house.database)).startswith("ok")
