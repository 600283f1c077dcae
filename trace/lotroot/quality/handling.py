"""How is a check recorded, and what happens when it fails?

Checking states what is: it is never refused for a hold. A fail asks once whether to hold what failed; a
pass releases nothing by itself.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NamedTuple

from sqlalchemy import Row

from lotroot.errors import Question, Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.goods import goods, typed
from lotroot.holds.facts import HoldRootAdded
from lotroot.holds.handling import PlaceHold, place
from lotroot.identity import ItemNumber, Number, is_carrier, is_lot, is_run
from lotroot.identity.showing import shown
from lotroot.plant.adopted import code_of
from lotroot.plant.figures import limits_in_force
from lotroot.processes.definition import Characteristic
from lotroot.processes.naming import inside
from lotroot.production.runs import find_run, run_or_none
from lotroot.quality.checks import lots_checked_with
from lotroot.quality.facts import FAIL, NOTED, PASS, Checked, Judgement
from lotroot.quality.judging import in_words, verdict_of
from lotroot.quantities import read_number
from lotroot.work import Answer, Handler, Work

FAR = 10
"""A decimal mark lost makes ten times as much; that is asked about where no upper limit catches it."""

CHOICES = {"hold": "Hold it", "record": "Record only"}


@dataclass(frozen=True)
class RecordCheck:
    """Something was checked: on a lot, an item, a run (a charge, a tumbler load) or what a carrier holds.

    `readings` are as typed, in the characteristic's unit. Of an attribute, `count` were looked at and
    `found` of them were not good. `instrument` is the number on the gauge or scale.
    """

    number: str
    characteristic: str
    readings: tuple[str, ...] = ()
    count: int = 0
    found: int = 0
    instrument: str = ""
    remark: str = ""


class _Part(NamedTuple):
    """What one judgement is about: a lot or items of it, or what a run makes of a product."""

    product: str
    lot: str = ""
    first: int = 0
    last: int = 0


def _record(work: Work, command: RecordCheck) -> Answer:
    what = work.plant.characteristic(command.characteristic)
    parts = _parts(work, command.number)
    instrument = _instrument(work, what, command.instrument)
    _check_given(what, command)
    readings = tuple(
        _reading(work, what, parts, (place, text)) for place, text in enumerate(command.readings)
    )
    judged = tuple(_judge(work, what, part, readings, command.found) for part in parts)
    failed = [one for one in judged if one.verdict == FAIL]
    found = _found(what, readings, command)
    choice = _ask(work, what, found, (command.number, failed[0])) if failed else ""
    if not failed:
        _ask_far(work, what, readings, judged)
    work.record(
        Checked(
            number=command.number,
            characteristic=what.code,
            judged=judged,
            unit=what.unit,
            readings=readings,
            count=command.count,
            found=command.found,
            instrument=instrument,
            remark=" ".join(command.remark.split()),
        )
    )
    if failed:
        _settle_fail(work, command.number, failed, _said(what, found, failed[0]), choice)
    return Answer(_sentence(command.number, what, judged, choice), (command.number,))


def _parts(work: Work, number: str) -> list[_Part]:
    """What is judged, and by which product's limits. Raises Unreadable for what is no goods."""
    value = typed(number)
    if isinstance(value, ItemNumber):
        found = goods(work.connection, number)  # raises Refused for an item that was never made
        lot = found[0].lot if found else find_lot(work.connection, str(value.lot))
        return [_part(lot, value.serial, value.serial)]
    if is_lot(value):
        return [_part(find_lot(work.connection, number))]
    if is_run(value):
        run = find_run(work.connection, number)
        products = [row.product for row in lots_checked_with(work.connection, number)]
        return [_Part(product) for product in sorted(set(products) or {run.row.product})]
    if is_carrier(value):
        return _on_carrier(work, value)
    raise Unreadable(
        f"{shown(number)} cannot be checked.",
        value=number,
        expected="The label of a lot, an item, a run or a pan.",
        next_step="Scan what the sample was taken from.",
    )


def _on_carrier(work: Work, number: Number) -> list[_Part]:
    found = [_part(one.lot, one.first, one.last) for one in goods(work.connection, str(number))]
    if found:
        return found
    raise Refused(
        f"Nothing is recorded on {shown(str(number))}.",
        value=str(number),
        expected="A pan or pallet with goods on it.",
        next_step="Scan the label of the goods.",
    )


def _part(lot: Row[Any], first: int = 0, last: int = 0) -> _Part:
    if lot.voided:
        raise Refused(
            f"{shown(lot.number)} was taken back: its label is to be destroyed.",
            value=lot.number,
            expected="A lot that exists.",
            next_step="Scan the goods' new label.",
        )
    return _Part(lot.product, lot.number, first, last)


def _instrument(work: Work, what: Characteristic, number: str) -> str:
    """The instrument's number, if one is named. Raises Refused for one that does not measure this."""
    if not number:
        return ""
    instrument = work.plant.instrument(code_of(work.connection, number, "instrument"))
    if what.code not in instrument.checks:
        fitting = [one.name for one in work.plant.instruments.values() if what.code in one.checks]
        raise Refused(
            f"{instrument.name} does not measure {inside(what.name)}.",
            value=instrument.code,
            expected=f"One of: {', '.join(fitting) or 'none of the plant'}.",
            next_step="Scan the instrument that was used.",
        )
    return number


