"""How does a difference of a count, or what was seen in one, stand on the page of the count?"""

from typing import Any

from flask import url_for
from markupsafe import Markup
from sqlalchemy import Connection, Row

from lotroot.counting.choices import (
    BROUGHT_BACK,
    CHOICES,
    LOOKED_FOR,
    MISSING,
    WEIGHT,
    WRITTEN_OFF,
    Found,
    choices_of,
)
from lotroot.counting.elsewhere import seen_elsewhere
from lotroot.counting.sightings import where_stands
from lotroot.stock.carriers import carrier_or_none
from lotroot.stock.standing import at_spot, standings
from lotroot.tracing.words import Words, items
from lotroot.web.cells import link, tag, together
from lotroot.web.count_words import amount_of, carrier_link, goods_link, product_of
from lotroot.web.frame import when


def count_link(number: int, name: str) -> Markup:
    """A count by the name of its place, leading to its page."""
    return Markup('<a href="{}">{}</a>').format(url_for("counts.one", number=number), name)


def difference_plate(connection: Connection, words: Words, row: Row[Any]) -> dict[str, Any]:
    """A difference that waits: what it is about, what the record says, what can be decided."""
    lot = words.lot(row.lot)
    choices = choices_of(Found(row.kind, row.stood, bool(lot is not None and lot.voided)))
    weigh = BROUGHT_BACK in choices and not row.first and not row.weighed
    product, holds = _on_it(connection, words, row.carrier)
    return {
        "seq": row.seq,
        "kind": tag(row.kind),
        "goods": goods_link(words, row),
        "product": product_of(words, row.lot) or product,
        "says": _says(words, row, holds),
        "now": _now(connection, words, row),
        "seen": _seen_elsewhere(connection, words, row),
        "looked_for": f"Looked for since {when(words.plant, row.at)}" if row.choice == LOOKED_FOR else "",
        "choices": [(code, CHOICES[code]) for code in choices if code != row.choice],
        "why": WRITTEN_OFF in choices,
        "weigh": words.plant.units.get(lot.unit, lot.unit)
        if weigh and lot is not None and words.plant
        else "",
    }


def _seen_elsewhere(connection: Connection, words: Words, row: Row[Any]) -> str:
    there = seen_elsewhere(connection, row) if row.kind == MISSING else ""
    return f"Seen when {words.called(there)} was counted." if there else ""


def _on_it(connection: Connection, words: Words, carrier: str) -> tuple[str, str]:
    """What a carrier holds and how much of it, for a difference about all of it."""
    rows = at_spot(connection, carrier) if carrier else []
    words.learn(sorted({row.lot for row in rows}))
    products = dict.fromkeys(product_of(words, row.lot) for row in rows)
    return ", ".join(products), amount_of(words, rows)


def _says(words: Words, row: Row[Any], holds: str) -> str:
    """What the record said then, and what was found; `holds` is what a carrier holds."""
    amount = words.amount_of(row.lot, row.amount) if row.lot and row.amount else holds
    at = _place_words(words, row.spot, row.stood)
    if row.kind == WEIGHT:
        return f"Recorded {amount}, found {words.amount_of(row.lot, row.weighed)}."
    if row.kind == MISSING:
        return f"{amount}, recorded {at}." if amount else f"Recorded {at}."
    weighed = f" Found: {words.amount_of(row.lot, row.weighed)}." if row.weighed else ""
    if not row.spot:
        return f"Seen, though by the record nothing of it is left.{weighed}"
    return f"Seen here, recorded {at}{f': {amount}' if amount else ''}.{weighed}"


def _place_words(words: Words, spot: str, stood: str) -> str:
    on = f"on {words.called(spot)} " if spot.startswith("P") else ""
    if stood.startswith("D"):
        return f"{on}on shipment {words.called(stood)}"
    if stood.startswith("U"):
        return f"{on}on a machine, in run {words.called(stood)}"
    return f"{on}at {words.called(stood)}" if stood else on.strip()


def _now(connection: Connection, words: Words, row: Row[Any]) -> str:
    """Where it stands by the record by now, where that is no longer what it was then."""
    if row.carrier:
        carrier = carrier_or_none(connection, row.carrier)
        if carrier is None or carrier.spot == row.stood:
            return ""
        return f"By now recorded {_place_words(words, '', carrier.spot)}."
    spots = [
        one.spot
        for one in standings(connection, row.lot)
        if not row.first or (one.first <= row.last and one.last >= row.first)
    ]
    other = [one for one in spots if (one, where_stands(connection, one)) != (row.spot, row.stood)]
    if not spots:
        return "By now nothing of it stands anywhere by the record." if row.spot else ""
    said = [_place_words(words, one, where_stands(connection, one)) for one in dict.fromkeys(other)]
    return f"By now recorded {', '.join(said)}." if said else ""


def seen_row(words: Words, row: Row[Any]) -> dict[str, Any]:
    """One scan of a count."""
    goods = (
        together([link(row.lot), items(row.first, row.last)], ", ")
        if row.lot
        else carrier_link(words, row.number)
    )
    return {
        "what": goods,
        "product": product_of(words, row.lot),
        "recorded": words.amount_of(row.lot, row.amount) if row.lot and row.amount else "",
        "found": f"{words.amount_of(row.lot, row.weighed)}{words.typed(row.typed_by)}" if row.weighed else "",
        "by": words.called(row.person),
        "when": when(words.plant, row.at),
    }
