"""What is said of goods: checks, holds, questions, labels, and where they are?"""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.holds.naming import WORDS
from lotroot.holds.reach import held_among, held_by
from lotroot.labelling.printed import labels_of
from lotroot.ledger.events import Recorded
from lotroot.quality.checks import checks_of
from lotroot.questions import questions_of
from lotroot.stock.standing import Range, cut, standings_of, weights_of
from lotroot.tracing.asking import Part
from lotroot.tracing.chapters import CheckFacts, HoldFacts, LabelFacts, QuestionFacts, Whereabouts
from lotroot.tracing.figure_words import by_whom
from lotroot.tracing.spans import ALL, Span, common
from lotroot.tracing.whereabouts import LEFT, spots_of
from lotroot.tracing.words import Named, Words, items


def check_facts(connection: Connection, number: str, words: Words) -> list[CheckFacts]:
    """The checks on a number, in ledger order."""
    return [check(row, words) for row in checks_of(connection, number)]


def check(row: Row[Any], words: Words) -> CheckFacts:
    """One judgement of one check."""
    return CheckFacts(
        subject=words.named(row.subject),
        lot=row.lot,
        characteristic=words.characteristic(row.characteristic),
        readings=tuple(row.readings.split()),
        unit=row.unit,
        count=row._mapping["count"],
        found=row.found,
        verdict=row.verdict,
        low=row.low or "",
        high=row.high or "",
        source=row.source,
        confidence=row.confidence,
        confirmed=bool(row.confirmed),
        stood=_stood(row, words),
        instrument=words.named(row.instrument),
        remark=row.remark,
        person=words.named(row.person),
        at=words.moment(row.at),
    )


def _stood(row: Row[Any], words: Words) -> str:
    """Who stood behind the limits of a check when it was judged; empty for nobody."""
    if row.stood_by is None:
        return ""
    return by_whom(row.stood_by, row.stood_at, words, overridden=bool(row.overridden))


def hold_facts(connection: Connection, parts: Iterable[Part], words: Words) -> list[HoldFacts]:
    """The holds that reach some goods, one entry a hold and lot."""
    spans = {part.lot.id: [None if span == ALL else span for span in part.spans] for part in parts}
    by_id = {part.lot.id: part.lot.number for part in parts}
    serial = {part.lot.id for part in parts if part.lot.axis == "serial"}
    held = held_among(connection, [(lot, span) for lot, some in spans.items() for span in some])
    found: dict[tuple[int, str], HoldFacts] = {}
    for lot, span in sorted(held, key=lambda each: (by_id[each[0]], each[1] or ALL)):
        for one in held_by(connection, by_id[lot], *(span or ALL)):
            found[one.hold, by_id[lot]] = HoldFacts(
                hold=one.hold,
                lot=words.named(by_id[lot]),
                kind=one.kind,
                words=WORDS.get(one.kind, one.kind),
                reason=words.reason(one.reason),
                root=words.named(one.root),
                at=words.moment(one.at),
                items=items(one.first, one.last) if by_id[lot] == one.root and lot in serial else "",
            )
    return [found[key] for key in sorted(found)]


def question_facts(connection: Connection, number: str, words: Words) -> list[QuestionFacts]:
    """All questions ever raised about a number, oldest first."""
    return [
        QuestionFacts(
            row.event,
            row.reason,
            words.named(row.person),
            words.moment(row.at),
            row.settled is not None,
            row.settlement,
        )
        for row in questions_of(connection, number)
    ]


def label_facts(
    connection: Connection, number: str, words: Words, told: Iterable[Recorded], serial: int = 0
) -> list[LabelFacts]:
    """The labels printed of a number, or of one item; `told` holds the events that name the number."""
    when = {recorded.id: recorded.posting.happened for recorded in told}
    rows = labels_of(connection, number)
    mine = [row for row in rows if not serial or row.first <= serial <= row.last]
    return [
        LabelFacts(
            items=items(row.first, row.last),
            copy=row.copy,
            layout=row.layout,
            at=words.moment(row.printed_at),
            proved=words.moment(when[row.proved]) if row.proved in when else None,
        )
        for row in mine
    ]


def where(connection: Connection, lot: Row[Any], words: Words, span: Span = ALL) -> list[Whereabouts]:
    """Where a lot, or some of its items, is now: through carriers to a place, or to a shipment."""
    rows = [row for row in standings_of(connection, [lot.number]) if row.amount]
    weighed = weights_of(connection, [lot.number]).get(lot.number, {}) if span != ALL else {}
    spots = spots_of(connection, (row.spot for row in rows))
    found = []
    for row in rows:
        for first, last in common([span], (row.first, row.last)) if row.first else [ALL]:
            whole = Range(row.first, row.last, row.amount)
            amount = cut(whole, weighed, first, last) if first else row.amount
            carrier = words.named(row.spot) if row.spot in spots.carriers else None
            at = spots.carriers[row.spot].spot if carrier else row.spot
            found.append(
                Whereabouts(
                    lot=words.named(lot.number),
                    items=items(first, last),
                    amount=words.quantity(amount, lot.unit),
                    carrier=carrier,
                    **placed(at, spots, words),
                )
            )
    return found


def placed(at: str, spots: Any, words: Words) -> dict[str, Any]:
    """A spot that is no carrier as place, shipment and customer."""
    shipment = spots.shipments.get(at)
    if shipment is not None:
        customer = Named(shipment.customer, words.party(shipment.customer))
        left = shipment.state == LEFT
        return {"place": None, "shipment": words.named(at), "customer": customer, "left": left}
    place = spots.runs[at].station if at in spots.runs else at
    return {"place": words.named(place), "shipment": None, "customer": None, "left": False}
