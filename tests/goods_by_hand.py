"""How does a test get goods of any kind into a house, without the feature that would make them?

`LayDown` is a command of the tests with a real handler: it goes through the same door, records the same
events and queues labels as every other.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from lotroot.genealogy.events import AliasGiven, LotBorn
from lotroot.genealogy.lots import next_rank
from lotroot.posting.features import HANDLERS
from lotroot.receiving.facts import Details, LotReceived
from lotroot.stock.events import BORN, ItemsWeighed, Move, Moved, SerialWeight
from lotroot.work import Answer, Handler, LabelRequest, Work


@dataclass(frozen=True)
class LayDown:
    """A lot of a product lies at a place, with its label or those of its items."""

    product: str
    amount: int
    place: str
    items: int = 0
    mass: int = 0
    source: str = "received"
    heat: str = ""
    weights: tuple[int, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class UseUp:
    """Some of a lot goes to scrap."""

    number: str
    amount: int
    place: str


@dataclass(frozen=True)
class AskLabel:
    """A label of any number is wanted, a new one of a family where only its letter is given."""

    number: str


def _lay_down(work: Work, command: LayDown) -> Answer:
    product = work.plant.product(command.product)
    kind = work.plant.kind(product.kind)
    number = work.number(kind.letter)
    work.record(
        LotBorn(
            number=number,
            kind=kind.code,
            product=product.code,
            unit=kind.unit,
            amount=command.amount,
            how="weighed",
            rank=next_rank(work.connection),
            mass=command.mass or None,
            axis="serial" if command.items else "amount",
            items=command.items,
            source=command.source,
        )
    )
    first, last = (1, command.items) if command.items else (0, 0)
    work.record(Moved((Move(number, BORN, command.place, command.amount, first, last),)))
    if command.heat:
        work.record(LotReceived(number, Details("bellmead", "TK-88213-04", (command.heat,))))
    if command.weights:
        weighed = tuple(SerialWeight(serial, amount) for serial, amount in enumerate(command.weights, 1))
        work.record(ItemsWeighed(number, weighed))
    work.label(LabelRequest(number, first, last, note=command.note))
    return Answer("It lies there.", (number,))


def _use_up(work: Work, command: UseUp) -> Answer:
    work.record(Moved((Move(command.number, command.place, "scrap", command.amount),)))
    return Answer("It is gone.", (command.number,))


def _ask_label(work: Work, command: AskLabel) -> Answer:
    number = command.number if len(command.number) > 1 else work.number(command.number)
    work.record(AliasGiven("label", "asked", number))
    work.label(LabelRequest(number))
    return Answer("It is queued.", (number,))


@contextmanager
def by_hand() -> Iterator[None]:
    """The commands above can be posted while the block lasts."""
    HANDLERS[LayDown] = Handler(_lay_down, internal=True)
    HANDLERS[UseUp] = Handler(_use_up, internal=True)
    HANDLERS[AskLabel] = Handler(_ask_label, internal=True)
    try:
        yield
    finally:
        del HANDLERS[LayDown], HANDLERS[UseUp], HANDLERS[AskLabel]
