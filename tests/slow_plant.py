"""A slow, obvious plant to hold the real one against: dictionaries and loops, nothing clever.

It keeps what it was told, lot by lot, and answers three questions the long way: what could a lot have
been made of, is it held, and does what came in equal what is there, what was used and what is missing?
It never asks the real house how it got to an answer.
"""

from dataclasses import dataclass, field


@dataclass
class SlowRun:
    """A run as the test drove it: which lots were on while which outputs were made."""

    station: str
    number: str = ""
    on: list[str] = field(default_factory=list)
    ever: list[str] = field(default_factory=list)


@dataclass
class SlowPlant:
    """Amounts in grams; `made_of` holds, for each lot, every lot it must and every lot it may come from."""

    born: dict[str, int] = field(default_factory=dict)
    must: dict[str, set[str]] = field(default_factory=dict)
    may: dict[str, set[str]] = field(default_factory=dict)
    held: dict[int, set[str]] = field(default_factory=dict)
    freed: dict[int, set[str]] = field(default_factory=dict)
    shipped: set[str] = field(default_factory=set)

    def bear(self, lot: str, grams: int, must: set[str], may: set[str]) -> None:
        """A lot, or more of a lot that grows."""
        self.born[lot] = self.born.get(lot, 0) + grams
        self.must.setdefault(lot, set()).update(must)
        self.may.setdefault(lot, set()).update(must | may)

    def is_held(self, lot: str, parents: dict[str, set[str]]) -> bool:
        """Whether some hold reaches the lot: walk every path up, stopping where that hold was released."""
        return any(self._reaches(hold, lot, parents, set()) for hold in self.held)

    def _reaches(self, hold: int, lot: str, parents: dict[str, set[str]], seen: set[str]) -> bool:
        if lot in seen or lot in self.freed.get(hold, set()):
            return False
        if lot in self.held[hold]:
            return True
        return any(self._reaches(hold, one, parents, seen | {lot}) for one in parents.get(lot, ()))


def has_circle(parents: dict[str, set[str]]) -> bool:
    """Whether any lot is its own ancestor: take away lots without parents until none is left."""
    left = {lot: set(some) for lot, some in parents.items()}
    while left:
        roots = [lot for lot, some in left.items() if not (some & set(left))]
        if not roots:
            return True
        for lot in roots:
            del left[lot]
    return False
