"""How are events about lots, carriers and shipments told that need more than their own fields?

Each function gives one sentence. `about` is the number that is asked about: of what moves or is listed
only that is told, all of it where `about` is empty or not in it.
"""

from typing import Any

from lotroot.stock.events import ACCOUNTS, BORN, VOID
from lotroot.tracing.listing import MOST, Tell, some, those
from lotroot.tracing.words import Words, items

BECAME = {
    "taken": "was used",
    "scrap": "became scrap",
    "loss": "was lost",
    "sample": "was taken as a sample",
    "difference": "is a difference",
    "void": "was taken back",
}
"""What became of an amount that went to an account (ours, but for scrap and sample)."""


def lot_born(fact: Any, words: Words, _: str) -> str:
    """A lot began."""
    what = f"{words.called(fact.number)}: {words.product(fact.product) or words.kind(fact.kind)}"
    how = {"received": "came in", "before": "was here before the system"}.get(fact.source, "was made")
    run = f" in run {words.called(fact.run)}" if fact.run else ""
    known = f"{fact.how}{words.typed(fact.typed_by) if fact.how == 'weighed' else ''}"
    return f"{what}, {words.amount(fact.amount, fact.unit)}, {known}, {how}{run}."


def links_written(fact: Any, words: Words, about: str) -> str:
    """What a lot was made of, as known then."""
    links = those(fact.links, about if about != fact.child else "", lambda one: (one.parent,))
    if not links:
        return f"{words.called(fact.child)} was made of nothing that is recorded."
    taken: dict[str, int] = {}
    for link in links:
        taken[link.parent] = taken.get(link.parent, 0) + link.taken

    def said_of(parent: str) -> str:
        amount = f"{words.amount_of(parent, taken[parent])}" if taken[parent] else "perhaps some"
        return f"{amount} of {words.called(parent)}"

    said = some(taken, said_of)
    doubted = " (corrected; what was named before stays doubted)" if fact.doubted else ""
    return f"{words.called(fact.child)} was made of {said}{doubted}."


def ranks_raised(fact: Any, words: Words, about: str) -> str:
    """Lots were put above a new parent in the order of making."""
    ranks = those(fact.ranks, about, lambda one: (one.number,))
    said = some(ranks, lambda one: words.called(one.number))
    return f"In the order of making, a late parent was put below {said}."


def _details(details: Any, words: Words) -> str:
    told = [
        words.party(details.supplier),
        f"their number {details.supplier_number}" if details.supplier_number else "",
        f"heat {', '.join(details.heats)}" if details.heats else "",
        f"delivery {details.delivery}" if details.delivery else "",
        "details to follow" if details.due else "",
    ]
    return ", ".join(one for one in told if one) or "nothing is known"


def lot_received(fact: Any, words: Words, _: str) -> str:
    """A lot came from outside."""
    return f"Origin of {words.called(fact.number)}: {_details(fact.details, words)}."


def receipt_detailed(fact: Any, words: Words, _: str) -> str:
    """What is known of a receipt."""
    return f"Origin of {words.called(fact.number)}, told anew: {_details(fact.details, words)}."


def delivery_received(fact: Any, words: Words, _: str) -> str:
    """A whole delivery came."""
    return f"{len(fact.lots)} lots came with delivery {fact.delivery} of {words.party(fact.supplier)}."


def moved(fact: Any, words: Words, about: str) -> str:
    """What went where."""
    moves = those(fact.moves, about, lambda one: (one.lot, one.source, one.target))
    return f"{'; '.join(_move(one, words) for one in moves[:MOST])}{_more(moves)}."


def _more(things: list[Any]) -> str:
    return f"; and {len(things) - MOST} more" if len(things) > MOST else ""


def _move(move: Any, words: Words) -> str:
    which = items(move.first, move.last)
    what = f"{words.amount_of(move.lot, move.amount)} of {words.called(move.lot)}"
    what += f", {which}," if which else ""
    reason = f" ({words.reason(move.reason)})" if move.reason else ""
    if move.target in ACCOUNTS:
        return f"{what} {'was taken back' if move.target == BORN else BECAME[move.target]}{reason}"
    if move.source in (BORN, VOID):
        return f"{what} was put at {words.called(move.target)}{reason}"
    if move.source in ACCOUNTS:
        return f"{what} stands at {words.called(move.target)} after all{reason}"
    return f"{what} went from {words.called(move.source)} to {words.called(move.target)}{reason}"


def items_weighed(fact: Any, words: Words, _: str) -> str:
    """Items were weighed one by one."""
    said = some(fact.weights, lambda one: f"item {one.serial} {words.amount_of(fact.lot, one.amount)}")
    return f"Items of {words.called(fact.lot)} were weighed: {said}."


def carrier_opened(fact: Any, words: Words, _: str) -> str:
    """A pallet was begun, or a pan got its number."""
    at = f" at {words.called(fact.spot)}" if fact.spot else ""
    return f"{words.called(fact.number)} was opened{at}."


def carrier_changed(fact: Any, words: Words, _: str) -> str:
    """A carrier's state."""
    said = {
        "open": "is open again",
        "closed": "was closed" if fact.was == "open" else "is back",
        "emptied": "was emptied",
        "shipped": "has left",
        "void": "was taken back: it never was",
    }
    became = f"became {words.called(fact.became)}" if fact.became else "was re-stacked"
    return f"{words.called(fact.number)} {said.get(fact.state, became)}."


def _lines(fact: Any, words: Words, about: str) -> str:
    lines = those(fact.lines, about, lambda one: (one.lot, one.carrier))

    def said(one: Any) -> str:
        which = items(one.first, one.last)
        on = f" on {words.called(one.carrier)}" if one.carrier else ""
        what = f"{words.amount_of(one.lot, one.amount)} of {words.called(one.lot)}"
        return f"{what}{', ' + which if which else ''}{on}"

    return some(lines, said)


def shipment_loaded(fact: Any, words: Words, about: str) -> str:
    """Goods went onto a shipment."""
    return f"Loaded on shipment {words.called(fact.shipment)}: {_lines(fact, words, about)}."


def shipment_unloaded(fact: Any, words: Words, _: str) -> str:
    """Goods came off a shipment before it left."""
    which = items(fact.first, fact.last)
    what = words.called(fact.carrier or fact.lot)
    return f"{what}{', ' + which + ',' if which else ''} came off shipment {words.called(fact.shipment)}."


def goods_returned(fact: Any, words: Words, about: str) -> str:
    """Shipped goods came back."""
    said = _lines(fact, words, about)
    return f"Back from shipment {words.called(fact.shipment)}: {said}, {words.reason(fact.reason)}."


GOODS_SENTENCES: dict[str, Tell] = {
    "LotBorn": lot_born,
    "LinksWritten": links_written,
    "RanksRaised": ranks_raised,
    "LotReceived": lot_received,
    "ReceiptDetailed": receipt_detailed,
    "DeliveryReceived": delivery_received,
    "Moved": moved,
    "ItemsWeighed": items_weighed,
    "CarrierOpened": carrier_opened,
    "CarrierChanged": carrier_changed,
    "ShipmentLoaded": shipment_loaded,
    "ShipmentUnloaded": shipment_unloaded,
    "GoodsReturned": goods_returned,
    "LoadsBooked": moved,
}
"""By kind of event."""
