"""How is what was told of goods from outside completed and put right?

Aliases follow at once, and every hold that now means the lot catches it (RULES 19). The events before
stay readable: each tells the whole details of its time.
"""

import dataclasses
from typing import Any

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import ProductCorrected
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.ledger.book import events_naming
from lotroot.processes.definition import Kind, Product
from lotroot.questions import QuestionSettled, questions_of
from lotroot.receiving.arriving import DUE, require_amount
from lotroot.receiving.asking import ask_another, ask_difference, put_in_question
from lotroot.receiving.birth import Amounts, Birth, held_words, label, reckon
from lotroot.receiving.commands import AddCertificate, CompleteReceipt, CorrectReceipt
from lotroot.receiving.correcting import Right, correct_amount
from lotroot.receiving.details import NOTHING, check_file, follow, lacking, require_complete, told
from lotroot.receiving.facts import TEXTS, CertificateAdded, Details, ReceiptDetailed
from lotroot.receiving.receipts import details_of, source_of
from lotroot.work import Answer, Work

TELLABLE = (*TEXTS, "heats", "mass_theirs", "certificate", "photo")
ON_LABEL = ("supplier", "supplier_number", "heats", "paint_batch")


def complete_receipt(work: Work, command: CompleteReceipt) -> Answer:
    """Tell the rest of an emergency receipt; its question is settled, its label printed anew."""
    lot, before = _from_outside(work, command.lot)
    if not before.due:
        raise _told_already(work, lot.number)
    if before.product_due and not command.product:
        raise lacking("product", "What it is")
    product = work.plant.product(command.product or lot.product)
    kind = work.plant.kind(product.kind)
    now = dataclasses.replace(told(work, command, before), due=False, product_due=False)
    require_complete(now, kind)
    birth = Birth(kind, product, _amounts(lot, command, kind, product, now.mass_theirs), now, "", "")
    require_amount(birth, "wait until somebody has weighed it")
    known = ask_another(work, now.supplier, [now.supplier_number], but=lot.number)
    birth, doubt = ask_difference(work, birth)
    _change_product(work, lot, product)
    _tell(work, lot.number, before, now)
    _set_amount(work, lot, birth.amounts)
    _settle(work, lot.number)
    put_in_question(work, lot.number, doubt, *known.values())
    label(work, lot.number, lot.items, now)
    amount = work.show(birth.amounts.amount, kind.unit)
    held = held_words(work, [lot.number])
    return Answer(f"{shown(lot.number)} is complete: {product.name}, {amount}.{held}", (lot.number,))


def correct_receipt(work: Work, command: CorrectReceipt) -> Answer:
    """Put right what was told of a lot, whatever has become of it since."""
    lot, before = _from_outside(work, command.lot)
    now = told(work, command, _emptied(before, command.empty))
    if command.product:
        now = dataclasses.replace(now, product_due=False)
    changed = [name for name in TELLABLE if getattr(now, name) != getattr(before, name)]
    product = work.plant.product(command.product) if command.product else None
    if product is not None and product.code == lot.product and not before.product_due:
        product = None
    if not changed and product is None:
        raise Refused(
            f"{shown(lot.number)} is recorded so already, {_told_at(work, lot.number)}.",
            word="already",
            value=lot.number,
            expected="Something that is not as it was told.",
            next_step="Nothing: it is as you say.",
        )
    known = {}
    if {"supplier", "supplier_number"} & set(changed):
        known = ask_another(work, now.supplier, [now.supplier_number], but=lot.number)
    if product is not None:
        _change_product(work, lot, product)
    if now != before:
        _tell(work, lot.number, before, now)
    put_in_question(work, lot.number, *known.values())
    if product is not None or set(ON_LABEL) & set(changed):
        label(work, lot.number, lot.items, now)
    words = [_change_words(name, before, now) for name in changed]
    words += [f"product {product.name}"] if product is not None else []
    return Answer(
        f"{shown(lot.number)} corrected: {'; '.join(words)}.{held_words(work, [lot.number])}", (lot.number,)
    )


