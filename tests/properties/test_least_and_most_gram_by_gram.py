"""Whatever really happened: does what came of each lot lie between least and most?

Every gram is followed by itself: coils drawn out one after the other, nails mixed at will in vessels, boxes
filled from one pan after the other. The net only sees what a plant records of that.
"""

from dataclasses import dataclass, field
from itertools import count
from math import ceil
from random import Random
from types import SimpleNamespace

from hypothesis import given
from hypothesis import strategies as st
from lotroot.tracing.between import Goods, Reckoned
from lotroot.tracing.fillings import vessel
from lotroot.tracing.kin import Kin, Link
from lotroot.tracing.net import Beyond, net_of
from lotroot.tracing.spans import ALL, Span

Gram = frozenset[int]
"""The lots a gram has been in."""


@dataclass
class Floor:
    """A plant gram by gram: what each lot was made of, and what of it is left, outermost first."""

    random: Random
    made: dict[int, list[Gram]] = field(default_factory=dict)
    left: dict[int, list[Gram]] = field(default_factory=dict)
    items: dict[int, int] = field(default_factory=dict)
    links: dict[int, list[Link]] = field(default_factory=dict)
    vessels: dict[str, tuple[list[Link], dict[int, int]]] = field(default_factory=dict)
    numbers: count = field(default_factory=lambda: count(1))

    def lot(self, grams: list[Gram]) -> int:
        """A new lot of some grams, in order."""
        lot = next(self.numbers)
        self.made[lot] = [gram | {lot} for gram in grams]
        self.left[lot] = list(self.made[lot])
        return lot

    def usable(self, most: int) -> list[int]:
        """Some lots with something left that are no boxes."""
        some = [lot for lot, grams in self.left.items() if grams and lot not in self.items]
        return self.random.sample(some, min(len(some), self.random.randint(1, most)))

    def taken(self, lot: int) -> list[Gram]:
        """A stretch from the outer end of a lot."""
        amount = self.random.randint(1, len(self.left[lot]))
        grams, self.left[lot] = self.left[lot][:amount], self.left[lot][amount:]
        return grams

    def draw(self) -> None:
        """A lot drawn from others in turn, its order known."""
        parts = [(parent, self.taken(parent)) for parent in self.usable(3)]
        if not parts:
            return
        child = self.lot([gram for _, grams in parts for gram in grams])
        self.links[child] = [
            self._link(child, seq, parent, len(grams), ordered=True)
            for seq, (parent, grams) in enumerate(parts)
        ]

    def box(self) -> None:
        """Boxes of one size filled from lots in turn; what does not fill the last goes back to the floor."""
        parts = [(parent, self.taken(parent)) for parent in self.usable(3)]
        grams = [gram for _, some in parts for gram in some]
        each = self.random.randint(1, 9)
        boxes = len(grams) // each
        if not boxes:
            return
        child = self.lot(grams[: boxes * each])
        self.items[child] = boxes
        place, found = 0, []
        for parent, some in parts:
            stop = min(place + len(some), boxes * each)
            if stop > place:
                span = place // each + 1, (stop - 1) // each + 1
                found.append(self._link(child, len(found), parent, stop - place, child_span=span))
            place = stop
        self.links[child] = found

    def mix(self) -> None:
        """A vessel, filled and drawn from up to three times; nobody knows which gram comes out."""
        run, inside, links = f"U{len(self.vessels)}", list[Gram](), list[Link]()
        loads, parents = dict[int, int](), dict[int, int]()
        for filling in range(1, self.random.randint(1, 3) + 1):
            for parent in self.usable(3):
                if any(link.child == parent for link in links):
                    continue
                grams = self.taken(parent)
                parents[len(loads) + 1], loads[len(loads) + 1] = parent, len(grams)
                inside += grams
            if not inside:
                break
            self.random.shuffle(inside)
            out = self.random.randint(1, len(inside))
            child = self.lot(inside[:out])
            inside = inside[out:]
            given = [out // len(loads)] * len(loads)
            given[0] += out - sum(given)
            self.links[child] = [
                self._link(child, load, parents[load], part, run=run, load=load, filling=filling)
                for load, part in zip(loads, given, strict=True)
            ]
            links += self.links[child]
        self.vessels[run] = links, loads

    def _link(self, child: int, seq: int, parent: int, given: int, **more: object) -> Link:
        return Link(child, seq, parent, "steel", given, "weighed", taken=given, most=given, **more)

    def reckoned(self, lot: int, span: Span) -> Reckoned:
        """The net, with all or some items of a lot as goods."""
        rows = {
            lot: SimpleNamespace(
                id=lot,
                rank=lot,
                items=self.items.get(lot, 0),
                axis="serial" if lot in self.items else "amount",
                amount=len(grams),
            )
            for lot, grams in self.made.items()
        }
        vessels = {run: vessel(*told) for run, told in self.vessels.items() if told[0]}
        net = net_of(Kin(rows, self.links), "steel", vessels, Beyond(), {lot: [span]})
        arcs = [(node, ceil(share * net.sizes[node])) for node, share in net.parts(lot, span)]
        return Reckoned(net, {"asked": Goods(arcs)})

    def of(self, lot: int, span: Span) -> list[Gram]:
        """The grams of a lot, or of some of its items."""
        if span == ALL:
            return self.made[lot]
        each = len(self.made[lot]) // self.items[lot]
        return self.made[lot][(span[0] - 1) * each : span[1] * each]


def a_floor(seed: int) -> Floor:
    floor = Floor(Random(seed))
    for _ in range(floor.random.randint(2, 4)):
        floor.lot([frozenset()] * floor.random.randint(5, 60))
    for _ in range(floor.random.randint(2, 6)):
        floor.random.choice((floor.draw, floor.box, floor.mix, floor.mix))()
    return floor


@given(st.integers(0, 2**32))
def test_what_really_came_of_each_lot_lies_within_the_bounds(seed: int) -> None:
    floor = a_floor(seed)
    for lot in floor.links:
        items = floor.items.get(lot, 0)
        spans = [ALL]
        if items:
            first = floor.random.randint(1, items)
            spans.append((first, floor.random.randint(first, items)))
        for span in spans:
            grams = floor.of(lot, span)
            reckoned = floor.reckoned(lot, span)
            ancestors = set().union(*grams) - {lot}
            nodes = {each: reckoned.net.nodes_of(each) for each in floor.made if each != lot}
            found = reckoned.of_sources(nodes, "asked")
            for each in nodes:
                really = sum(each in gram for gram in grams)
                bound = found[each]
                assert bound.least - 1 <= really <= bound.most + 1, (lot, span, each, really, bound)
                assert really == 0 or each in ancestors
