"""How many paths can lead through a few lots, and what does that cost?

Layers of lots, each mixed from eight of the layer before: the paths multiply by eight a layer, the lots
do not. Who multiplies along paths pays for every one of them.
"""

from random import Random

from sqlalchemy import Connection

from lotroot.bench.goods import Link, Lot
from lotroot.bench.scratch import fill, fill_lots
from lotroot.identity.numbers import make
from lotroot.stock.tables import standing

WIDE, INTO = 20, 8


def layered(connection: Connection, layers: int, seed: int = 1) -> str:
    """Write so many layers on top of 20 coils; returns the number of the pallet they end on."""
    random = Random(seed)
    lots: list[Lot] = []
    below = [_lot(running, ()) for running in range(1, WIDE + 1)]
    lots += below
    for _ in range(layers):
        above: list[Lot] = []
        for _ in range(WIDE):
            parents = sorted(random.sample(below, INTO), key=lambda one: one.id)
            links = tuple(Link(one.id, random.randint(1, 1000), "steel", "mixed") for one in parents)
            above.append(_lot(len(lots) + len(above) + 1, links))
        lots += above
        below = above
    pallet = str(make("P", 26, 1))
    fill_lots(connection, lots)
    fill(connection, standing, [(one.number, 0, pallet, 0, one.amount, 1) for one in below])
    return pallet


def _lot(running: int, links: tuple[Link, ...]) -> Lot:
    amount = sum(link.given for link in links) or 1_000_000
    return Lot(running, str(make("N", 26, running)), "nails", "g", amount, 0, 0, links)