def add_certificate(work: Work, command: AddCertificate) -> Answer:
    """Lay a kept file to every lot it certifies."""
    name = check_file(work.connection, command.file)
    found = [_from_outside(work, number) for number in dict.fromkeys(command.lots)]
    new = [lot.number for lot, details in found if details.certificate != command.file]
    if not found:
        raise Unreadable(
            "A certificate belongs to lots.",
            value=name,
            expected="One lot or more.",
            next_step="Scan the labels it is for, or choose the delivery.",
        )
    if not new:
        raise Refused(
            f"These lots have this certificate already, {_told_at(work, found[0][0].number)}.",
            word="already",
            value=name,
            expected="Another file, or other lots.",
            next_step="Nothing: it is there.",
        )
    for number in new:
        work.record(CertificateAdded(number, command.file, name))
    return Answer(f"{name} is kept with {', '.join(map(shown, new))}.", tuple(new))


def _from_outside(work: Work, number: str) -> tuple[Row[Any], Details]:
    lot = find_lot(work.connection, number)
    source = source_of(work.connection, number)
    if source is None or lot.voided:
        raise Refused(
            f"{shown(number)} was taken back." if lot.voided else f"{shown(number)} was made here.",
            value=number,
            expected="A lot that came from outside.",
            next_step="Scan another label, or correct the run it was made in.",
        )
    return lot, details_of(source)


def _tell(work: Work, number: str, before: Details, now: Details) -> None:
    work.record(ReceiptDetailed(number, now))
    follow(work, number, before, now)


def _amounts(lot: Row[Any], command: CompleteReceipt, kind: Kind, product: Product, theirs: int) -> Amounts:
    """What is told now, else what was told at once."""
    now = command.amount or command.mass
    weighed = lot.mass if lot.mass_how != "theirs" else None
    measured = dataclasses.replace(
        command,
        amount=command.amount or (0 if command.mass and kind.unit == "g" else lot.amount),
        mass=command.mass or weighed or 0,
        items=lot.items,
        how=command.how if now or not lot.amount else lot.how,
    )
    return reckon(kind, product, measured, theirs)


def _set_amount(work: Work, lot: Row[Any], amounts: Amounts) -> None:
    if (amounts.amount, amounts.mass, amounts.how) != (lot.amount, lot.mass, lot.how):
        told = (amounts.amount, amounts.mass, amounts.how, "Details told", amounts.mass_how)
        right = Right(*told, typed_by=amounts.weighed_by)
        correct_amount(work, lot, right)


def _change_product(work: Work, lot: Row[Any], product: Product) -> None:
    """Record that a lot is of another product, of a kind that keeps its letter, unit and axis."""
    if product.code == lot.product:
        return
    kind = work.plant.kind(product.kind)
    if (kind.letter, kind.unit, kind.axis) != (lot.number[0], lot.unit, lot.axis):
        raise Refused(
            f"{shown(lot.number)} cannot become {product.name}: its number and amount mean something else.",
            value=product.code,
            expected=f"A product whose numbers begin with {lot.number[0]}, in {lot.unit}.",
            next_step="Take this receipt back and receive the goods again.",
        )
    work.record(ProductCorrected(lot.number, product.code, kind.code if kind.code != lot.kind else ""))


def _emptied(before: Details, names: tuple[str, ...]) -> Details:
    strange = [name for name in names if name not in TELLABLE]
    if strange:
        raise Unreadable(
            "This cannot be emptied.",
            value=", ".join(strange),
            expected=f"One of: {', '.join(TELLABLE)}.",
            next_step="Correct the name of the field.",
        )
    return dataclasses.replace(before, **{name: getattr(NOTHING, name) for name in names})


def _settle(work: Work, number: str) -> None:
    for row in questions_of(work.connection, number):
        if row.settled is None and row.reason == DUE:
            work.record(QuestionSettled(row.event, number, "The details were told."))


def _change_words(name: str, before: Details, now: Details) -> str:
    was, is_now = (_value_words(name, getattr(each, name)) for each in (before, now))
    return f"{name.replace('_', ' ')} {is_now} (was {was})"


def _value_words(name: str, value: Any) -> str:
    if name in ("certificate", "photo") and value:
        return str(value)[:12]
    if name == "mass_theirs":
        return f"{value} g"
    return ("; ".join(value) if isinstance(value, tuple) else str(value)) or "none"


def _told_already(work: Work, number: str) -> Refused:
    return Refused(
        f"The details of {shown(number)} were told already, {_told_at(work, number)}.",
        word="already",
        value=number,
        expected="An emergency receipt.",
        next_step="Correct the receipt if something is wrong with it.",
    )


def _told_at(work: Work, number: str) -> str:
    """When somebody last told something of a lot."""
    told_then = [
        recorded.posting.happened
        for recorded in events_naming(work.connection, number)
        if not isinstance(recorded.event, QuestionSettled)
    ]
    return work.local_time(told_then[-1])
