"""Which way did a day's mass go, from what was in stock through each step to where the goods stand?

Pure arithmetic in base units of one unit, by kinds and not lot by lot: of a kind that was made and used, what
was made goes to the steps that used it, the rest of what they used comes from stock, and what is left over
stands where goods of that day stand now. At every node as much goes in as comes out.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

SOURCE, STEP, GOODS, END, BACK, SCRAP, LOSS, MISSING, EXCESS = (
    "source",
    "step",
    "goods",
    "end",
    "back",
    "scrap",
    "loss",
    "missing",
    "excess",
)
"""What a node is; nodes that hang on the same one stand below each other in this order."""
RECEIVED, STOCK, PALLET, SHIPPED, GONE = "received", "stock", "pallet", "shipped", "gone"
"""Where a source comes from, and where goods stand now."""
PLACES = (SHIPPED, PALLET, STOCK, GONE)


class Step(NamedTuple):
    """What the runs of a process add up to; `missing` and `excess` are never set off against each other."""

    process: str
    loss: int = 0
    missing: int = 0
    excess: int = 0


class Taken(NamedTuple):
    """What a process was loaded with of one kind, and what of it came off again."""

    process: str
    kind: str
    loaded: int
    returned: int = 0
    received: bool = False


class Made(NamedTuple):
    """What a process made of one kind."""

    process: str
    kind: str
    amount: int


class Thrown(NamedTuple):
    """Scrap of a process by its reason."""

    process: str
    reason: str
    amount: int


class Facts(NamedTuple):
    """All closed runs of some days in one unit; steps in the plant's order.

    Of each process: loaded + excess = made + returned + thrown + loss + missing. `stands` is how much of what
    was made of a kind stands where now.
    """

    unit: str
    steps: tuple[Step, ...]
    taken: tuple[Taken, ...]
    made: tuple[Made, ...]
    thrown: tuple[Thrown, ...] = ()
    stands: Mapping[tuple[str, str], int] = {}


class Node(NamedTuple):
    """A step, a kind of goods, or where mass comes from or goes.

    `code` is of the process, kind or reason; `at` the process that it hangs on, where it is of one alone.
    """

    key: str
    part: str
    code: str
    note: str = ""
    at: str = ""


class Band(NamedTuple):
    """An amount from one node to another."""

    start: str
    end: str
    amount: int


class Flow(NamedTuple):
    """The picture's content in one unit."""

    unit: str
    nodes: tuple[Node, ...]
    bands: tuple[Band, ...]

    def node(self, key: str) -> Node:
        """The node with this key, which is one of them."""
        return next(node for node in self.nodes if node.key == key)

    def amounts(self) -> dict[str, int]:
        """What goes through each node, by key."""
        sides = (Counter[str](), Counter[str]())
        for band in self.bands:
            sides[0][band.end] += band.amount
            sides[1][band.start] += band.amount
        return {node.key: max(side[node.key] for side in sides) for node in self.nodes}


class _Sketch:
    """Nodes and bands as they are found."""

    def __init__(self) -> None:
        self.nodes: dict[str, Node] = {}
        self.bands: Counter[tuple[str, str]] = Counter()

    def add(self, start: Node, end: Node, amount: int) -> None:
        if amount:
            for node in (start, end):
                self.nodes.setdefault(node.key, node)
            self.bands[start.key, end.key] += amount


def flow(facts: Facts) -> Flow:
    """The nodes and bands of what happened."""
    sketch = _Sketch()
    turns = ranks([step.process for step in facts.steps], facts.made, facts.taken)
    for kind in dict.fromkeys([one.kind for one in facts.taken] + [one.kind for one in facts.made]):
        _of_kind(sketch, facts, kind, turns)
    for one in facts.taken:
        back = Node(f"back.{one.process}.{one.kind}", BACK, one.kind, at=one.process)
        sketch.add(_step(one.process), back, one.returned)
    for thrown in facts.thrown:
        scrap = Node(f"scrap.{thrown.process}.{thrown.reason}", SCRAP, thrown.reason, at=thrown.process)
        sketch.add(_step(thrown.process), scrap, thrown.amount)
    for step in facts.steps:
        here = _step(step.process)
        sketch.add(here, Node(f"loss.{step.process}", LOSS, step.process, at=step.process), step.loss)
        sketch.add(
            here, Node(f"missing.{step.process}", MISSING, step.process, at=step.process), step.missing
        )
        sketch.add(Node(f"excess.{step.process}", EXCESS, step.process, at=step.process), here, step.excess)
    bands = tuple(Band(start, end, amount) for (start, end), amount in sketch.bands.items())
    return Flow(facts.unit, tuple(sketch.nodes.values()), bands)


