"""Which lots, links, pallets and shipments would a plant of this trade make, day by day?

An invented plant: 40 coils of rod and 26 coated coils a day. Rod is drawn to strippers; nail lots take
parts of several strippers, one in 25 of them an older nail lot as well; they are tumbled together and
boxed; fence rolls are woven of strippers; coated coils are slit, strips pressed to packs of tiles; lumber
is treated from two tanks that are topped up daily and never emptied, so that their chain of solution
lots grows for ever. Boxes, packs and rolls go onto pallets, and ten days later to a customer.
Figures are ours (no source); the same seed makes the same plant.
"""

from collections import deque
from collections.abc import Iterator
from random import Random

from lotroot.bench.goods import Day, Link, Lot, Pallet, Pile, Range
from lotroot.identity.numbers import make

RODS, COATED, NAIL_LOTS, LOADS, BATCHES, FENCES, CHARGES = 40, 26, 100, 20, 150, 40, 3
ROD_MASS, COATED_MASS, PACK_VOLUME = 2_000_000, 5_000_000, 3_000_000
BOX_MASS, TILES_MASS, ROLL_MASS = 10_000, 26_000, 36_000
CUSTOMERS, PLACES, DAYS_IN_YARD, PALLETS_A_SHIPMENT = 200, 5, 10, 8
DAYS_A_YEAR = 366
_SOLUTION_HEEL, _SOLUTION_ADDED = 18_000_000, 2_000_000