def _check_given(what: Characteristic, command: RecordCheck) -> None:
    counted = command.count > 0 and 0 <= command.found <= command.count and not command.readings
    read = bool(command.readings) and not command.count and not command.found
    if counted if what.attribute else read:
        return
    if command.count and command.found > command.count and not command.readings:
        raise Unreadable(
            f"{what.name}: {command.found} not good of {command.count} cannot be.",
            value=f"{command.count} {command.found}",
            expected="First how many were looked at, then how many of them were not good.",
            next_step="Type both again.",
        )
    raise Unreadable(
        f"{what.name}: what was found is missing.",
        value=f"{' '.join(command.readings)} {command.count} {command.found}".strip(),
        expected="How many were looked at, and how many of them were not good."
        if what.attribute
        else f"One reading or several{f', in {what.unit}' if what.unit else ''}.",
        next_step="Enter it and send it again.",
    )


def _reading(work: Work, what: Characteristic, parts: list[_Part], read: tuple[int, str]) -> str:
    """One reading as a decimal; what can be meant in two ways is settled by the limits, else asked."""
    place, text = read
    limits, _ = limits_in_force(work.connection, work.plant, what.code, parts[0].product)
    near = limits.low or limits.high
    expected = Decimal(near) if near is not None else None
    try:
        return format(read_number(text, expected, question=f"reading-{place + 1}"), "f")
    except Question as doubt:
        return work.ask(doubt.identifier, doubt.what, doubt.choices)


def _judge(work: Work, what: Characteristic, part: _Part, readings: tuple[str, ...], found: int) -> Judgement:
    limits, standing = limits_in_force(work.connection, work.plant, what.code, part.product)
    return Judgement(
        verdict=verdict_of(what, limits, readings, found),
        product=part.product,
        lot=part.lot,
        first=part.first,
        last=part.last,
        low=limits.low,
        high=limits.high,
        source=limits.source,
        confidence=limits.confidence,
        confirmed=standing.counts,
        figure=standing.event,
    )


def _ask(work: Work, what: Characteristic, found: str, on: tuple[str, Judgement]) -> str:
    """Whether what failed is to be held; `on` is the number that was checked, and a judgement that failed."""
    number, failed = on
    limits = in_words(failed.low, failed.high, what.unit)
    good = f" Good is {limits}." if limits else ""
    return work.ask(
        f"hold-{what.code}-{number}",
        f"{what.name} of {shown(number)} failed: {found}.{good} Hold it?",
        CHOICES,
    )


def _ask_far(
    work: Work, what: Characteristic, readings: tuple[str, ...], judged: tuple[Judgement, ...]
) -> None:
    """Ask once about a reading that passes by being far above its lower limit."""
    least = [Decimal(one.low) for one in judged if one.low is not None and one.high is None]
    bound = max(least, default=Decimal(0)) * FAR
    for nth, text in enumerate(readings, 1):
        if 0 < bound <= Decimal(text):
            said = f"{what.name}: {text} {what.unit} is {FAR} times the least that is good, or more."
            work.ask(f"far-{nth}-{text}", f"{said} Was it read so?", {"yes": "Yes, it was read so"})


def _found(what: Characteristic, readings: tuple[str, ...], command: RecordCheck) -> str:
    return f"{', '.join(readings)} {what.unit}".strip() or f"{command.found} of {command.count}"


def _said(what: Characteristic, found: str, failed: Judgement) -> str:
    """The reason of a hold: what was found, and what it should have been."""
    limits = in_words(failed.low, failed.high, what.unit)
    return f"{what.name} failed: {found}" + (f", good is {limits}" if limits else "")


def _settle_fail(work: Work, number: str, failed: list[Judgement], words: str, choice: str) -> None:
    """Hold what failed, or put it in question; what a run makes later is not held, so the run is asked."""
    run = run_or_none(work.connection, number)
    is_open = run is not None and run.closed is None
    if choice == "hold":
        spans = _spans(work, number, failed)
        if spans:
            first, *others = spans
            held = place(work, PlaceHold(words, *first))
            for lot, start, end in others:
                work.record(HoldRootAdded(held, lot, start, end))
        if spans and not is_open:
            return
    work.put_in_question(number, f"{words}.")


def _spans(work: Work, number: str, failed: list[Judgement]) -> list[tuple[str, int, int]]:
    """The goods that failed: of a run, all its lots of a product that failed."""
    named = [(one.lot, one.first, one.last) for one in failed if one.lot]
    if named:
        return sorted(set(named))
    products = {one.product for one in failed}
    lots = lots_checked_with(work.connection, number)
    return [(row.number, 0, 0) for row in lots if row.product in products]


def _sentence(number: str, what: Characteristic, judged: tuple[Judgement, ...], choice: str) -> str:
    verdicts = {one.verdict for one in judged}
    word = "failed" if FAIL in verdicts else "passed" if PASS in verdicts else "is noted"
    if NOTED in verdicts and len(verdicts) == 1:
        return f"{shown(number)}: {inside(what.name)} is noted; the plant gives no limit."
    doubt = "" if all(one.confirmed for one in judged) else ", by limits nobody has confirmed"
    then = {"hold": " It is on hold.", "record": " Recorded only; it is in question."}.get(choice, "")
    return f"{shown(number)}: {inside(what.name)} {word}{doubt}.{then}"


HANDLERS: dict[type, Handler] = {RecordCheck: Handler(_record)}
