"""How would others answer the same: by hand in SQL, on a node for every box, or on a graph in memory?

Each peer has `sources(pallet)`, the kg by coil, and `recall(coil)`, the kg by customer and what is still
here. networkx and rustworkx are an extra (`bench`); without them their rows are left out.
"""

import sqlite3
from collections.abc import Iterable, Mapping
from importlib import import_module
from types import ModuleType
from typing import Any

Parts = dict[str, float]

# On the box-level file (`scratch.BOX_SCHEMA`); a part is a link's share of its child.
_BOX_SOURCES = """
WITH RECURSIVE p(id, m) AS (
  SELECT id, 1.0 * g FROM pallet WHERE number = ?
  UNION ALL
  SELECT e.parent, p.m * e.part FROM p JOIN edge e ON e.child = p.id
)
SELECT coil.number, SUM(p.m) FROM p JOIN coil ON coil.id = p.id GROUP BY coil.id
"""
_BOX_RECALL = """
WITH RECURSIVE d(id, m) AS (
  SELECT id, 1.0 FROM coil WHERE number = ?
  UNION ALL
  SELECT e.child, d.m * e.part FROM d JOIN edge e ON e.parent = d.id
)
SELECT COALESCE(t.customer, 'here'), SUM(d.m * t.g) FROM d JOIN (
  SELECT id, g, customer FROM pallet UNION ALL SELECT id, g, NULL FROM stock
) t ON t.id = d.id GROUP BY 1
"""
# On our own schema, written by hand.
_OWN_SOURCES = """
WITH RECURSIVE total(child, given) AS NOT MATERIALIZED (
  SELECT child, SUM(given) FROM edge GROUP BY child
), p(id, m) AS (
  SELECT lot.id, 1.0 * s.amount FROM standing s JOIN lot ON lot.number = s.lot WHERE s.spot = ?
  UNION ALL
  SELECT e.parent, p.m * e.given / (SELECT SUM(o.given) FROM edge o WHERE o.child = p.id)
    FROM p CROSS JOIN edge e WHERE e.child = p.id
)
SELECT lot.number, SUM(p.m) FROM p CROSS JOIN lot CROSS JOIN lot_words w
 WHERE lot.id = p.id AND w.id = lot.words AND w.source <> '' GROUP BY lot.id
"""


class BoxLevel:
    """sqlite3, a node for every box, path products: the plain way."""

    name = "raw sqlite3, a node a box, path products"

    def __init__(self, file: sqlite3.Connection) -> None:
        self._file = file

    def sources(self, pallet: str) -> Parts:
        """kg by coil."""
        return dict(self._file.execute(_BOX_SOURCES, (pallet,)).fetchall())

    def recall(self, coil: str) -> Parts:
        """kg by customer, `here` for what is still here."""
        return dict(self._file.execute(_BOX_RECALL, (coil,)).fetchall())


class OwnSchema:
    """sqlite3 on our own tables, path products written by hand."""

    name = "raw sqlite3, our own schema, path products"

    def __init__(self, file: sqlite3.Connection) -> None:
        self._file = file

    def sources(self, pallet: str) -> Parts:
        """kg by coil."""
        return dict(self._file.execute(_OWN_SOURCES, (pallet,)).fetchall())


class Memory:
    """What a graph in memory needs: lots, links with their share of the child, and what is on each pallet."""

    def __init__(self, file: sqlite3.Connection) -> None:
        query = "SELECT l.id, l.number FROM lot l JOIN lot_words w ON w.id = l.words WHERE w.source <> ''"
        self.numbers: dict[int, str] = dict(file.execute(query))
        totals: dict[int, int] = dict(file.execute("SELECT child, SUM(given) FROM edge GROUP BY child"))
        self.links = [
            (child, parent, given / totals[child])
            for child, parent, given in file.execute("SELECT child, parent, given FROM edge")
        ]
        self.pallets: dict[str, list[tuple[int, int]]] = {}
        query = "SELECT s.spot, lot.id, s.amount FROM standing s JOIN lot ON lot.number = s.lot"
        for spot, lot, amount in file.execute(query):
            self.pallets.setdefault(spot, []).append((lot, amount))


class Networkx:
    """networkx in memory, lot level; its load is not counted."""

    name = "networkx in memory, lot level"

    def __init__(self, library: ModuleType, memory: Memory) -> None:
        self._library, self._memory = library, memory
        self._graph = library.DiGraph()
        self._graph.add_weighted_edges_from(memory.links)

    def sources(self, pallet: str) -> Parts:
        """kg by coil: one pass over the ancestors, children first."""
        graph, mass = self._graph, dict.fromkeys((lot for lot, _ in self._memory.pallets[pallet]), 0.0)
        for lot, amount in self._memory.pallets[pallet]:
            mass[lot] += amount
        near = set(mass).union(*(self._library.descendants(graph, lot) for lot in mass))
        for lot in self._library.topological_sort(graph.subgraph(near)):
            for parent, link in graph[lot].items():
                mass[parent] = mass.get(parent, 0.0) + mass[lot] * link["weight"]
        return _coils(mass, self._memory.numbers)


class Rustworkx:
    """rustworkx in memory, lot level; its load is not counted."""

    name = "rustworkx in memory, lot level"

    def __init__(self, library: ModuleType, memory: Memory) -> None:
        self._library, self._memory = library, memory
        ids = sorted({lot for child, parent, _ in memory.links for lot in (child, parent)})
        place = {lot: at for at, lot in enumerate(ids)}
        self._graph = library.PyDiGraph()
        self._graph.add_nodes_from(ids)
        self._graph.add_edges_from(
            [(place[child], place[parent], part) for child, parent, part in memory.links]
        )
        self._pallets = {
            pallet: [(place[lot], amount) for lot, amount in on_it if lot in place]
            for pallet, on_it in memory.pallets.items()
        }
        self._numbers = {place[lot]: number for lot, number in memory.numbers.items() if lot in place}

    def sources(self, pallet: str) -> Parts:
        """kg by coil: children have higher ids than their parents, so ids in falling order will do."""
        graph = self._graph
        mass: dict[int, float] = {}
        for lot, amount in self._pallets[pallet]:
            mass[lot] = mass.get(lot, 0.0) + amount
        near = set(mass)
        for lot in mass:
            near |= self._library.descendants(graph, lot)
        for lot in sorted(near, reverse=True):
            for _, parent, part in graph.out_edges(lot):
                mass[parent] = mass.get(parent, 0.0) + mass[lot] * part
        return _coils(mass, self._numbers)


def graph_peers(file: sqlite3.Connection) -> Iterable[Networkx | Rustworkx]:
    """The graphs in memory whose library is installed."""
    memory: Memory | None = None
    for name, peer in (("networkx", Networkx), ("rustworkx", Rustworkx)):
        try:
            library = import_module(name)
        except ImportError:
            continue
        memory = memory or Memory(file)
        yield peer(library, memory)


def _coils(mass: Mapping[int, float], numbers: Mapping[int, str]) -> dict[str, Any]:
    return {numbers[lot]: amount for lot, amount in mass.items() if lot in numbers}
