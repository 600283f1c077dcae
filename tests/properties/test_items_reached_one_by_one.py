"""Is exactly what could hold some of the asked told as standing, item by item, and rightly cut?

The oracle looks at every item by itself: it could if a link that speaks of it names a parent's item that
could.
"""

from drawn_families import Drawn, families, family, laid, serials_of
from hypothesis import given
from hypothesis import strategies as st
from lotroot.identity import ItemNumber, number_from
from lotroot.tracing import OnHand, trace

Item = tuple[int, int]
"""A lot by its place and a serial; 0 stands for a lot that has no items."""


def could_hold(lots: list[Drawn], asked: set[Item]) -> set[Item]:
    """Every item that could hold some of the asked ones, themselves among them."""
    found = set(asked)
    for place, lot in enumerate(lots):  # parents come before their children
        for link in lot.links:
            taken = {(link.parent, serial) for serial in serials_of(lots[link.parent], link.taken)}
            if taken & found:
                found |= {(place, serial) for serial in serials_of(lot, link.made)}
    return found


def amount_of(lot: Drawn, serials: set[int]) -> int:
    """RULES 21: unweighed items of a range, by cumulative floor."""
    if not lot.items:
        return lot.amount
    return sum(lot.amount * one // lot.items - lot.amount * (one - 1) // lot.items for one in serials)


def standing(lots: list[Drawn], found: set[Item]) -> dict[int, int]:
    """What of each lot stands, of the items that could."""
    by_lot: dict[int, set[int]] = {}
    for place, serial in found:
        by_lot.setdefault(place, set()).add(serial)
    amounts = {place: amount_of(lots[place], serials) for place, serials in by_lot.items()}
    return {place: amount for place, amount in amounts.items() if amount}


def told(on_hand: tuple[OnHand, ...], numbers: list[str]) -> dict[int, int]:
    found: dict[int, int] = {}
    for one in on_hand:
        place = numbers.index(one.lot)
        found[place] = found.get(place, 0) + one.amount
        assert all(0 <= part <= one.amount for part in one.part.values())
    return {place: amount for place, amount in found.items() if amount}


@given(families(), st.data())
def test_of_a_lot_all_that_could_hold_some_is_told(lots: list[Drawn], data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(lots) - 1))
    numbers = laid(lots)
    lineage = trace(family().connection, numbers[place], "down")
    found = could_hold(lots, {(place, serial) for serial in serials_of(lots[place], None)})
    assert told(lineage.on_hand, numbers) == standing(lots, found)
    assert {one.lot.number for one in lineage.lots} == {numbers[lot] for lot, _ in found}


@given(families(), st.data())
def test_of_an_item_all_that_could_hold_some_is_told(lots: list[Drawn], data: st.DataObject) -> None:
    places = [place for place, lot in enumerate(lots) if lot.items]
    if not places:
        return
    place = data.draw(st.sampled_from(places))
    serial = data.draw(st.integers(1, lots[place].items))
    numbers = laid(lots)
    item = str(ItemNumber(number_from(numbers[place]), serial))
    lineage = trace(family().connection, item, "down")
    found = could_hold(lots, {(place, serial)})
    assert told(lineage.on_hand, numbers) == standing(lots, found)
    assert {one.lot.number for one in lineage.lots} == {numbers[lot] for lot, _ in found}
