"""Do the sources of a pallet and the recall of a lot say what the whole lineage says, on any plant?

Lots of items made in ranges, several streams, links that give nothing or are in doubt, lots of one rank,
lots taken back, parts of lots on the pallet, goods that left and came back.
"""

from itertools import count
from typing import NamedTuple

from drawn_families import STREAMS, Drawn, families, family, laid, link_of
from family_by_hand import YARD
from hypothesis import given
from hypothesis import strategies as st
from lotroot.dispatch.facts import GoodsReturned, LoadLine, ShipmentLeft, ShipmentLoaded, ShipmentOpened
from lotroot.genealogy.events import LotLink, LotVoided, NewRank, RanksRaised
from lotroot.identity import make
from lotroot.stock.events import CarrierOpened, Move, Moved
from lotroot.tracing.asking import asked
from lotroot.tracing.downward import down
from lotroot.tracing.recall import recall
from lotroot.tracing.sources import sources_on
from lotroot.tracing.upward import up

_running = count(1)


class Laid(NamedTuple):
    """A drawn plant as it stands: the numbers of its lots that were not taken back, and of a pallet."""

    numbers: list[str]
    pallet: str


def one_stream_and_whole(lots: list[Drawn]) -> list[Drawn]:
    """The same lots, each made and taken whole, of steel: what the short answers reckon by themselves."""
    plain = {"stream": STREAMS[0], "made": None, "taken": None}
    return [lot._replace(links=tuple(link._replace(**plain) for link in lot.links)) for lot in lots]


PLANTS = st.one_of(families().map(one_stream_and_whole), families(), families(STREAMS))


def plant_of(lots: list[Drawn], data: st.DataObject) -> Laid:
    numbers = laid(lots)
    ranks = raised(lots, numbers, data)
    family().record(RanksRaised(tuple(NewRank(number, rank) for number, rank in ranks.items())))
    pallet, shipment = (str(make(letter, 26, 10_000 + next(_running))) for letter in "PD")
    family().record(CarrierOpened(pallet, "pallet", YARD))
    family().record(ShipmentOpened(shipment, data.draw(st.sampled_from(("tamarind", "osprey")))))
    left = []
    for number, one in zip(numbers, lots, strict=True):
        spot = data.draw(st.sampled_from(("", pallet, shipment)))
        if spot:
            line = part_of(number, one, data)
            family().move(number, spot, line.amount, line.first, line.last)
            left += [line] if spot == shipment else []
    if left:
        family().record(ShipmentLoaded(shipment, tuple(left)))
        family().record(ShipmentLeft(shipment))
        came_back(shipment, data.draw(st.lists(st.sampled_from(left), max_size=2, unique=True)))
    # The last one: what something was made of cannot be taken back.
    voided = numbers[-1] if data.draw(st.integers(0, 4)) == 0 else ""
    if voided:
        family().record(LotVoided(voided))
    return Laid([number for number in numbers if number != voided], pallet)


def raised(lots: list[Drawn], numbers: list[str], data: st.DataObject) -> dict[str, int]:
    """The lowest ranks that will do, after a parent of some lots was put right: many lots share one."""
    depth: list[int] = []
    for place, one in enumerate(lots):
        parents = {link.parent for link in one.links}
        others = [other for other in range(place) if other not in parents]
        if parents and others and data.draw(st.booleans()):
            wrong = data.draw(st.sampled_from(others))
            family().link(numbers[place], LotLink(numbers[wrong], "any", STREAMS[0], 0, one.amount))
            family().link(numbers[place], *(link_of(numbers, each) for each in one.links), doubted=True)
            parents |= {wrong}
        depth.append(1 + max((depth[parent] for parent in parents), default=0))
    return dict(zip(numbers, depth, strict=True))


def part_of(number: str, one: Drawn, data: st.DataObject) -> LoadLine:
    """Some of a lot: serials of a lot of items, which may weigh nothing, else an amount."""
    if not one.items:
        return LoadLine(number, data.draw(st.integers(1, one.amount)))
    first = data.draw(st.integers(1, one.items))
    last = data.draw(st.integers(first, one.items))
    amount = one.amount * last // one.items - one.amount * (first - 1) // one.items
    return LoadLine(number, amount, first, last)


def came_back(shipment: str, lines: list[LoadLine]) -> None:
    if lines:
        family().record(GoodsReturned(shipment, tuple(lines), "broken"))
        moves = [Move(one.lot, shipment, YARD, one.amount, one.first, one.last) for one in lines]
        family().record(Moved(tuple(moves)))


def sources_as_told(pallet: str) -> None:
    """To the base unit: both give an odd one to the same lot."""
    connection = family().connection
    lineage = up(connection, asked(connection, pallet))
    wanted = [(one.lot.number, sum(one.part.values())) for one in lineage.lots if one.source or one.gap]
    assert [tuple(part) for part in sources_on(connection, pallet)] == sorted(wanted)


def recall_as_told(number: str, pieces: int) -> None:
    """To the base unit a piece: the lineage rounds each by itself, and what came back as well."""
    connection = family().connection
    found, lineage = recall(connection, number), down(connection, asked(connection, number))
    assert list(found.lots) == sorted(one.lot.number for one in lineage.lots if one.depth)
    here: dict[str, int] = {}
    for lying in lineage.on_hand:
        here[lying.place] = here.get(lying.place, 0) + sum(lying.part.values())
    sent = {
        one.customer: sum(one.part.values()) - sum(one.back.values())
        for one in lineage.shipments
        if one.amount > one.returned
    }
    for mine, theirs in ((found.customers, sent), (found.places, here)):
        assert mine.keys() == theirs.keys()
        assert all(abs(mine[key] - theirs[key]) <= pieces for key in theirs)


@given(PLANTS, st.data())
def test_both_say_what_the_lineage_says(lots: list[Drawn], data: st.DataObject) -> None:
    plant = plant_of(lots, data)
    sources_as_told(plant.pallet)
    recall_as_told(data.draw(st.sampled_from(plant.numbers)), 2 * len(lots))
