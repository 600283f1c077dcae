"""Which nodes of a lineage's picture stand in one, so that no more than a reader can take in are left?

Above `MOST` those of one kind that were made of the same fold: "37 lots of C26-000012-34". Where that is not
enough, those of one kind in one column do. What was asked for, held lots, shipments and folds that are to be
shown whole stay by themselves. A fold counts what is in it: members and amounts add up.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.tracing.layers import Place, places

MOST = 150
"""Nodes a picture shows at most before it folds (ours)."""


@dataclass(frozen=True)
class Node:
    """One lot, shipment or fold; `letter` is the family, `words` what it is, `amounts` by unit.

    `members` are the numbers of a fold, else just its own. `asked`: the goods the picture is of.
    """

    key: str
    letter: str
    title: str
    words: str
    amounts: Mapping[str, int] = field(default_factory=dict)
    members: tuple[str, ...] = ()
    held: bool = False
    gap: bool = False
    asked: bool = False

    @property
    def folded(self) -> bool:
        """Whether several stand in one."""
        return len(self.members) > 1

    @property
    def alone(self) -> bool:
        """Whether it never folds."""
        return self.asked or self.held or self.letter == Family.SHIPMENT


class Strand(NamedTuple):
    """From a node to one made of it or shipped with it: `given` in the unit of its stream, 0 unknown."""

    start: str
    end: str
    stream: str
    given: int


Likeness = Mapping[str, object]
"""What nodes have to share to fold, by their keys; nodes without it stay by themselves."""


def folded(
    nodes: Sequence[Node], strands: Sequence[Strand], unfold: frozenset[str], most: int = MOST
) -> tuple[list[Node], list[Strand]]:
    """The same picture with like nodes in one, as long as there are more than `most`."""
    some, between = list(nodes), list(strands)
    whole: set[str] = set()
    for likeness in (_by_parents, _by_column):
        if len(some) <= most:
            break
        alike = {key: like for key, like in likeness(some, between, unfold).items() if key not in whole}
        groups = _groups(some, alike)
        whole |= {node.key for group in groups if key_of(group) in unfold for node in group}
        some, between = _merged(groups, between, unfold)
    return some, between


def key_of(group: Sequence[Node]) -> str:
    """The key of a fold of some nodes: it names the first of their members."""
    return f"fold-{group[0].members[0]}"


def _by_parents(nodes: Sequence[Node], strands: Sequence[Strand], unfold: frozenset[str]) -> Likeness:
    """Nodes of one kind whose parents, folded before them, are the same."""
    parents = _parents(strands)
    column = {key: place.column for key, place in _places(nodes, strands).items()}
    found: dict[str, object] = {}
    first: dict[object, Node] = {}
    home: dict[str, object] = {}
    for node in sorted(nodes, key=lambda one: (column[one.key], one.key)):
        if node.alone:
            continue
        above = frozenset(home.get(one, one) for one in parents.get(node.key, ()))
        like = (node.letter, node.words, column[node.key], above)
        found[node.key] = like
        home[node.key] = node.key if key_of([first.setdefault(like, node)]) in unfold else like
    return found


def _by_column(nodes: Sequence[Node], strands: Sequence[Strand], _unfold: frozenset[str]) -> Likeness:
    place = _places(nodes, strands)
    return {node.key: (node.letter, node.words, place[node.key].column) for node in nodes if not node.alone}


def _places(nodes: Iterable[Node], strands: Iterable[Strand]) -> dict[str, Place]:
    return places([node.key for node in nodes], [(one.start, one.end) for one in strands])


def _parents(strands: Iterable[Strand]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for strand in strands:
        found.setdefault(strand.end, set()).add(strand.start)
    return found


def _groups(nodes: Iterable[Node], alike: Likeness) -> list[list[Node]]:
    found: dict[object, list[Node]] = {}
    for node in sorted(nodes, key=lambda one: one.key):
        found.setdefault(alike.get(node.key, node.key), []).append(node)
    return list(found.values())


def _merged(
    groups: Iterable[list[Node]], strands: Sequence[Strand], unfold: frozenset[str]
) -> tuple[list[Node], list[Strand]]:
    parents = _parents(strands)
    nodes: list[Node] = []
    home: dict[str, str] = {}
    for group in groups:
        if len(group) == 1 or key_of(group) in unfold:
            nodes += group
        else:
            nodes.append(_one(group, parents))
            home |= {node.key: key_of(group) for node in group}
    return nodes, _joined(strands, home)


def _one(group: Sequence[Node], parents: Mapping[str, set[str]]) -> Node:
    amounts: dict[str, int] = {}
    for node in group:
        for unit, amount in node.amounts.items():
            amounts[unit] = amounts.get(unit, 0) + amount
    members = tuple(member for node in group for member in node.members)
    above = {one for node in group for one in parents.get(node.key, ())}
    parent = above.pop() if len(above) == 1 else ""
    of = f" of {shown(parent)}" if parent and not parent.startswith("fold-") else ""
    return Node(
        key=key_of(group),
        letter=group[0].letter,
        title=f"{len(members)} lots{of}",
        words=group[0].words,
        amounts=amounts,
        members=members,
        gap=any(node.gap for node in group),
    )


def _joined(strands: Iterable[Strand], home: Mapping[str, str]) -> list[Strand]:
    sums: dict[tuple[str, str, str], int] = {}
    for strand in strands:
        key = (home.get(strand.start, strand.start), home.get(strand.end, strand.end), strand.stream)
        if key[0] != key[1]:
            sums[key] = sums.get(key, 0) + strand.given
    return [Strand(*key, given) for key, given in sorted(sums.items())]
