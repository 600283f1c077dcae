"""How do goods from outside become lots with labels?

Receiving states what is there. What looks odd is asked about once, recorded, and put in question; only
what cannot be read is sent back (DESIGN.md section 2.2).
"""

import dataclasses
from datetime import UTC, datetime

from lotroot.errors import LotrootError, Unreadable
from lotroot.identity import LOT_FAMILIES, number_from
from lotroot.identity.showing import shown
from lotroot.ledger.names import name_of
from lotroot.pads import reserved_number
from lotroot.plant.adopted import code_of
from lotroot.processes.definition import Product
from lotroot.receiving.asking import ask_another, ask_difference, put_in_question
from lotroot.receiving.birth import Birth, bear, held_words, hold_at_once, label, reckon, store, usual
from lotroot.receiving.commands import (
    DeliveryRow,
    Measured,
    OpenStock,
    ReceiveDelivery,
    ReceiveLot,
    ReserveNumbers,
)
from lotroot.receiving.details import check_file, require_complete, told
from lotroot.receiving.facts import DeliveryReceived, Details, NumbersReserved
from lotroot.work import MICROSECONDS, Answer, Work

RECEIVED, BEFORE = "received", "before"

DUE = "Received in an emergency: its details are still to be told."
"""Why an emergency receipt is in question until its details are told."""

MOST_ROWS = 300
"""Lines of one delivery, several times what a truck or container brings (common practice, no source).

They are one posting, and nothing else is recorded meanwhile: 60 lines took 0.5 s, 300 took 2.5 s.
"""

MOST_RESERVED = 500
"""Labels of one pad."""


def receive_lot(work: Work, command: ReceiveLot) -> Answer:
    """Record a lot of a supplier, in an emergency with its details still to come."""
    details = told(work, command)
    if command.emergency:
        details = dataclasses.replace(details, due=True, product_due=not command.product)
    product = _product(work, command)
    birth = _decided(work, product, command, details)
    if not command.emergency:
        require_complete(details, birth.kind)
        require_amount(birth, "receive in an emergency: the number now, the rest later")
    birth = birth._replace(place=store(work, command.place))
    number = reserved_number(work, command.number, birth.kind.letter)
    return _take_in(work, birth, number, command.hold_reason)


def open_stock(work: Work, command: OpenStock) -> Answer:
    """Record a lot that lay here before the system: its parents are not known here."""
    product = work.plant.product(command.product)
    birth = _decided(work, product, command, told(work, command))
    require_amount(birth, "weigh, count or estimate it")
    birth = birth._replace(place=store(work, command.place), source=BEFORE)
    number = reserved_number(work, command.number, birth.kind.letter)
    return _take_in(work, birth, number, command.hold_reason)


def receive_delivery(work: Work, command: ReceiveDelivery) -> Answer:
    """Record every line of a packing list, or none; labels come in list order."""
    if not 1 <= len(command.rows) <= MOST_ROWS:
        raise Unreadable(
            "This delivery cannot be received in one go.",
            value=f"{len(command.rows)} lines",
            expected=f"1 to {MOST_ROWS} lines.",
            next_step="Receive it in parts, each with the same delivery number.",
        )
    place = store(work, command.place)
    births = [_of_row(work, command, place, line) for line in range(len(command.rows))]
    known = ask_another(work, command.supplier, [birth.details.supplier_number for birth in births])
    asked = [
        ask_difference(work, birth, f"mass-differs-{line}") for line, birth in enumerate(births, start=1)
    ]
    numbers = []
    for birth, doubt in asked:
        numbers.append(bear(work, birth))
        label(work, numbers[-1], birth.amounts.items, birth.details)
        put_in_question(work, numbers[-1], doubt, known.get(birth.details.supplier_number, ""))
    if command.packing_list:
        check_file(work.connection, command.packing_list)
    work.record(DeliveryReceived(command.supplier, command.delivery, tuple(numbers), command.packing_list))
    who = name_of(work.connection, command.supplier)
    few = shown(numbers[0]) if len(numbers) == 1 else f"{shown(numbers[0])} to {shown(numbers[-1])}"
    return Answer(f"{len(numbers)} received from {who}: {few}.{held_words(work, numbers)}", tuple(numbers))


