"""How does a test get goods made in a plant, act by act, through the door?

shop = Shop(house)
coil = shop.coil()
strippers = shop.drawn(coil, 500_000, 510_000)
pan = shop.tumbled(shop.nails(strippers[0], 300_000))
"""

from dataclasses import dataclass
from typing import Any

from houses import House
from lotroot.errors import Question
from lotroot.identity import ItemNumber, number_from
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.receiving.commands import ReceiveLot
from lotroot.stock.carriers import find_carrier
from lotroot.stock.standing import standings, totals
from lotroot.verify.conservation import conservation_finding
from lotroot.work import Answer


@dataclass
class Shop:
    """A house at work; every method posts and gives back the number of what it made."""

    house: House

    def at(self, station: str, command: Any, who: str = "operator", **envelope: Any) -> Answer:
        """Post a command at a station of the plant."""
        return self.house.post(command, who, station=self.house.thing("station", station), **envelope)

    def asked(self, command: Any, choice: str, station: str = "packing", **envelope: Any) -> Answer:
        """Post a command whose one question is answered with a choice."""
        try:
            self.at(station, command, **envelope)
        except Question as question:
            return self.at(station, command, answers={question.identifier: choice}, **envelope)
        raise AssertionError(f"no question asked by {command}")

    def question(self, command: Any, station: str = "packing", **envelope: Any) -> Question:
        """The question a command asks; nothing is recorded."""
        try:
            self.at(station, command, **envelope)
        except Question as question:
            return question
        raise AssertionError(f"no question asked by {command}")

    def pan(self, code: str) -> str:
        """The number of a pan or spool."""
        return str(self.house.ask(find_carrier, code).number)

    def place(self, code: str) -> str:
        """The number of a place."""
        return self.house.thing("place", code)

    def coil(self, product: str = "rod_55", amount: int = 2_000_000, heat: str = "A100") -> str:
        """A received coil."""
        command = ReceiveLot(
            product=product, amount=amount, supplier="nordhavn", heats=(heat,), certificate="to follow"
        )
        return self.at("receiving", command, "receiver").numbers[0]

    def drawn(self, coil: str, *weights: int) -> list[str]:
        """Strippers of a coil; the run stays open."""
        self.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
        return [self.at("draw_1", MakeOutput(weight=weight)).numbers[0] for weight in weights]

    def nails(self, stripper: str, weight: int, pan: str = "pan_17") -> str:
        """A nail lot in a pan; the run stays open."""
        self.at("nail_1", LoadInput(stripper, product="nail_25x50"))
        return self.at("nail_1", MakeOutput(weight=weight, carrier=self.pan(pan))).numbers[0]

    def tumbled(self, nails: str, weight: int, pan: str = "pan_18") -> str:
        """A tumbled lot in a pan; the run is closed."""
        self.at("tumbler_1", LoadInput(nails, product="tumbled_25x50"))
        made = self.at("tumbler_1", MakeOutput(weight=weight, carrier=self.pan(pan))).numbers[0]
        self.at("tumbler_1", CloseRun())
        return made

    def in_the_hopper(self, weight: int = 1_000_000) -> str:
        """A tumbled lot of a coil of its own, tipped into the packing bench's hopper."""
        stripper = self.drawn(self.coil(), weight + 40_000)[0]
        lot = self.tumbled(self.nails(stripper, weight + 20_000), weight)
        self.at("packing", LoadInput(self.pan("pan_18"), product="box_25x50"))
        return lot

    def item(self, lot: str, serial: int) -> str:
        """An item's number."""
        return str(ItemNumber(number_from(lot), serial))

    def stands(self, lot: str) -> list[tuple[int, int, int]]:
        """The ranges of a lot that stand somewhere: first, last, amount."""
        return [(row.first, row.last, row.amount) for row in self.house.ask(standings, lot)]

    def closes(self) -> None:
        """Every account closes, and status is what the events say."""
        assert self.house.ask(conservation_finding) is None
        assert self.house.status() == self.house.rebuilt()

    def account(self, lot: str) -> dict[str, int]:
        """What became of a lot: its accounts, without what stands."""
        return dict(self.house.ask(totals, lot))
