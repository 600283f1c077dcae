"""How much came out, where the scale shows the goods with the pan or the carton they are in?

Net is what the scale shows, less the tare of the carrier in force at that time, less what the carrier held
before and still holds. Gross and tare are kept with the output, so that a tare corrected later can be seen.
"""

from typing import Any, NamedTuple, Protocol

from sqlalchemy import Row

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.lots import find_lot
from lotroot.processes.definition import Output, Product
from lotroot.production.amounts import in_unit
from lotroot.production.filling import still_in
from lotroot.stock.carriers import find_carrier
from lotroot.stock.standing import at_spot
from lotroot.stock.tares import tare_at
from lotroot.work import Work


class OnTheScale(Protocol):
    """What was given: grams gross with the carrier, or net."""

    @property
    def gross(self) -> int:
        """Grams, carrier and all; 0 where the weight is net."""

    @property
    def weight(self) -> int:
        """Net grams."""

    @property
    def count(self) -> int:
        """Pieces or items."""

    @property
    def weights(self) -> tuple[int, ...]:
        """Net grams of items weighed one by one."""

    @property
    def carrier(self) -> str:
        """The pan, spool or tram it went into."""


class Net(NamedTuple):
    """Net grams, and the tare that was taken off to get them."""

    grams: int
    tare: int


def net_of(work: Work, output: Output, given: OnTheScale, growing: str) -> Net:
    """The net weight of goods weighed with their carrier; `growing` is the lot they go onto, if it stands.

    Raises Unreadable or Refused where the figures do not give one.
    """
    _refuse_unfit(output, given)
    carrier = find_carrier(work.connection, given.carrier)
    name, gross = work.called(carrier), work.show(given.gross, "g")
    known = work.plant.carriers.get(carrier.code)
    tare = tare_at(work.connection, carrier.number, work.happened, known.tare_g if known else None)
    if tare is None:
        raise Refused(
            f"Nobody knows what {name} weighs empty, so {gross} gross tells nothing.",
            value=name,
            expected="A carrier that was weighed empty.",
            next_step=f"Weigh {name} empty on the page of tares, or type the net weight as “480 net”.",
        )
    rest = sum(_grams(work, row) for row in _held(work, carrier.number, growing))
    grams = given.gross - tare.grams - rest
    if grams <= 0:
        held = f" and holds {work.show(rest, 'g')} already" if rest else ""
        raise Unreadable(
            f"{gross} gross leaves nothing: {name} weighs {work.show(tare.grams, 'g')} empty{held}.",
            value=gross,
            expected="The weight of the goods with what they are in.",
            next_step="Read the scale again. If it takes the tare off itself, type: 480 net.",
        )
    return Net(grams, tare.grams)


def net_of_item(work: Work, output: Output, product: Product, given: OnTheScale) -> int:
    """The net grams of one item weighed with what it is packed in, by the tare the plant gives its product.

    Raises Unreadable or Refused where the figures do not give one.
    """
    gross = work.show(given.gross, "g")
    if given.weight or given.weights or given.count > 1:
        raise Unreadable(
            f"{output.name}: a gross weight is of one alone.",
            value=gross,
            expected="The gross weight of one, or net weights.",
            next_step="Enter one of them.",
        )
    if product.tare_g is None:
        raise Refused(
            f"Nobody knows what {product.name} is packed in weighs, so {gross} gross tells nothing.",
            value=gross,
            expected="tare_g of the product in plant.toml.",
            next_step="Enter the net weight, and have the empty packing weighed.",
        )
    if given.gross <= product.tare_g:
        raise Unreadable(
            f"{gross} gross leaves nothing: empty it weighs {work.show(product.tare_g, 'g')}.",
            value=gross,
            expected="The weight of the goods with what they are packed in.",
            next_step="Read the scale again and type the number.",
        )
    return given.gross - product.tare_g


def _refuse_unfit(output: Output, given: OnTheScale) -> None:
    if given.weight or given.weights or "weight" not in output.asks:
        raise Unreadable(
            f"{output.name}: a gross weight does not go with this.",
            value=str(given.gross),
            expected="Gross with its carrier, or net." if "weight" in output.asks else "No weight.",
            next_step="Enter one of them.",
        )
    if not given.carrier:
        raise Refused(
            f"{output.name}: a gross weight needs what it was weighed in.",
            value=str(given.gross),
            expected=f"The {output.carrier or 'carrier'} that stood on the scale.",
            next_step="Scan it, or type the net weight as “480 net”.",
        )


def _held(work: Work, carrier: str, growing: str) -> list[Row[Any]]:
    """What of the weight was in the carrier before: more of the same lot, and what is topped up."""
    mine = [row for row in at_spot(work.connection, carrier) if growing and row.lot == growing]
    return [*mine, *still_in(work, growing, carrier)]


def _grams(work: Work, row: Row[Any]) -> int:
    return in_unit(work, find_lot(work.connection, row.lot), "g", row)
