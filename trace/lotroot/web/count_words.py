"""What is a lot, a row of items or a carrier called in the list of a count, and how much is it?"""

from collections.abc import Iterable
from typing import Any

from markupsafe import Markup
from sqlalchemy import Row

from lotroot.counting.inside import Inside, Label, Progress
from lotroot.tracing.words import Words, items
from lotroot.web.cells import link, together

Cells = dict[str, Markup | str]


def learn(words: Words, labels: Iterable[Label]) -> None:
    """Look up every lot of some labels together."""
    words.learn({part.lot for label in labels for part in label.parts})


def said(found: Progress) -> str:
    """14 of 20 seen."""
    return f"{found.seen} of {found.expected} seen"


def label_row(words: Words, label: Label) -> Cells:
    """One line of what is not seen yet: what to look for, what it is, how much."""
    part = label.parts[0]
    if label.carrier:
        what = together([carrier_link(words, label.carrier), _count(label.parts)], ", ")
    else:
        on = f"on {words.called(part.carrier)}" if part.carrier else ""
        what = together([link(part.lot), items(part.first, part.last), on], ", ")
    products = {product_of(words, one.lot): None for one in label.parts}
    return {"what": what, "product": ", ".join(products), "amount": amount_of(words, label.parts)}


def _count(parts: Iterable[Inside]) -> str:
    boxes = sum(part.span.size for part in parts if part.first)
    return f"{boxes} {'item' if boxes == 1 else 'items'}" if boxes else ""


def product_of(words: Words, lot: str) -> str:
    """What a lot is."""
    row = words.lot(lot)
    return (words.product(row.product) or words.kind(row.kind)) if row is not None else ""


def amount_of(words: Words, parts: Iterable[Inside | Row[Any]]) -> str:
    """What some parts amount to together, by unit."""
    sums: dict[str, int] = {}
    for part in parts:
        row = words.lot(part.lot)
        if row is not None:
            sums[row.unit] = sums.get(row.unit, 0) + part.amount
    return ", ".join(words.amount(amount, unit) for unit, amount in sums.items())


def carrier_link(words: Words, number: str) -> Markup | str:
    """A carrier's name at the beginning of a line, leading to its story."""
    name = words.called(number)
    return link(number, f"{name[:1].upper()}{name[1:]}")


def goods_link(words: Words, row: Row[Any]) -> Markup | str:
    """What a difference is about, leading to its story."""
    if row.carrier:
        return carrier_link(words, row.carrier)
    return together([link(row.lot), items(row.first, row.last)], ", ")
