"""What lies in a synthetic plant: lots with their links, pallets, and piles that are used up in parts?"""

from collections import deque
from dataclasses import dataclass, field
from random import Random
from typing import NamedTuple


class Link(NamedTuple):
    """One parent of a lot: how much of it was taken, in which stream, and from where to where."""

    parent: int
    given: int
    stream: str
    feed: str
    start: int | None = None


class Lot(NamedTuple):
    """A lot as it was born; `items` of equal weight, 0 for bulk."""

    id: int
    number: str
    kind: str
    unit: str
    amount: int
    items: int
    day: int
    links: tuple[Link, ...]


class Range(NamedTuple):
    """Items first to last of a lot, and what they weigh."""

    lot: Lot
    first: int
    last: int

    @property
    def amount(self) -> int:
        """Their weight in g: what items first to last of so many equal ones weigh (RULES 21)."""
        amount, items = self.lot.amount, self.lot.items
        return amount * self.last // items - amount * (self.first - 1) // items


@dataclass
class Pallet:
    """What was stacked together, and the shipment it left with, if it has."""

    id: int
    number: str
    place: int
    ranges: list[Range]
    shipment: str = ""
    customer: str = ""


@dataclass
class Day:
    """What one day brings: lots born, pallets built, pallets that leave, and packs sent as they are."""

    day: int
    lots: list[Lot] = field(default_factory=list)
    pallets: list[Pallet] = field(default_factory=list)
    leaving: list[Pallet] = field(default_factory=list)
    sent: list[tuple[Lot, str, str]] = field(default_factory=list)


class Pile:
    """Bulk lots of one kind, used up from the oldest on in parts."""

    def __init__(self) -> None:
        self.lots: deque[list[int]] = deque()
        self.numbers: dict[int, str] = {}

    def add(self, lot: Lot) -> None:
        """Put a lot on the pile."""
        self.lots.append([lot.id, lot.amount, 0])
        self.numbers[lot.id] = lot.number

    def take(self, random: Random, much: int, most: int) -> list[tuple[int, int, int]]:
        """Up to `much` from up to `most` lots side by side: id, amount, and where on it that begins."""
        part = much // most
        taken = []
        for one in list(self.lots)[:most]:
            amount = min(one[1], part * 7 // 8 + random.randrange(part // 4 + 1))
            taken.append((one[0], amount, one[2]))
            one[1] -= amount
            one[2] += amount
        while self.lots and self.lots[0][1] < part // 8:  # what is too little to be used goes to the bin
            self.numbers.pop(self.lots.popleft()[0])
        return [one for one in taken if one[1] > 0]
