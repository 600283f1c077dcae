"""Small runs as they would stand on paper, for the tests of `lotroot.balance`."""

from collections.abc import Iterable
from typing import Any

from lotroot.balance.happenings import Link, Load, Made


def load(seq: int, lot: str, amount: int, **more: Any) -> Load:
    """A lot put on, of steel unless it says otherwise, taken from its outer end."""
    return Load(
        **{"role": "rod", "stream": "steel", "payoff": "1", "end": "outer", **more},
        seq=seq,
        lot=lot,
        amount=amount,
    )


def made(seq: int, lot: str, amount: int, began: int, ended: int, **more: Any) -> Made:
    """An output that is no item unless it says so."""
    return Made(**{"first": 0, "last": 0, **more}, seq=seq, lot=lot, amount=amount, began=began, ended=ended)


def row(link: Link) -> tuple[str, str, int, tuple[int, int], tuple[int, int]]:
    """child, parent, given, stretch of the child, stretch of the parent."""
    child = (link.child_from, link.child_to)
    return link.child, link.parent, link.given, child, (link.parent_from, link.parent_to)


def rows(links: Iterable[Link]) -> list[tuple[str, str, int, tuple[int, int], tuple[int, int]]]:
    """Those of all links."""
    return [row(link) for link in links]


def bounds(links: Iterable[Link]) -> list[tuple[str, str, int, int, int, str]]:
    """child, parent, given, least, most, basis."""
    return [(each.child, each.parent, each.given, each.least, each.most, each.basis) for each in links]
