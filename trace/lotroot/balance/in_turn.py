"""`in_turn`: outputs eat the loaded input from one end, one load after the other (drawing, roll forming)."""

from lotroot.balance.happenings import Ended, Load, Made, Margin, Scrapped, Unloaded
from lotroot.balance.line import Line
from lotroot.balance.linking import Part
from lotroot.balance.reached import Reached


class InTurn:
    """One queue of loads, whichever payoff each came by."""

    def __init__(self, margin: Margin) -> None:
        self._line = Line(margin, Reached())

    def put_on(self, load: Load) -> None:
        """A lot was put on."""
        self._line.put_on(load)

    def end(self, mark: Ended) -> None:
        """A load ran out."""
        self._line.end(mark)

    def take_off(self, unloaded: Unloaded) -> None:
        """A load was taken off."""
        self._line.take_off(unloaded)

    def scrap(self, scrapped: Scrapped) -> None:
        """Part of a load was scrapped or sampled."""
        self._line.scrap(scrapped)

    def make(self, made: Made) -> tuple[Part, ...]:
        """The parts of an output."""
        return self._line.named(made) or self._line.take(made, made.amount)

    def settled(self, load: int) -> bool:
        """Whether an ended load gives no more."""
        return self._line.settled(load)
