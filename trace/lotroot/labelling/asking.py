"""How is a label asked for as a customer wants it?"""

from dataclasses import dataclass

from lotroot.errors import Refused
from lotroot.identity.showing import shown
from lotroot.labelling.customers import GOODS, lacking, outside_fields, wanted_layout
from lotroot.labelling.handling import check_printable
from lotroot.labelling.outside import FOR
from lotroot.labelling.printed import MOST_COPIES, next_copy, split
from lotroot.ledger.events import event
from lotroot.ledger.names import name_of
from lotroot.plant.adopted import find_party
from lotroot.work import Answer, Handler, LabelRequest, Work


@dataclass(frozen=True)
class PrintForCustomer:
    """A label is wanted as a customer wants it, of a pallet, a lot, or the items first to last of a lot.

    `layout` where it is not the one that plant.toml chooses for them.
    """

    number: str
    customer: str
    first: int = 0
    last: int = 0
    layout: str = ""


@event
@dataclass(frozen=True)
class CustomerLabelAsked:
    """Somebody wants a label as a customer wants it; it is the number's label `copy`."""

    number: str
    customer: str
    layout: str
    copy: int
    first: int = 0
    last: int = 0


def _print_for(work: Work, command: PrintForCustomer) -> Answer:
    number, serial = split(command.number)
    first, last = (serial, serial) if serial else (command.first, command.last)
    if number[0] not in GOODS:
        raise Refused(
            f"{shown(number)} is nothing a customer gets.",
            value=shown(number),
            expected="A lot, an item or a pallet.",
            next_step="Open the page of the goods.",
        )
    check_printable(work, number, first, last)
    find_party(work.connection, command.customer, "customer")
    request = LabelRequest(number, first, last, layout=command.layout, told={FOR: command.customer})
    layout = command.layout or wanted_layout(work.connection, work.plant, request)
    _refuse_lacking(work, request, layout)
    copy = next_copy(work.connection, number, first, last)
    if copy > MOST_COPIES:
        raise Refused(
            f"{shown(number)} has been printed {MOST_COPIES} times.",
            value=shown(number),
            expected=f"At most {MOST_COPIES} labels of a number.",
            next_step="Call the supervisor: something else is wrong here.",
        )
    work.record(CustomerLabelAsked(number, command.customer, layout, copy, first, last))
    work.label(request)
    name = name_of(work.connection, command.customer)
    return Answer(f"The label of {shown(number)} for {name} is printed.", (number,))


def _refuse_lacking(work: Work, request: LabelRequest, layout: str) -> None:
    if not layout:
        raise Refused(
            f"No layout is chosen for {name_of(work.connection, request.told[FOR])} and these goods.",
            value=shown(request.number),
            expected="A layout named here, or a [layout_choice] in plant.toml.",
            next_step="Choose one from the list, or print the usual label again.",
        )
    missing = lacking(layout, outside_fields(work.connection, work.plant, request))
    if missing:
        raise Refused(
            f"Layout {layout} cannot be used for {shown(request.number)}: it lacks {missing}.",
            value=layout,
            expected="A closed pallet; prefix and GTINs in plant.toml; the customer's item code.",
            next_step="See under Layouts what is missing, or print the usual label.",
        )


HANDLERS: dict[type, Handler] = {PrintForCustomer: Handler(_print_for)}
