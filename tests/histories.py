"""Random runs for hypothesis: small amounts, few loads, everything that can happen in a run."""

from collections.abc import Callable
from dataclasses import dataclass, field

from hypothesis import strategies as st
from lotroot.balance.happenings import (
    Closed,
    Ended,
    Happening,
    Load,
    Made,
    Margin,
    Scrapped,
    Unloaded,
)

KINDS = ("load", "made", "made", "made", "ended", "unloaded", "scrapped")

margins = st.builds(Margin, st.integers(0, 4), st.integers(0, 4))


@dataclass
class _Run:
    """A run as it is being written down."""

    draw: Callable[[st.SearchStrategy[int]], int]
    found: list[Happening] = field(default_factory=list)
    on: dict[int, Load] = field(default_factory=dict)
    numbers: int = 0
    clock: int = 0
    counter: int = 0

    def pick(self, most: int) -> int:
        """A number from 0 to `most`."""
        return self.draw(st.integers(0, most))

    def number(self) -> int:
        """The next number."""
        self.numbers += 1
        return self.numbers

    def load(self) -> Load:
        """A new lot, or in one of four the lot of an earlier load again."""
        seq, earlier = self.number(), [each for each in self.found if isinstance(each, Load)]
        lot, start, end = f"P{seq}", self.pick(5), ("outer", "inner", "unknown")[self.pick(2)]
        if earlier and not self.pick(3):
            lot = earlier[self.pick(len(earlier) - 1)].lot
            if lot in {each.lot for each in self.on.values()}:
                lot = f"P{seq}"
        payoff, amount = str(self.pick(2)), self.pick(20)
        found = Load(seq, lot, "rod", "steel", payoff, amount, start, end, self.clock, self.pick(3))
        self.on[seq] = found
        self.found.append(found)
        return found

    def made(self, kind: str) -> None:
        """An output begun where the last one ended, a by-product earlier; some counters were read."""
        amount, spent, seq = self.pick(12), self.pick(6), self.number()
        began = max([each.ended for each in self.found if isinstance(each, Made)], default=0)
        self.clock = max(self.clock, began) + spent
        began = self.pick(began) if kind == "by-product" else began
        counters = (self.counter, self.counter + self.pick(9)) if not self.pick(2) else (None, None)
        self.counter = counters[1] or self.counter
        lot = f"C{seq // 3}"  # some lots grow
        where = {"counter_from": counters[0], "counter_to": counters[1]}
        self.found.append(Made(seq, lot, 0, 0, amount, began, self.clock, **where))

    def sign(self, kind: str) -> None:
        """Something that happens to one of the loads that are on."""
        self.clock += self.pick(3)
        if not self.on:
            return
        load = list(self.on.values())[self.pick(len(self.on) - 1)]
        if kind == "scrapped":
            self.found.append(Scrapped(load.seq, self.pick(3), self.clock))
        elif kind == "unloaded":
            del self.on[load.seq]
            self.found.append(Unloaded(load.seq, self.clock, self.pick(load.amount)))
        else:
            del self.on[load.seq]
            others = [0, self.numbers + 1, *self.on]
            counter = self.counter + self.pick(9) if not self.pick(1) else None
            following = others[self.pick(len(others) - 1)]
            self.found.append(Ended(load.seq, following, self.clock, counter))


@st.composite
def runs(draw: st.DrawFn, *, by_products: bool = True) -> list[Happening]:
    """A run of up to 18 happenings, its outputs in sequence but for by-products; half are closed."""
    run = _Run(draw)
    run.load()
    kinds = (*KINDS, "by-product") if by_products else KINDS
    for kind in draw(st.lists(st.sampled_from(kinds), min_size=draw(st.sampled_from([0, 9])), max_size=18)):
        if kind == "load":
            run.load()
        elif kind in ("made", "by-product"):
            run.made(kind)
        else:
            run.sign(kind)
    if draw(st.booleans()):
        run.found.append(Closed(run.clock))
    return run.found
