"""What is a lot, where did it come from, and what is directly above and below it?"""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Row, bindparam, select

from lotroot.genealogy.lots import links_from, links_of
from lotroot.genealogy.tables import DOUBTED
from lotroot.genealogy.walks import AT_ONCE
from lotroot.receiving.facts import Details
from lotroot.receiving.receipts import details_of
from lotroot.receiving.tables import source
from lotroot.tracing.chapters import LotFacts, Relative, SourceFacts
from lotroot.tracing.spans import ALL, Span, common
from lotroot.tracing.words import Named, Words, items

_sources = select(source).where(source.c.lot.in_(bindparam("lots", expanding=True)))


def lot_facts(lot: Row[Any], words: Words) -> LotFacts:
    """A lot as it is known now."""
    return LotFacts(
        lot=words.named(lot.number),
        kind=words.kind(lot.kind),
        product=words.product(lot.product) or words.kind(lot.kind),
        amount=words.quantity(lot.amount, lot.unit),
        how=lot.how,
        mass=words.quantity(lot.mass, "g") if lot.mass is not None else None,
        items=lot.items,
        source=lot.source,
        run=lot.run,
        station=words.named(lot.station),
        born=words.moment(lot.born_at),
        voided=bool(lot.voided),
        typed_by=lot.typed_by if lot.how == "weighed" else "",
    )


def source_facts(connection: Connection, lot: str, words: Words) -> SourceFacts | None:
    """What is known of a lot's origin outside; None for one that was made here."""
    return source_facts_of(connection, [lot], words).get(lot)


def source_facts_of(connection: Connection, lots: Iterable[str], words: Words) -> dict[str, SourceFacts]:
    """What is known of the origin of those among some lots that came from outside."""
    some = sorted(set(lots))
    found: dict[str, SourceFacts] = {}
    for start in range(0, len(some), AT_ONCE):
        for row in connection.execute(_sources, {"lots": some[start : start + AT_ONCE]}):
            found[row.lot] = _source(details_of(row), words)
    return found


def _source(details: Details, words: Words) -> SourceFacts:
    return SourceFacts(
        supplier=Named(details.supplier, words.party(details.supplier)),
        supplier_number=details.supplier_number,
        heats=details.heats,
        grade=details.grade,
        size=details.size,
        mass_theirs=words.quantity(details.mass_theirs, "g") if details.mass_theirs else None,
        order_number=details.order_number,
        delivery=details.delivery,
        certificate=details.certificate,
        remark=details.remark,
        photo=details.photo,
        due=details.due,
        product_due=details.product_due,
        paint_batch=details.paint_batch,
    )


def made_from(connection: Connection, lot: Row[Any], words: Words, span: Span = ALL) -> list[Relative]:
    """The links of a lot, or of some of its items, to its parents, in link order; doubted ones too."""
    links = links_of(connection, lot.id, doubted=True)
    words.learn(link.parent_number for link in links)
    met = [link for link in links if lot.axis != "serial" or _meets(span, link.child_from, link.child_to)]
    return [_relative(link, link.parent_number, (link.parent_number, lot.number), words) for link in met]


def made_into(connection: Connection, lot: Row[Any], words: Words, span: Span = ALL) -> list[Relative]:
    """The links to what was made of a lot, or of some of its items; void children are left out."""
    links = links_from(connection, lot.id, doubted=True)
    words.learn([lot.number, *(link.child_number for link in links)])
    met = [link for link in links if lot.axis != "serial" or _meets(span, link.parent_from, link.parent_to)]
    found = [_relative(link, link.child_number, (lot.number, link.child_number), words) for link in met]
    return [one for one in found if not getattr(words.lot(one.lot.number), "voided", 0)]


def _meets(span: Span, first: int | None, last: int | None) -> bool:
    if first is None or last is None:
        return True
    return bool(common([span], (first, last)))


def _relative(link: Row[Any], other: str, ends: tuple[str, str], words: Words) -> Relative:
    parent, child = (words.lot(number) for number in ends)
    known = words.lot(other)
    return Relative(
        lot=words.named(other),
        product=words.product(known.product) if known is not None else "",
        taken=words.quantity(link.taken, parent.unit if parent is not None else "g"),
        stream=link.stream,
        role=link.role,
        stretch=_stretch((link.parent_from, link.parent_to, link.end), parent, words),
        made=_stretch((link.child_from, link.child_to, link.child_end), child, words, link.stream),
        basis=link.basis,
        run=child.run if child is not None else "",
        doubted=link.state == DOUBTED,
    )


def _stretch(
    of: tuple[int | None, int | None, str], lot: Row[Any] | None, words: Words, stream: str = ""
) -> str:
    """Which part of a lot: items 3 to 7, or from 0 to 400 kg counted from its outer end.

    What was made is counted in the closing unit of its stream: litres of solution, never pieces of it.
    """
    start, end, side = of
    if lot is None or start is None or end is None:
        return ""
    if lot.axis == "serial":
        return items(start, end)
    if start == end:
        return ""
    unit = words.stream_unit(stream) or lot.unit
    told = f"from {words.amount(start, unit)} to {words.amount(end, unit)}"
    return told if side == "unknown" else f"{told}, counted from the {side} end"
