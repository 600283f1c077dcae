"""Which question is put to whom, do they answer alike, and how long do they take?"""

import sqlite3
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, text

from lotroot.bench.measuring import Times, timed
from lotroot.bench.peers import BoxLevel, OwnSchema, graph_peers
from lotroot.errors import Fault
from lotroot.holds.reach import held_by
from lotroot.tracing.asking import asked
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import sources_on
from lotroot.tracing.upward import up

OURS = "ours"
PIECES_GRAMS = 100
"""How far amounts may be apart: with a node for every box a gram may go astray a piece."""

Answer = Callable[[str], Any]


class Measured(NamedTuple):
    """One contender's times in one contest; `ratio` is its p50 over ours, `ratio95` its p95 over ours."""

    contest: str
    who: str
    times: Times
    ratio: float
    ratio95: float


def back(
    connection: Connection, pallets: Sequence[str], box: sqlite3.Connection | None, own: sqlite3.Connection
) -> list[Measured]:
    """Pallet to coils in kg, by everybody."""

    def ours(pallet: str) -> dict[str, int]:
        return {part.lot: part.amount for part in sources_on(connection, pallet)}

    peers = [OwnSchema(own), *graph_peers(own), *([BoxLevel(box)] if box else [])]
    others = {peer.name: peer.sources for peer in peers}
    return contest("pallet to coils in kg", (ours, others), pallets)


def forward(connection: Connection, coils: Sequence[str], box: sqlite3.Connection | None) -> list[Measured]:
    """Coil to customers, kg and stock."""

    def ours(coil: str) -> dict[str, int]:
        found = recall(connection, coil)
        here = sum(found.places.values())
        return {**found.customers, **({"here": here} if here else {})}

    others: dict[str, Answer] = {}
    if box is not None:
        others[BoxLevel.name] = BoxLevel(box).recall
    return contest("coil to customers, kg and stock", (ours, others), coils)


def whole(connection: Connection, pallets: Sequence[str]) -> list[Measured]:
    """The whole lineage of a pallet, as page and JSON have it: with kinds, bases, holds and certificates."""
    return contest(
        "pallet, whole lineage", (lambda pallet: up(connection, asked(connection, pallet)), {}), pallets
    )


_PLAIN_WALK = text("""
WITH RECURSIVE walk(id) AS (
  SELECT lot.id FROM lot WHERE lot.number = :number
  UNION
  SELECT e.parent FROM walk CROSS JOIN edge e WHERE e.child = walk.id AND e.state <= 1
)
SELECT EXISTS (
  SELECT 1 FROM walk CROSS JOIN lot a CROSS JOIN hold_root h
   WHERE a.id = walk.id AND h.lot = a.number AND h.live = 1
)
""")


def holds(connection: Connection, lots: Sequence[str]) -> list[Measured]:
    """Is it held? Against the walk to the very first lot."""

    def plain(number: str) -> dict[str, int]:
        return {"held": int(bool(connection.execute(_PLAIN_WALK, {"number": number}).scalar()))}

    def ours(number: str) -> dict[str, int]:
        return {"held": int(bool(held_by(connection, number)))}

    return contest("hold check behind a tank", (ours, {"the plain walk": plain}), lots, slack=0)


def contest(
    name: str,
    who: tuple[Answer, Mapping[str, Answer]],
    targets: Sequence[str],
    runs: int = 3,
    slack: int = PIECES_GRAMS,
) -> list[Measured]:
    """Let everybody answer and assert that they agree, then time them. Raises Fault where they do not.

    Amounts may differ by `slack` and a hundred-thousandth.
    """
    ours, others = who
    for target in targets:
        wanted = ours(target)
        for other, answer in others.items():
            agree(f"{name}, {target}, {other}", wanted, answer(target), slack)
    mine = timed(ours, targets, runs)
    found = [Measured(name, OURS, mine, 1.0, 1.0)]
    for other, answer in others.items():
        times = timed(answer, targets, runs)
        found.append(Measured(name, other, times, times.p50 / mine.p50, times.p95 / mine.p95))
    return found


def agree(where: str, ours: Any, other: Mapping[str, float], slack: int) -> None:
    """The same keys, and amounts equal to `slack` and a hundred-thousandth. Raises Fault."""
    if not isinstance(ours, dict):
        return
    for key in ours.keys() | other.keys():
        one, two = ours.get(key, 0), other.get(key, 0.0)
        if abs(one - two) > slack + 1e-5 * abs(two):
            raise Fault(
                f"The answers differ: {where}.",
                value=f"{key}: {one}",
                expected=f"{two:.1f}",
                next_step="A benchmark of unequal answers says nothing: look at both.",
            )