def reserve_numbers(work: Work, command: ReserveNumbers) -> Answer:
    """Give numbers to labels kept ready; no goods have them yet."""
    if command.letter not in LOT_FAMILIES or not 1 <= command.count <= MOST_RESERVED:
        raise Unreadable(
            "These numbers cannot be set aside.",
            value=f"{command.count} of {command.letter}",
            expected=f"1 to {MOST_RESERVED} of one of: {', '.join(sorted(LOT_FAMILIES))}.",
            next_step="Choose the letter of the goods, and how many labels.",
        )
    if command.keeper:
        code_of(work.connection, command.keeper, "station")
    numbers = work.numbers(command.letter, command.count)
    first, last = number_from(numbers[0]), number_from(numbers[-1])
    year = datetime.fromtimestamp(work.posting.entered / MICROSECONDS, UTC).year
    work.record(NumbersReserved(command.letter, year, first.running, last.running, command.keeper))
    return Answer(f"{command.count} numbers set aside: {first.shown} to {last.shown}.", tuple(numbers))


def require_amount(birth: Birth, otherwise: str) -> None:
    """Raise Unreadable where nobody told how much it is."""
    if not birth.amounts.known:
        raise Unreadable(
            f"How much {birth.product.name} it is was not told.",
            expected="Our weight or count, or that of their tag.",
            next_step=f"Enter it, or {otherwise}.",
        )


def _product(work: Work, command: ReceiveLot) -> Product:
    if not command.product and command.emergency:
        return usual(work.plant, command.kind, command.number)
    product = work.plant.product(command.product)
    if command.kind and command.kind != product.kind:
        raise Unreadable(
            f"{product.name} is not of the kind that was named.",
            value=command.kind,
            expected=f"{product.kind}, or no kind beside the product.",
            next_step="Choose the product again.",
        )
    return product


def _decided(work: Work, product: Product, measured: Measured, details: Details) -> Birth:
    kind = work.plant.kind(product.kind)
    amounts = reckon(kind, product, measured, details.mass_theirs)
    return Birth(kind, product, amounts, details, "", RECEIVED)


def _take_in(work: Work, birth: Birth, number: str, hold_reason: str) -> Answer:
    """Ask what is odd, record the lot, hold it if told to, and say what came of it."""
    details = birth.details
    known = ask_another(work, details.supplier, [details.supplier_number])
    birth, doubt = ask_difference(work, birth)
    lot = bear(work, birth, number)
    if hold_reason:
        hold_at_once(work, lot, hold_reason)
    held = held_words(work, [lot])
    if not number or birth.amounts.items > 1:  # else a label with its number is on it
        label(work, lot, birth.amounts.items, details)
    put_in_question(work, lot, doubt, known.get(details.supplier_number, ""), DUE if details.due else "")
    where = work.plant.place(code_of(work.connection, birth.place, "place")).name
    if details.due and not birth.amounts.known:
        return Answer(f"{shown(lot)} is labelled, at {where}; its details are still due.{held}", (lot,))
    amount = work.show(birth.amounts.amount, birth.kind.unit)
    return Answer(f"{shown(lot)}: {birth.product.name}, {amount}, at {where}.{held}", (lot,))


def _of_row(work: Work, command: ReceiveDelivery, place: str, line: int) -> Birth:
    """What a line of the packing list brings. Errors name the line."""
    row = command.rows[line]
    try:
        details = told(work, _as_told(command, row))
        birth = _decided(work, work.plant.product(row.product), row, details)
        require_complete(details, birth.kind)
        require_amount(birth, "take the line off the list and receive it by hand")
    except LotrootError as error:
        error.what = f"Line {line + 1}, {row.supplier_number or 'without a number'}: {error.what}"
        raise
    return birth._replace(place=place)


def _as_told(command: ReceiveDelivery, row: DeliveryRow) -> ReceiveLot:
    return ReceiveLot(
        supplier=command.supplier,
        supplier_number=row.supplier_number,
        heats=row.heats,
        grade=row.grade,
        size=row.size,
        mass_theirs=row.mass_theirs,
        order_number=row.order_number or command.order_number,
        delivery=command.delivery,
        certificate=command.certificate,
        remark=row.remark,
        paint_batch=row.paint_batch,
    )
