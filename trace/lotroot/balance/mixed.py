"""`mixed`: a vessel gives of everything in it (tumbler, tank).

Expected by proportion of what it holds when an output comes out. Least and most are simple bounds a link;
closer ones need all outputs of the fillings together (RULES.md 11). A filling is the span between two
loadings, and its number stands on the link.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from lotroot.balance.happenings import Basis, Ended, Load, Made, Margin, Scrapped, Unloaded
from lotroot.balance.linking import Part
from lotroot.balance.reached import Reached
from lotroot.quantities import share_out


@dataclass(slots=True)
class _Held:
    """A load in the vessel: `content` is what is expected of it, `room` what could still come of it."""

    load: Load
    begin: int
    content: int
    room: int
    off: int | None = None  # when it was said to be out
    left_in: int = 0  # the filling in which that was

    def give(self, amount: int) -> None:
        """Less by `amount`, however it left."""
        self.content -= amount
        self.room = max(0, self.room - amount)


class Mixed:
    """One vessel, filling by filling."""

    def __init__(self, _margin: Margin) -> None:
        self._reached = Reached()
        self._held: dict[int, _Held] = {}
        self._filling = 1
        self._drawn = False  # something came out of this filling
        self._began = 0  # the latest output

    def put_on(self, load: Load) -> None:
        """Something was put in: after an output, that begins a new filling."""
        if self._drawn:
            self._filling += 1
            self._drawn = False
        held = _Held(load, self._reached.begin(load), load.amount, load.amount)
        self._reached.take(load, load.amount)
        self._held[load.seq] = held

    def end(self, mark: Ended) -> None:
        """Nothing of the load is left in the vessel."""
        held = self._held.get(mark.load)
        if held is not None and held.off is None:
            held.off, held.left_in = mark.at, self._filling

    def take_off(self, unloaded: Unloaded) -> None:
        """What was left of the load was taken out again."""
        held = self._held.get(unloaded.load)
        if held is not None and held.off is None:
            held.give(unloaded.remainder)
            self._reached.take(held.load, -unloaded.remainder)
            held.off, held.left_in = unloaded.at, self._filling

    def scrap(self, scrapped: Scrapped) -> None:
        """Part of a load was scrapped or sampled."""
        held = self._held.get(scrapped.load)
        if held is not None:
            held.give(scrapped.amount)

    def make(self, made: Made) -> tuple[Part, ...]:
        """The parts of an output, one for each load that could be in it."""
        inside = self._inside(made)
        if not inside:
            return ()
        bounds = _bounds(inside, made.amount)
        shares = share_out(made.amount, _weights(inside))
        self._drawn, self._began = True, max(self._began, made.began)
        return tuple(
            self._part(held, made, given, bound)
            for held, given, bound in zip(inside, shares, bounds, strict=True)
        )

    def settled(self, load: int) -> bool:
        """Whether an output was begun after the load had been said to be out."""
        held = self._held[load]
        return held.off is not None and held.off < self._began

    def _inside(self, made: Made) -> list[_Held]:
        """What was in while the output was made; if all is said to be out, what was in this filling."""
        if made.of in self._held:
            return [self._held[made.of]]
        every = list(self._held.values())
        still = [held for held in every if held.off is None or held.off >= made.began]
        return still or [held for held in every if held.left_in == self._filling]

    def _part(self, held: _Held, made: Made, given: int, bound: tuple[int, int]) -> Part:
        least, most = bound
        basis: Basis = made.basis if least == given else "apportioned"
        if made.amount and not given:
            basis = "bounded"
        end = held.begin + held.load.amount
        held.content -= given
        held.room = max(0, held.room - least)
        limits = (min(least, given), max(most, given))
        return Part(held.load, 0, made.amount, given, *limits, held.begin, end, basis, filling=self._filling)


def _weights(inside: Sequence[_Held]) -> list[int]:
    """What is expected in the vessel; once more came out than went in, what went in."""
    contents = [max(0, held.content) for held in inside]
    amounts = [held.load.amount for held in inside]
    return contents if any(contents) else amounts if any(amounts) else [1 for _ in inside]


def _bounds(inside: Sequence[_Held], amount: int) -> list[tuple[int, int]]:
    """Least and most of each load in an output: what the others cannot have given, what it can have.

    What came out beyond the expected content was gained from elsewhere and is nobody's least.
    """
    known = min(amount, sum(max(0, held.content) for held in inside))
    room = sum(held.room for held in inside)
    return [(max(0, known - (room - held.room)), min(held.room, amount)) for held in inside]
