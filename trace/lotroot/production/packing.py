"""How are items recorded that were made under labels printed before?

Packing scans the first and the last label used and names the spoiled ones between.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import LotGrew
from lotroot.genealogy.lots import find_lot
from lotroot.identity.showing import shown
from lotroot.production.amounts import Amounts, amounts_of
from lotroot.production.block_facts import ItemsSpoiled, LabelsReturned
from lotroot.production.doubting import keep
from lotroot.production.making import (
    Made,
    MakeOutput,
    Making,
    ask_amount,
    doubt_of,
    make_output,
    making,
    put_down,
)
from lotroot.production.painted import ask_paint
from lotroot.production.relinking import relink
from lotroot.production.runs import Run, find_run, refuse_closed
from lotroot.production.serials import BlockAccount, block_account, block_of, in_words, row_of_labels, spans
from lotroot.production.weighing import net_of_item
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, Work


@dataclass(frozen=True)
class PackItems:
    """Items were made under labels of a block: `first` to `last` (item numbers, `last` empty for one).

    `spoiled` are the serials between whose labels went to waste. `weights` are the net grams of the
    items one by one, in order, without the spoiled ones; `gross` is what the scale shows of one item with
    what it is packed in. `typed_by` is scale or hand, empty where it is not known who typed them.
    """

    first: str
    last: str = ""
    spoiled: tuple[int, ...] = ()
    weights: tuple[int, ...] = ()
    typed_by: str = ""
    gross: int = 0


class _Packed(NamedTuple):
    """The labels a person named: their lot, block and serials, and what their items weigh."""

    lot: Row[Any]
    block: Row[Any]
    used: list[int]
    weights: tuple[int, ...] = ()
    typed_by: str = ""
    gross: int = 0


def pack_items(work: Work, command: PackItems) -> Answer:
    """Record items made under their printed labels."""
    packed = _packed(work, command)
    run = find_run(work.connection, packed.block.run)
    refuse_closed(run.row)
    number = str(packed.lot.number)
    if command.spoiled:
        work.record(ItemsSpoiled(run.number, number, tuple(sorted(set(command.spoiled)))))
    if packed.used and packed.lot.sealed:
        return _under_new_labels(work, run, packed)
    net = _make(work, run, packed)
    wasted = f" Destroy the labels {in_words(command.spoiled)}." if command.spoiled else ""
    return Answer(f"{shown(number)}, {_said(work, packed, net)}.{wasted}", (number, run.number))


def _said(work: Work, packed: _Packed, net: int) -> str:
    """Which items, and what they were weighed with."""
    if not packed.used:
        return "nothing packed"
    items = f"{'item' if len(packed.used) == 1 else 'items'} {in_words(packed.used)}"
    if not (packed.weights or packed.gross):
        return items
    tared = f" ({work.show(packed.gross, 'g')} gross less {work.show(packed.gross - net, 'g')})"
    return f"{items}, {work.show(net, 'g')}{tared if packed.gross else ''}"


def _make(work: Work, run: Run, packed: _Packed) -> int:
    """One output for each row of serials that follow each other, then the run's links.

    Returns what they were weighed with together, net grams; 0 where they were counted.
    """
    what = making(work, run, packed.block.output, packed.lot.product)
    packed = _net(work, what, packed)
    made: list[tuple[int, int, MakeOutput, Amounts]] = []
    for first, last in spans(packed.used):
        before = packed.used.index(first)
        mine = packed.weights[before : before + last - first + 1]
        given = MakeOutput(count=last - first + 1, weights=mine, typed_by=packed.typed_by)
        amounts = amounts_of(work, what, given)
        if packed.gross:
            amounts = amounts._replace(gross=packed.gross, tare=packed.gross - sum(mine))
        made.append((first, last, given, amounts))
    more = ask_amount(work, run, what.output, sum(amounts.amount for *_, amounts in made))
    if made and not more:
        together = MakeOutput(count=len(packed.used), weights=packed.weights)
        doubt = doubt_of(work, run, what, (amounts_of(work, what, together), together))
        keep(work, run, doubt and doubt.of(packed.used[0], packed.used[-1]), str(packed.lot.number))
    for first, last, given, amounts in made:
        grew = LotGrew(packed.lot.number, amounts.own, amounts.mass, packed_first=first, packed_last=last)
        work.record(grew)
        output = Made(what.output, packed.lot.number, first, last, 0, born=False)
        # Read anew, so that the next row of serials begins where this one ended.
        put_down(work, find_run(work.connection, run.number), output, amounts, given)
    relink(work, run.number)
    for first, last in spans(packed.used):
        ask_paint(work, run, (packed.lot.number, first, last))
    return sum(packed.weights)


def _net(work: Work, what: Making, packed: _Packed) -> _Packed:
    """With the net weight of an item that was weighed in what it is packed in."""
    if not packed.gross:
        return packed
    given = MakeOutput(gross=packed.gross, weights=packed.weights)
    return packed._replace(weights=(net_of_item(work, what.output, what.product, given),))


def _under_new_labels(work: Work, run: Run, packed: _Packed) -> Answer:
    """The lot has been used since its labels were printed, so it grows no more (RULES 9): the items get
    labels of the lot that the run goes on under, and the old labels are destroyed."""
    for first, last in spans(packed.used):
        work.record(LabelsReturned(run.number, packed.lot.number, first, last))
    again = MakeOutput(
        output=packed.block.output,
        run=run.number,
        product=packed.lot.product,
        count=len(packed.used),
        weights=packed.weights,
        typed_by=packed.typed_by,
        gross=packed.gross,
    )
    answer = make_output(work, again)
    old = f"{in_words(packed.used)} of {shown(packed.lot.number)}"
    say = f"{answer.say} Stick the new labels over {old}: that lot is in use and closed to more."
    return Answer(say, answer.numbers)


def _packed(work: Work, command: PackItems) -> _Packed:
    number, serials = row_of_labels(command.first, command.last)
    lot = find_lot(work.connection, number)
    account = block_account(work.connection, number)
    used = [serial for serial in serials if serial not in command.spoiled]
    _refuse_unfit(number, serials, account, command.spoiled)
    told = 1 if command.gross else len(command.weights)
    if told and told != len(used):
        raise Unreadable(
            "There are not as many weights as items.",
            value=str(told),
            expected=f"{len(used)}, one an item, without the spoiled ones.",
            next_step="Enter the weight of each, or none.",
        )
    by = typed_by(command.typed_by) if told else ""
    block = block_of(work.connection, number, serials)
    return _Packed(lot, block, used, command.weights, by, command.gross)


def _refuse_unfit(number: str, serials: range, account: BlockAccount, spoiled: tuple[int, ...]) -> None:
    named = frozenset(serials)
    if not named.issuperset(spoiled):
        raise Unreadable(
            f"Spoiled labels lie outside {serials[0]} to {serials[-1]}.",
            value=in_words(frozenset(spoiled) - named),
            expected="Serials between the first and the last label.",
            next_step="Scan the first and the last label again.",
        )
    if named <= account.used | account.spoiled and named & account.used:
        raise Refused(
            f"{shown(number)}: {in_words(serials)} are recorded already.",
            word="already",
            value=in_words(serials),
            expected="Labels not used yet.",
            next_step="Go on; nothing was recorded again.",
        )
    gone = {
        "was not printed in a block": named - account.printed,
        "is packed already": named & account.used,
        "was given up as spoiled": named & account.spoiled,
        "was returned to be destroyed": named & account.returned,
    }
    for words, some in gone.items():
        if some:
            raise Refused(
                f"{shown(number)}: label {in_words(some)} {words}.",
                value=in_words(some),
                expected=f"Labels in hand: {in_words(account.open) or 'none'}.",
                next_step="Scan the labels in hand; goods under any other label get new ones by count.",
            )
