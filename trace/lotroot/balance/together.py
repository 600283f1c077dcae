"""`together`: inputs on named payoffs, in turn on each, together across them (barbed wire, mesh).

All payoffs run the same length, so an output is split over them by mass a metre of product; what a
payoff gives it divides among its own loads. A change on one payoff leaves the others alone.
"""

from dataclasses import replace

from lotroot.balance.happenings import Basis, Ended, Load, Made, Margin, Scrapped, Unloaded
from lotroot.balance.line import Line
from lotroot.balance.linking import Part
from lotroot.balance.reached import Reached
from lotroot.quantities import share_out


class Together:
    """One line a payoff."""

    def __init__(self, margin: Margin) -> None:
        self._margin = margin
        self._reached = Reached()
        self._payoffs: dict[str, Line] = {}
        self._lines: dict[int, Line] = {}  # by load

    def put_on(self, load: Load) -> None:
        """A lot was put on its payoff."""
        line = self._payoffs.setdefault(load.payoff, Line(self._margin, self._reached))
        self._lines[load.seq] = line
        line.put_on(load)

    def end(self, mark: Ended) -> None:
        """A load ran out."""
        for line in self._on(mark.load):
            line.end(mark)

    def take_off(self, unloaded: Unloaded) -> None:
        """A load was taken off."""
        for line in self._on(unloaded.load):
            line.take_off(unloaded)

    def scrap(self, scrapped: Scrapped) -> None:
        """Part of a load was scrapped or sampled."""
        for line in self._on(scrapped.load):
            line.scrap(scrapped)

    def make(self, made: Made) -> tuple[Part, ...]:
        """The parts of an output, payoff by payoff; without a mass a metre all payoffs count alike."""
        for line in self._on(made.of):
            return line.named(made)
        begun = [line for line in self._payoffs.values() if not line.empty()]
        lines = [line for line in begun if line.active(made)] or begun
        weights = [line.weight() for line in lines]
        known = any(weights)
        shares = share_out(made.amount, weights if known else [1 for _ in lines]) if lines else []
        split: Basis = made.basis if len(lines) == 1 else "calculated" if known else "apportioned"
        return tuple(
            _across(part, made, share, split)
            for line, share in zip(lines, shares, strict=True)
            for part in line.take(made, share)
        )

    def settled(self, load: int) -> bool:
        """Whether an ended load gives no more."""
        return self._lines[load].settled(load)

    def _on(self, load: int) -> list[Line]:
        return [self._lines[load]] if load in self._lines else []


def _across(part: Part, made: Made, share: int, split: Basis) -> Part:
    """The part over the stretch of the whole output, which runs as long as this payoff's share of it."""
    basis = split if part.basis == made.basis else part.basis
    if not share:
        return replace(part, start=0, stop=made.amount, basis=basis)
    start, stop = part.start * made.amount // share, part.stop * made.amount // share
    return replace(part, start=start, stop=stop, basis=basis)
