"""A slow, obvious account of one payoff: every gram of every output is looked at by itself."""

from collections.abc import Sequence
from dataclasses import dataclass

from lotroot.balance.happenings import Ended, Happening, Load, Made, Margin, Scrapped, Unloaded


@dataclass
class Coil:
    """A coil as it lies on the payoff; `switch` is the gram of the run from which the next one runs."""

    load: Load
    seen: int
    used: int = 0
    scrapped: int = 0
    mark: Ended | Unloaded | None = None
    switch: int | None = None


class Payoff:
    """Coils in their turns, and for each output the load of each of its grams."""

    def __init__(self, margin: Margin) -> None:
        self.margin = margin
        self.coils: list[Coil] = []
        self.grams = 0
        self.outputs: list[list[int]] = []

    def tell(self, happening: Happening) -> None:
        """One happening more."""
        if isinstance(happening, Load):
            self.put_on(happening)
        elif isinstance(happening, Made):
            self.place_marks(happening)
            self.outputs.append([self.gram() for _ in range(happening.amount)] if self.coils else [])
        elif isinstance(happening, Ended | Unloaded | Scrapped):
            for coil in [coil for coil in self.coils if coil.load.seq == happening.load]:
                self.sign(coil, happening)

    def put_on(self, load: Load) -> None:
        """Last, or where the mark of the coil before says."""
        place = len(self.coils)
        for before, coil in enumerate(self.coils):
            if isinstance(coil.mark, Ended) and coil.mark.next_load == load.seq:
                place = before + 1
                break
        self.coils.insert(place, Coil(load, self.grams))

    def sign(self, coil: Coil, happening: Ended | Unloaded | Scrapped) -> None:
        """Scrapped, taken off or ended."""
        if isinstance(happening, Scrapped):
            coil.scrapped += happening.amount
        elif isinstance(happening, Unloaded) and happening.remainder >= coil.load.amount - coil.scrapped:
            self.coils.remove(coil)
        elif coil.mark is None:
            coil.mark = happening
            for waiting in list(self.coils):
                if isinstance(happening, Ended) and waiting.load.seq == happening.next_load:
                    self.coils.remove(waiting)
                    self.coils.insert(self.coils.index(coil) + 1, waiting)

    def place_marks(self, made: Made) -> None:
        """The gram from which the next coil runs, by counter or else by time, and the wire on the blocks."""
        for coil in self.coils:
            if coil.mark is not None and coil.switch is None:
                counter = coil.mark.counter if isinstance(coil.mark, Ended) else None
                read = None not in (counter, made.counter_from, made.counter_to)
                if read and made.counter_from <= counter <= made.counter_to != made.counter_from:
                    span = (made.counter_from, counter, made.counter_to)
                else:
                    span = (made.began, coil.mark.at, made.ended)
                low, here, high = span
                into = sum(
                    1
                    for gram in range(made.amount)
                    if (gram + 1) * (high - low) <= made.amount * (here - low)
                )
                coil.switch = self.grams + (into if high > low else 0) + self.margin.on_blocks

    def gram(self) -> int:
        """The load of the next gram."""
        running = 0
        for place, coil in enumerate(self.coils[:-1]):
            after = self.coils[place + 1]
            if coil.switch is not None:
                gone = self.grams >= max(coil.switch, after.seen)
            else:
                gone = running == place and coil.used + coil.scrapped >= coil.load.amount
            if gone:
                running = place + 1
        coil = self.coils[running]
        coil.used += 1
        self.grams += 1
        return coil.load.seq


def outputs(happenings: Sequence[Happening], margin: Margin) -> list[list[int]]:
    """For each output, the load of each of its grams."""
    payoff = Payoff(margin)
    for happening in happenings:
        payoff.tell(happening)
    return payoff.outputs
