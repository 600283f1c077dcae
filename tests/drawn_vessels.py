"""Small plants of vessels drawn at random, and what a linear programme says of their lots.

A vessel is loaded, drawn from, loaded again; what comes out is loaded elsewhere. The plant keeps a book of
its own of every movement, so that the programme knows nothing of nets: for each movement it asks how much
of it could be of one lot, as long as nothing gives more of it than it got.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from random import Random
from types import SimpleNamespace
from typing import Any

from lotroot.balance.feeds import links
from lotroot.balance.happenings import Happening, Load, Made
from lotroot.tracing.between import MOST_NODES, Goods, Reckoned
from lotroot.tracing.fillings import Vessel, vessel
from lotroot.tracing.kin import Kin, Link
from lotroot.tracing.net import Beyond, Net, net_of
from scipy.optimize import linprog

STREAM = "steel"


@dataclass
class Book:
    """A plant as it was drawn: lots with their amounts, links, loads, and the book of movements."""

    amounts: dict[int, int] = field(default_factory=dict)
    left: dict[int, int] = field(default_factory=dict)
    links: dict[int, list[Link]] = field(default_factory=dict)
    vessels: dict[str, list[Link]] = field(default_factory=dict)
    loads: dict[str, dict[int, int]] = field(default_factory=dict)
    moved: list[tuple[Any, Any, int]] = field(default_factory=list)

    def lot(self, amount: int) -> int:
        """A new lot."""
        number = len(self.amounts) + 1
        self.amounts[number] = self.left[number] = amount
        return number

    @property
    def sources(self) -> list[int]:
        """The lots that nothing was made of."""
        return [lot for lot in self.amounts if lot not in self.links]

    def kin(self) -> Kin:
        """The plant as tracing has it."""
        rows = {
            lot: SimpleNamespace(id=lot, rank=lot, items=0, axis="amount", amount=amount)
            for lot, amount in self.amounts.items()
        }
        return Kin(rows, self.links)

    def net(self) -> Net:
        """The plant as a net."""
        found: dict[str, Vessel] = {
            run: vessel(some, self.loads[run]) for run, some in self.vessels.items() if some
        }
        return net_of(self.kin(), STREAM, found, Beyond(), {})

    def reckoned(self, lots: Iterable[int], most_nodes: int = MOST_NODES) -> Reckoned:
        """The net with all of some lots as goods."""
        net = self.net()
        goods = {lot: Goods([(node, self.amounts[lot]) for node in net.nodes_of(lot)]) for lot in lots}
        return Reckoned(net, goods, most_nodes)


def drawn_plant(random: Random, *, gains: bool) -> Book:
    """Three to six sources and two to five vessels of one to three fillings each."""
    book = Book()
    for _ in range(random.randint(3, 6)):
        book.lot(random.randint(1, 40))
    for place in range(random.randint(2, 5)):
        _run(book, random, f"U{place}", gains)
    return book


def _run(book: Book, random: Random, run: str, gains: bool) -> None:
    history: list[Happening] = []
    loads: dict[int, int] = {}
    inside, clock, made = 0, 0, {}
    book.loads[run] = loads
    for filling in range(random.randint(1, 3)):
        usable = [lot for lot, left in book.left.items() if left and lot not in made]
        poured = random.sample(usable, min(len(usable), random.randint(1, 3)))
        if not poured:
            break
        for lot in poured:
            amount = random.randint(1, book.left[lot])
            book.left[lot] -= amount
            loads[len(loads) + 1] = amount
            clock += 1
            history.append(Load(len(loads), str(lot), "nails", STREAM, "", amount, at=clock))
            book.moved.append((lot, (run, filling), amount))
            inside += amount
        for _ in range(random.randint(1, 2)):
            most = inside + random.randint(1, 9) if gains and not random.randrange(4) else inside
            amount = random.randint(0, most) if random.randrange(3) else most
            if not amount:
                continue
            if amount > inside:
                book.moved.append((("gained", run, clock), (run, filling), amount - inside))
            child = book.lot(amount)
            made[child] = filling
            clock += 1
            history.append(Made(clock, str(child), 0, 0, amount, clock, clock))
            book.moved.append(((run, filling), child, amount))
            inside = max(0, inside - amount)
        book.moved.append(((run, filling), (run, filling + 1), inside))
    book.vessels[run] = []
    for seq, each in enumerate(links("mixed", "lost", history)):
        link = Link(
            int(each.child),
            seq,
            int(each.parent),
            STREAM,
            each.given,
            each.basis,
            most=each.most,
            taken=each.given,
            run=run,
            load=each.load,
            filling=each.filling,
        )
        book.links.setdefault(link.child, []).append(link)
        book.vessels[run].append(link)


def by_programme(book: Book, source: int, target: int) -> tuple[int, int]:
    """What of a lot is of another, at least and at most, by a linear programme over the movements."""
    rows, limits = [], []
    for node in {end for tail, head, _ in book.moved for end in (tail, head)}:
        out = [tail == node for tail, _, _ in book.moved]
        into = [head == node for _, head, _ in book.moved]
        if not any(into) or not any(out):
            continue
        amounts = [amount for _, _, amount in book.moved]
        inward = sum(amount for amount, mine in zip(amounts, into, strict=True) if mine)
        outward = sum(amount for amount, mine in zip(amounts, out, strict=True) if mine)
        sign = [int(one) - int(two) for one, two in zip(out, into, strict=True)]
        if node != source:  # nothing gives more of the source than it got, nor more of all else
            rows.append(sign)
            limits.append(0)
            rows.append([-each for each in sign])
            limits.append(inward - outward)
    ranges = [_range(book, move, source) for move in book.moved]
    wanted = [int(head == target) for _, head, _ in book.moved]
    found = []
    for way in (1, -1):
        answer = linprog([way * each for each in wanted], rows or None, limits or None, bounds=ranges)
        assert answer.success, answer.message
        found.append(round(way * answer.fun))
    return found[0], found[1]


def _range(book: Book, move: tuple[Any, Any, int], source: int) -> tuple[int, int]:
    tail, _, amount = move
    if tail == source:
        return amount, amount
    nothing_of_it = tail in book.sources or (isinstance(tail, tuple) and tail[0] == "gained")
    return (0, 0) if nothing_of_it else (0, amount)


def ancestors(book: Book, lot: int) -> Iterator[int]:
    """The lots a lot was made of, each once."""
    seen, todo = set[int](), [lot]
    while todo:
        for link in book.links.get(todo.pop(), ()):
            if link.parent not in seen:
                seen.add(link.parent)
                todo.append(link.parent)
                yield link.parent
