"""How is a complaint opened, added to and answered?

What a customer says is recorded as it is said; nothing about it is refused because a number cannot be
read or is not ours.
"""

from dataclasses import dataclass

from lotroot.complaints.cases import Case, contact_key, find_case
from lotroot.complaints.facts import CaseAdded, CaseClosed, CaseOpened, NamedGoods
from lotroot.dispatch.shipments import find_shipment
from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.goods import typed
from lotroot.identity import ItemNumber, is_carrier, is_lot, is_run, is_shipment
from lotroot.identity.showing import shown
from lotroot.ledger.book import kept_file
from lotroot.ledger.names import give_name
from lotroot.plant.adopted import find_party
from lotroot.production.runs import find_run
from lotroot.stock.carriers import find_carrier
from lotroot.work import Answer, Handler, Work


@dataclass(frozen=True)
class OpenComplaint:
    """A customer complains: `words` as they say it.

    `numbers` are the lots, items, pallets, shipments or runs it is about; `read` is what could be read of
    a label that names none of them. `customer` is a code, empty where not known yet; `contact` is whom to
    call back; `quantity` is how much, as they tell it.
    """

    words: str
    numbers: tuple[str, ...] = ()
    read: str = ""
    customer: str = ""
    contact: str = ""
    quantity: str = ""


@dataclass(frozen=True)
class AddToComplaint:
    """More comes to a complaint: words, a file (its SHA-256), further numbers. A closed one opens again."""

    case: str
    words: str = ""
    file: str = ""
    numbers: tuple[str, ...] = ()


@dataclass(frozen=True)
class CloseComplaint:
    """The complaint is answered, in these words."""

    case: str
    answer: str


def _open(work: Work, command: OpenComplaint) -> Answer:
    if command.customer:
        find_party(work.connection, command.customer, "customer")
    words = _words(command.words, "What the customer says is missing.")
    goods = _named(work, command.numbers)
    case = work.number("X")
    read, quantity = (" ".join(text.split()) for text in (command.read, command.quantity))
    work.record(CaseOpened(case, words, command.customer, read, quantity, goods))
    if command.contact.strip():
        give_name(work.connection, contact_key(case), " ".join(command.contact.split()))
    return Answer(f"Complaint {shown(case)} is open{_of(goods)}.", (case, *(one.number for one in goods)))


def _add(work: Work, command: AddToComplaint) -> Answer:
    found = find_case(work.connection, command.case)
    known = {row.number for row in found.numbers}
    goods = tuple(one for one in _named(work, command.numbers) if one.number not in known)
    words = " ".join(command.words.split())
    if command.file and kept_file(work.connection, command.file) is None:
        raise Unknown(
            "This file was not kept.",
            value=command.file[:12],
            expected="A file that was uploaded before.",
            next_step="Upload it again.",
        )
    if not (words or command.file or goods):
        raise Refused(
            f"There is nothing new for {shown(command.case)}.",
            word="already" if command.numbers else "wrong",
            value=command.case,
            expected="Words, a file, or goods it does not name yet.",
            next_step="Enter what came in.",
        )
    work.record(CaseAdded(command.case, words, command.file, goods))
    again = " It is open again." if found.row.state == "closed" else ""
    return Answer(f"Added to {shown(command.case)}{_of(goods)}.{again}", (command.case,))


def _close(work: Work, command: CloseComplaint) -> Answer:
    found = find_case(work.connection, command.case)
    _refuse_closed(work, found)
    answer = _words(command.answer, "The answer to the customer is missing.")
    work.record(CaseClosed(command.case, answer))
    return Answer(f"Complaint {shown(command.case)} is closed.", (command.case,))


def _refuse_closed(work: Work, found: Case) -> None:
    if found.row.state == "closed":
        raise Refused(
            f"Complaint {shown(found.row.number)} was closed, {work.local_time(found.row.closed)}.",
            word="already",
            value=found.row.number,
            expected="An open complaint.",
            next_step="If more came in, add it; that opens it again.",
        )


def _words(text: str, missing: str) -> str:
    words = " ".join(text.split())
    if not words:
        raise Unreadable(missing, expected="A few words.", next_step="Enter them.")
    return words


def _of(goods: tuple[NamedGoods, ...]) -> str:
    return f", of {', '.join(shown(one.number) for one in goods)}" if goods else ""


def _named(work: Work, numbers: tuple[str, ...]) -> tuple[NamedGoods, ...]:
    return tuple(_goods(work, number) for number in dict.fromkeys(numbers))


def _goods(work: Work, number: str) -> NamedGoods:
    """A known number as it is complained of. Raises Unknown for one that nobody gave."""
    value = typed(number)
    if isinstance(value, ItemNumber):
        return NamedGoods(number, str(find_lot(work.connection, str(value.lot)).number))
    if is_lot(value):
        return NamedGoods(number, str(find_lot(work.connection, number).number))
    if is_carrier(value):
        return NamedGoods(str(find_carrier(work.connection, number).number))
    if is_shipment(value):
        return NamedGoods(str(find_shipment(work.connection, number).row.number))
    if is_run(value):
        return NamedGoods(find_run(work.connection, number).number)
    raise Unreadable(
        f"{shown(number)} is no goods.",
        value=number,
        expected="A lot, an item, a pallet, a shipment or a run.",
        next_step="Leave it out, or enter what can be read of the label.",
    )


HANDLERS: dict[type, Handler] = {
    OpenComplaint: Handler(_open),
    AddToComplaint: Handler(_add),
    CloseComplaint: Handler(_close),
}
