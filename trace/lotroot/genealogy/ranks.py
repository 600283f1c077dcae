"""How do ranks keep falling from child to parent when a late parent appears (RULES 12)?"""

from sqlalchemy import Connection

from lotroot.errors import Refused
from lotroot.genealogy.events import NewRank
from lotroot.genealogy.lots import below, find_lot
from lotroot.identity.showing import shown


def raised(connection: Connection, child: str, parents: list[str]) -> tuple[NewRank, ...]:
    """The new ranks that put `child` and its descendants above `parents`; empty if they are already.

    Raises Refused where a parent is itself a descendant of the child.
    """
    lowest = max((find_lot(connection, parent).rank for parent in parents), default=0)
    walk = below(connection, find_lot(connection, child).id, doubted=True)
    numbers = {row.number: row for row in walk.lots.values()}
    circle = sorted(set(parents) & set(numbers))
    if circle:
        raise Refused(
            f"{shown(circle[0])} was made from {shown(child)} and cannot also be what it was made of.",
            value=circle[0],
            expected="A lot that is not itself made from this one.",
            next_step="Correct the other run first, or look which label was scanned.",
        )
    ranks = {row.id: row.rank for row in walk.lots.values()}
    parents_of: dict[int, list[int]] = {}
    for edge in walk.edges:
        parents_of.setdefault(edge.child, []).append(edge.parent)
    changed: dict[int, int] = {}
    for row in sorted(walk.lots.values(), key=lambda one: one.rank):
        inside = [ranks[parent] for parent in parents_of.get(row.id, [])]
        needed = max([lowest] if row.number == child else [], default=0)
        needed = max([needed, *inside])
        if row.rank <= needed:
            ranks[row.id] = changed[row.id] = needed + 1
    return tuple(NewRank(walk.lots[key].number, rank) for key, rank in sorted(changed.items()))
