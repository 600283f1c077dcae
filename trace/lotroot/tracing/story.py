"""What is the whole story behind one scan?"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Connection, Row

from lotroot.dispatch.shipments import find_shipment
from lotroot.genealogy.item_masses import Some, grams_of
from lotroot.genealogy.lots import aliases_of, find_lot
from lotroot.goods import typed
from lotroot.identity import Family, ItemNumber, is_lot
from lotroot.identity.showing import shown
from lotroot.ledger.book import events_naming
from lotroot.ledger.events import Recorded
from lotroot.production.cuts import cut_and_sums, cuts_of_lot
from lotroot.production.runs import find_run, judged_by, loads_of_lot, outputs_of_lot, run_or_none
from lotroot.stock.carriers import find_carrier
from lotroot.stock.standing import weights
from lotroot.tracing.asking import Asked, Part, asked
from lotroot.tracing.chapters import Content, RunFacts, Story, Whereabouts
from lotroot.tracing.concerning import concerning
from lotroot.tracing.lot_facts import lot_facts, made_from, made_into, source_facts
from lotroot.tracing.meaning import meant
from lotroot.tracing.run_facts import known, run_facts, run_in_full
from lotroot.tracing.spans import ALL, Span
from lotroot.tracing.standing_facts import (
    check_facts,
    hold_facts,
    label_facts,
    placed,
    question_facts,
    where,
)
from lotroot.tracing.telling import told
from lotroot.tracing.whereabouts import spots_of
from lotroot.tracing.words import Named, Words, items


@dataclass(frozen=True)
class _Told:
    """What every story begins with: the number, the words, and the events that name it."""

    connection: Connection
    number: str
    words: Words
    events: list[Recorded]


def story(connection: Connection, text: str) -> Story:
    """All that is known of a lot, item, carrier, run or shipment, void ones too.

    `text` is typed, scanned, or another name of one lot. Raises Unknown for what nobody gave, Unreadable
    for what is no goods.
    """
    number = meant(connection, text)
    value = typed(number)
    begun = _Told(connection, number, Words(connection), events_naming(connection, number[:11]))
    if isinstance(value, ItemNumber) or is_lot(value):
        return _of_lot(begun, value.serial if isinstance(value, ItemNumber) else 0)
    if value.family not in _STORIES:
        asked(connection, number)  # says what it is instead, and that it is no goods
    return _STORIES[value.family](begun)


def _of_lot(begun: _Told, serial: int) -> Story:
    connection, words = begun.connection, begun.words
    lot = find_lot(connection, begun.number[:11])
    if serial > lot.items:
        asked(connection, begun.number)  # says that there is no such item
    words.learn([lot.number])
    span: Span = (serial, serial) if serial else ALL
    events = concerning(begun.events, lot.number, serial) if serial else begun.events
    part = Part(lot, lot.amount, (span,), whole=not serial)
    run = run_or_none(connection, lot.run) if lot.run else None
    source = source_facts(connection, lot.number, words)
    what = _lot_words(lot, serial, words)
    if source is not None and source.due:
        what = f"{shown(lot.number)} came in an emergency: its details are still to be told."
    return Story(
        number=Named(begun.number, shown(begun.number)),
        kind="item" if serial else "lot",
        what=what,
        lot=lot_facts(lot, words),
        source=source,
        made_from=tuple(made_from(connection, lot, words, span)),
        made_into=tuple(made_into(connection, lot, words, span)),
        run=run_in_full(connection, find_run(connection, run.number), words) if run is not None else None,
        through=tuple(_through(connection, lot.number, words)),
        content=(),
        content_now=True,
        checks=tuple(check_facts(connection, begun.number, words)),
        holds=tuple(hold_facts(connection, [part], words)),
        questions=tuple(question_facts(connection, lot.number, words)),
        where=tuple(where(connection, lot, words, span)),
        labels=tuple(label_facts(connection, lot.number, words, begun.events, serial)),
        aliases=tuple((row.scheme, row.value) for row in aliases_of(connection, lot.number)),
        told=tuple(told(events, words, lot.number)),
        cuts=_cut(connection, lot, serial, words),
        weighs=_weighs(connection, lot, serial, words) if serial else "",
    )


def _cut(connection: Connection, lot: Row[Any], serial: int, words: Words) -> str:
    """How a bundle was cut; empty where nobody typed that."""
    cuts = cuts_of_lot(connection, lot.number).get(serial) if serial else None
    return cut_and_sums(cuts, words.plant, lot.product) if cuts else ""


def _weighs(connection: Connection, lot: Row[Any], serial: int, words: Words) -> str:
    """What one item weighs by itself: as it was weighed and how that is known, else by its own output's mass.

    Empty where nobody knows, and of boxes told by weight that were only counted.
    """
    made = [one for one in outputs_of_lot(connection, lot.number) if one.first <= serial <= one.last]
    net = weights(connection, lot.number, serial, serial).get(serial)
    if net is not None and made:
        return f"{words.amount(net, 'g')}, {known(made[-1], words)}"
    grams = grams_of(connection, lot, Some(0, serial, serial)) if lot.unit != "g" else None
    return words.amount(grams, "g") if grams else ""


def _lot_words(lot: Row[Any], serial: int, words: Words) -> str:
    what = words.product(lot.product) or words.kind(lot.kind)
    if lot.voided:
        return f"{shown(lot.number)} was taken back: destroy its label."
    if serial:
        return f"{words.kind(lot.kind)}, item {serial} of {shown(lot.number)}: {what}."
    return f"{words.kind(lot.kind)} {shown(lot.number)}: {what}, {words.amount(lot.amount, lot.unit)}."


def _through(connection: Connection, lot: str, words: Words) -> list[RunFacts]:
    """The runs a lot went through under its own number (RULES 9)."""
    runs = [
        find_run(connection, number)
        for number in dict.fromkeys(row.run for row in loads_of_lot(connection, lot))
    ]
    return [run_facts(run, words) for run in runs if judged_by(connection, run.row)[1].feed == "as_is"]


def _of_carrier(begun: _Told) -> Story:
    row = find_carrier(begun.connection, begun.number)
    on_it = asked(begun.connection, begun.number)
    spots = spots_of(begun.connection, [row.number])
    stands = Whereabouts(
        lot=begun.words.named(row.number),
        items="",
        amount=begun.words.quantity(on_it.amount if on_it.now else 0, on_it.unit),
        carrier=None,
        **placed(row.spot, spots, begun.words),
    )
    became = f", became {begun.words.called(row.became)}" if row.became else ""
    what = f"{begun.words.called(row.number)}, {row.state}{became}."
    return _of_several(begun, on_it, what, (stands,) if row.state != "became" else ())


def _of_run(begun: _Told) -> Story:
    run = find_run(begun.connection, begun.number)
    state = "taken back" if run.row.voided else "open" if run.row.closed is None else "closed"
    what = f"{begun.words.process(run.row.process)}: run {shown(begun.number)}, {state}."
    made = asked(begun.connection, begun.number)
    found = _of_several(begun, made, what, ())
    return replace(found, run=run_in_full(begun.connection, run, begun.words))


def _of_shipment(begun: _Told) -> Story:
    row = find_shipment(begun.connection, begun.number).row
    spots = spots_of(begun.connection, [row.number])
    loads = asked(begun.connection, begun.number)
    what = f"Shipment {shown(begun.number)} to {begun.words.party(row.customer)}, {row.state}."
    stands = Whereabouts(
        lot=begun.words.named(row.number),
        items="",
        amount=begun.words.quantity(loads.amount, loads.unit),
        carrier=None,
        **placed(row.number, spots, begun.words),
    )
    return _of_several(begun, loads, what, (stands,))


_STORIES: dict[Family, Callable[[_Told], Story]] = {
    Family.CARRIER: _of_carrier,
    Family.RUN: _of_run,
    Family.SHIPMENT: _of_shipment,
}


def _of_several(begun: _Told, parts: Asked, what: str, stands: tuple[Whereabouts, ...]) -> Story:
    """The story of what holds or made several lots."""
    connection, words = begun.connection, begun.words
    words.learn(part.lot.number for part in parts.parts)
    return Story(
        number=Named(begun.number, words.called(begun.number)),
        kind=parts.kind,
        what=what,
        lot=None,
        source=None,
        made_from=(),
        made_into=(),
        run=None,
        through=(),
        content=tuple(_content(part, words) for part in parts.parts),
        content_now=parts.now,
        checks=tuple(check_facts(connection, begun.number, words)),
        holds=tuple(hold_facts(connection, parts.parts, words)),
        questions=tuple(question_facts(connection, begun.number, words)),
        where=stands,
        labels=tuple(label_facts(connection, begun.number, words, begun.events)),
        aliases=tuple((row.scheme, row.value) for row in aliases_of(connection, begun.number)),
        told=tuple(told(begun.events, words, begun.number)),
    )


def _content(part: Part, words: Words) -> Content:
    spans = "" if ALL in part.spans else ", ".join(items(*span) for span in part.spans)
    product = words.product(part.lot.product) or words.kind(part.lot.kind)
    return Content(words.named(part.lot.number), product, spans, words.quantity(part.amount, part.lot.unit))
