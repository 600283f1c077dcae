"""How does an emergency label answer for goods that have a number, and how is one struck off?"""

from dataclasses import dataclass

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.goods import typed
from lotroot.identity import ItemNumber, Number, is_carrier, is_lot, number_from
from lotroot.identity.showing import shown
from lotroot.pads.labels import require_free
from lotroot.reserved import PadLabelAnswered, PadLabelDestroyed, spent_label
from lotroot.stock.carriers import find_carrier
from lotroot.work import Answer, Handler, Work

MOST_AT_ONCE = 500
"""As many as a pad has."""


@dataclass(frozen=True)
class AnswerWithPad:
    """The goods `number` (a lot, an item, a carrier) have no label of their own: they got the one `pad`.

    Whoever scans it from now on means those goods; it is used up, and counts as their label's first scan.
    """

    number: str
    pad: str


@dataclass(frozen=True)
class DestroyPadLabels:
    """These labels kept ready are no more: torn, lost, thrown away. Their numbers are refused from now on."""

    numbers: tuple[str, ...]
    reason: str


def answer_with_pad(work: Work, command: AnswerWithPad) -> Answer:
    """Let an emergency label stand for goods."""
    goods = _goods(work, command.number)
    pad = number_from(command.pad)
    known = spent_label(work.connection, str(pad))
    if known is not None and known.goods == goods:
        raise Refused(
            f"{pad.shown} is on {shown(goods)} already, since {work.local_time(known.at)}.",
            word="already",
            value=str(pad),
            expected="A label that is not on anything yet.",
            next_step="Go on.",
        )
    require_free(work, pad)
    work.record(PadLabelAnswered(goods, str(pad)))
    return Answer(f"{pad.shown} means {shown(goods)} from now on.", (goods, str(pad)))


def destroy_pad_labels(work: Work, command: DestroyPadLabels) -> Answer:
    """Strike labels off, all of them or none."""
    reason = command.reason.strip()
    numbers = tuple(dict.fromkeys(command.numbers))
    if not reason or not 1 <= len(numbers) <= MOST_AT_ONCE:
        raise Unreadable(
            "No label was struck off." if reason else "Why the labels are no more was not said.",
            value=f"{len(numbers)} labels",
            expected=f"1 to {MOST_AT_ONCE} labels and the reason: torn, lost, thrown away ...",
            next_step="Choose the labels and the reason.",
        )
    for text in numbers:
        require_free(work, number_from(text))
        work.record(PadLabelDestroyed(text, reason))
    few = shown(numbers[0]) if len(numbers) == 1 else f"{len(numbers)} labels"
    return Answer(f"{few} will not be used any more: {reason}.", numbers)


def _goods(work: Work, text: str) -> str:
    """The canonical number of goods that are here to be labelled. Raises LotrootError."""
    number = typed(text)
    if isinstance(number, Number) and is_carrier(number):
        return str(find_carrier(work.connection, text).number)
    if not isinstance(number, ItemNumber) and not is_lot(number):
        raise Unreadable(
            f"{shown(text)} is nothing that gets an emergency label.",
            value=text,
            expected="The number of a lot, an item, a pan or a pallet.",
            next_step="Choose the goods from the list of what has no label.",
        )
    lot = find_lot(work.connection, str(number.lot) if isinstance(number, ItemNumber) else text)
    if lot.voided:
        raise Refused(
            f"{shown(lot.number)} was taken back: it never was.",
            value=text,
            expected="Goods that stand.",
            next_step="Record the goods again with the emergency label.",
        )
    if isinstance(number, ItemNumber) and number.serial > lot.items:
        raise Refused(
            f"{shown(lot.number)} has no item {number.serial} yet.",
            value=text,
            expected=f"Items 1 to {lot.items}.",
            next_step="Record the items first.",
        )
    return str(number)


HANDLERS: dict[type, Handler] = {
    AnswerWithPad: Handler(answer_with_pad, labels=("pad",)),
    DestroyPadLabels: Handler(destroy_pad_labels, labels=("numbers",)),
}