class Plant:
    """One plant and what lies in it; `days()` goes on from day to day."""

    def __init__(self, seed: int = 1) -> None:
        self._random = Random(seed)
        self._next = 0
        self._running: dict[tuple[str, int], int] = {}
        self._strippers, self._strips = Pile(), Pile()
        self._old_nails: deque[int] = deque(maxlen=30 * NAIL_LOTS)
        self._tanks: list[int | None] = [None, None]
        self._yard: deque[tuple[int, Pallet]] = deque()
        self._day = Day(0)

    def days(self, count: int) -> Iterator[Day]:
        """So many days, one after the other."""
        for day in range(count):
            self._day = Day(day)
            self._wire()
            self._roofing()
            self._lumber()
            self._ship()
            yield self._day

    def in_yard(self) -> list[Pallet]:
        """The pallets that have not left."""
        return [pallet for _, pallet in self._yard]

    def left_over(self) -> list[tuple[int, str, int]]:
        """What is left of bulk lots: id, number and amount."""
        piles = (self._strippers, self._strips)
        return [(one[0], pile.numbers[one[0]], one[1]) for pile in piles for one in pile.lots if one[1] > 0]

    def number(self, letter: str) -> str:
        """The next number of a family in the year of this day."""
        year = 26 + self._day.day // DAYS_A_YEAR
        running = self._running.get((letter, year), 0) + 1
        self._running[letter, year] = running
        return str(make(letter, year, running))

    def _id(self) -> int:
        self._next += 1
        return self._next

    def _bear(self, what: tuple[str, str, str], amount: int, links: list[Link], items: int = 0) -> Lot:
        letter, kind, unit = what
        lot = Lot(self._id(), self.number(letter), kind, unit, amount, items, self._day.day, tuple(links))
        self._day.lots.append(lot)
        return lot

    def _wire(self) -> None:
        before: Lot | None = None
        for _ in range(RODS):
            coil = self._bear(("C", "coil", "g"), ROD_MASS, [])
            for place in range(4):
                start, weld = place * 490_000, []
                if place == 0 and before is not None and self._random.random() < 0.5:
                    weld = [Link(before.id, 30_000, "steel", "in_turn", 1_960_000)]
                own = Link(coil.id, 490_000 - (30_000 if weld else 0), "steel", "in_turn", start)
                self._strippers.add(self._bear(("R", "stripper", "g"), 490_000, [*weld, own]))
            before = coil
        nails = [self._nails() for _ in range(NAIL_LOTS)]
        for load in range(LOADS):
            some = nails[load * 5 : load * 5 + 5]
            self._tumbled_and_boxed(some[: self._random.randint(3, 5)])
        for _ in range(FENCES):
            taken = self._strippers.take(self._random, 12 * ROLL_MASS, 3)
            links = [Link(one, amount, "steel", "together", start) for one, amount, start in taken]
            self._stack(self._bear(("G", "fence", "g"), _given(links), links, 12), 6)

    def _nails(self) -> Lot:
        taken = self._strippers.take(self._random, 600_000, self._random.randint(4, 12))
        links = [Link(one, amount, "steel", "in_turn", start) for one, amount, start in taken]
        if self._old_nails and self._random.random() < 0.04:
            links.append(Link(self._random.choice(self._old_nails), 40_000, "steel", "mixed"))
        lot = self._bear(("N", "nails", "g"), _given(links), links)
        self._old_nails.append(lot.id)
        return lot

    def _tumbled_and_boxed(self, nails: list[Lot]) -> None:
        links = [Link(one.id, one.amount, "steel", "mixed") for one in nails]
        bright = self._bear(("N", "bright nails", "g"), sum(one.amount for one in nails), links)
        third = bright.amount // 3 // BOX_MASS * BOX_MASS
        for _ in range(3):
            link = Link(bright.id, third, "steel", "mixed")
            self._stack(self._bear(("N", "boxes", "g"), third, [link], third // BOX_MASS), 40)

    def _roofing(self) -> None:
        for _ in range(COATED):
            coil = self._bear(("C", "coated coil", "g"), COATED_MASS, [])
            for _lane in range(6):
                link = Link(coil.id, COATED_MASS // 6, "steel", "side_by_side")
                self._strips.add(self._bear(("S", "strip", "g"), COATED_MASS // 6, [link]))
        for _ in range(BATCHES):
            taken = self._strips.take(self._random, 30 * TILES_MASS, 3)
            links = [Link(one, amount, "steel", "in_turn", start) for one, amount, start in taken]
            self._stack(self._bear(("F", "tiles", "g"), _given(links), links, 30), 48)

    def _lumber(self) -> None:
        for tank in range(2):
            heel = self._tanks[tank]
            drum = self._bear(("K", "concentrate", "ml"), _SOLUTION_ADDED, [])
            links = [Link(drum.id, _SOLUTION_ADDED, "solution", "mixed")]
            if heel is not None:
                links.insert(0, Link(heel, _SOLUTION_HEEL, "solution", "mixed"))
            full = self._bear(("K", "solution", "ml"), _SOLUTION_HEEL + _SOLUTION_ADDED, links)
            self._tanks[tank] = full.id
        for charge in range(CHARGES):
            solution = self._tanks[charge % 2] or 0
            for _ in range(4):
                pack = self._bear(("L", "lumber", "cm3"), PACK_VOLUME, [])
                wood = Link(pack.id, PACK_VOLUME, "wood", "mixed")
                taken_up = Link(solution, PACK_VOLUME // 3, "solution", "mixed")
                treated = self._bear(("L", "treated pack", "cm3"), PACK_VOLUME, [wood, taken_up])
                self._day.sent.append((treated, self.number("D"), self._customer()))

    def _stack(self, lot: Lot, a_pallet: int) -> None:
        """Items onto pallets; the last, part-filled pallet of a kind is filled up with the next lot's."""
        first = 1
        while first <= lot.items:
            pallet = self._day.pallets[-1] if self._day.pallets else None
            on_it = sum(one.last - one.first + 1 for one in pallet.ranges) if pallet else 0
            if pallet is None or pallet.ranges[-1].lot.kind != lot.kind or on_it >= a_pallet:
                pallet = Pallet(self._id(), self.number("P"), self._random.randrange(PLACES), [])
                self._day.pallets.append(pallet)
                on_it = 0
            last = min(first + a_pallet - on_it, lot.items + 1) - 1
            pallet.ranges.append(Range(lot, first, last))
            first = last + 1

    def _ship(self) -> None:
        self._yard.extend((self._day.day, pallet) for pallet in self._day.pallets)
        while self._yard and self._yard[0][0] <= self._day.day - DAYS_IN_YARD:
            shipment, customer = self.number("D"), self._customer()
            for _ in range(min(PALLETS_A_SHIPMENT, len(self._yard))):
                pallet = self._yard.popleft()[1]
                pallet.shipment, pallet.customer = shipment, customer
                self._day.leaving.append(pallet)

    def _customer(self) -> str:
        return f"customer {self._random.randrange(CUSTOMERS):03d}"


def _given(links: list[Link]) -> int:
    return sum(link.given for link in links)