def ranks(order: Sequence[str], made: Iterable[Made], taken: Iterable[Taken]) -> dict[str, int]:
    """The processes from left to right: each after those whose goods it uses, in `order` where that is free.

    Where processes use each other's goods in a circle, the first of them in `order` goes first.
    """
    makers: dict[str, set[str]] = {}
    for one in made:
        makers.setdefault(one.kind, set()).add(one.process)
    before: dict[str, set[str]] = {process: set() for process in order}
    for use in taken:
        before[use.process] |= makers.get(use.kind, set()) - {use.process}
    found: dict[str, int] = {}
    while len(found) < len(before):
        waiting = [process for process in before if process not in found]
        free = [process for process in waiting if before[process] <= found.keys()]
        found[(free or waiting)[0]] = len(found)
    return found


def _of_kind(sketch: _Sketch, facts: Facts, kind: str, turns: Mapping[str, int]) -> None:
    made, used = Counter[str](), Counter[str]()
    for one in facts.made:
        made[one.process] += one.amount if one.kind == kind else 0
    for use in facts.taken:
        used[use.process] += use.loaded if use.kind == kind else 0
    turn = _turn(made, used, turns)
    goods = Node(f"goods.{kind}", GOODS, kind)
    late = goods._replace(key=f"{goods.key}.later")
    flowing = {process: amount for process, amount in used.items() if turn >= 0 and turns[process] > turn}
    first = sum(amount for process, amount in made.items() if turns[process] <= turn)
    for process, amount in made.items():
        early = turns[process] <= turn or turn < 0
        sketch.add(_step(process), goods if early else late, amount)
    for process, amount in flowing.items():
        sketch.add(goods, _step(process), amount)
    short = sum(flowing.values()) - first
    later = sum(made.values()) - first
    left = [(goods, max(-short, 0)), (late, later)] if turn >= 0 else [(goods, later)]
    _to_where_it_stands(sketch, facts, kind, left)
    _from_stock(sketch, facts, kind, (goods, frozenset(flowing), max(short, 0)))


def _turn(made: Mapping[str, int], used: Mapping[str, int], turns: Mapping[str, int]) -> int:
    """The rank up to which makers stand left and after which users stand right, so that most flows on.

    -1 where nothing can.
    """

    def flows(turn: int) -> int:
        first = sum(amount for process, amount in made.items() if turns[process] <= turn)
        return min(first, sum(amount for process, amount in used.items() if turns[process] > turn))

    best = max(sorted({turns[process] for process, amount in made.items() if amount}), key=flows, default=-1)
    return best if best >= 0 and flows(best) else -1


def _from_stock(sketch: _Sketch, facts: Facts, kind: str, joint: tuple[Node, frozenset[str], int]) -> None:
    """What steps used beyond what flowed to them: received in these days, or in stock before."""
    goods, flowing, short = joint
    mine = [one for one in facts.taken if one.kind == kind]
    received = min(short, sum(one.loaded for one in mine if one.process in flowing and one.received))
    sketch.add(_source(kind, RECEIVED), goods, received)
    sketch.add(_source(kind, STOCK), goods, short - received)
    for one in mine:
        if one.process not in flowing:
            sketch.add(_source(kind, RECEIVED if one.received else STOCK), _step(one.process), one.loaded)


def _to_where_it_stands(sketch: _Sketch, facts: Facts, kind: str, left: Iterable[tuple[Node, int]]) -> None:
    """What is left over of a kind, by where its goods stand now: what has gone furthest first."""
    stands = {place: facts.stands.get((kind, place), 0) for place in PLACES}
    for goods, amount in left:
        rest = amount
        for place in PLACES:
            part = rest if place == GONE else min(rest, stands[place])
            stands[place] -= part
            rest -= part
            sketch.add(goods, Node(f"end.{kind}.{place}", END, kind, place), part)


def _source(kind: str, where: str) -> Node:
    return Node(f"source.{kind}.{where}", SOURCE, kind, where)


def _step(process: str) -> Node:
    return Node(f"step.{process}", STEP, process)
