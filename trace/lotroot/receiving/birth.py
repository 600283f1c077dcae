"""What is a lot from outside born with, and how is its birth recorded?"""

from collections.abc import Iterable
from typing import NamedTuple

from lotroot.errors import Unreadable
from lotroot.genealogy.events import LotBorn
from lotroot.genealogy.lots import next_rank
from lotroot.holds.handling import PlaceHold
from lotroot.holds.handling import place as place_hold
from lotroot.holds.reach import held_by
from lotroot.identity.showing import shown
from lotroot.plant.adopted import code_of, number_of, thing_or_none
from lotroot.processes.definition import Kind, Plant, Product
from lotroot.receiving.commands import HOWS, Measured
from lotroot.receiving.details import COIL, NOTHING, checked_amount, follow
from lotroot.receiving.facts import Details, LotReceived
from lotroot.stock.events import BORN, Move, Moved
from lotroot.stock.typed import typed_by
from lotroot.work import LabelRequest, Work

MOST_ITEMS = 9_999
DUE_NOTE = "DETAILS DUE"
"""What stands in the band of an emergency receipt's label (ours)."""

STORES = ("yard", "rack")
"""The uses of a place where goods that come in are put, the likelier first."""


class Amounts(NamedTuple):
    """What is there: in the unit of its kind, as mass where the kind has one beside, and as items."""

    amount: int
    how: str
    mass: int | None
    mass_how: str
    items: int
    typed_by: str = ""

    @property
    def known(self) -> bool:
        """Whether anything was told at all."""
        return self.amount > 0

    @property
    def weighed_by(self) -> str:
        """Who typed what was weighed, scale or hand; empty where nothing was, or nobody knows."""
        return self.typed_by if "weighed" in (self.how, self.mass_how) else ""


class Birth(NamedTuple):
    """All that is decided about a new lot but its number."""

    kind: Kind
    product: Product
    amounts: Amounts
    details: Details
    place: str
    source: str


def reckon(kind: Kind, product: Product, measured: Measured, theirs: int) -> Amounts:
    """The amounts of a lot as they were told; zeros where nothing was. Raises Unreadable.

    `theirs` is the mass on the supplier's tag, which stands in where ours is not told.
    """
    for name, unit in (("amount", kind.unit), ("mass", "g"), ("items", "pcs")):
        checked_amount(name, getattr(measured, name), unit)
    if measured.how not in HOWS:
        raise _unfit("How the amount is known", measured.how, f"One of: {', '.join(HOWS)}.")
    items, by = _items(kind, measured), typed_by(measured.typed_by)
    by_items = (items * (product.item_amount or 0), "counted")
    # Pieces are counted: a weight that stands beside them says nothing about how.
    how = "counted" if kind.unit == "pcs" and measured.how == "weighed" else measured.how
    if kind.unit == "g":
        told = [(_one(measured.amount, measured.mass), how), (theirs, "theirs"), by_items]
    else:
        told = [(measured.amount, how), by_items]
    amount, known = next(((each, so) for each, so in told if each), (0, "estimated"))
    checked_amount("amount", amount, kind.unit)  # items times what one is of
    mass = (measured.mass or theirs) if kind.mass else 0
    return Amounts(amount, known, mass or None, _mass_how(measured, mass), items, by)


def ours(kind: Kind, amounts: Amounts) -> int:
    """Our own mass in g, 0 where we have none but theirs."""
    if kind.unit == "g":
        return 0 if amounts.how == "theirs" else amounts.amount
    return 0 if amounts.mass_how == "theirs" else (amounts.mass or 0)


def bear(work: Work, birth: Birth, number: str = "") -> str:
    """Record a new lot at its place; returns its number, the given one or a new one."""
    given = number or work.number(birth.kind.letter)
    amounts = birth.amounts
    work.record(
        LotBorn(
            number=given,
            kind=birth.kind.code,
            product=birth.product.code,
            unit=birth.kind.unit,
            amount=amounts.amount,
            how=amounts.how,
            rank=next_rank(work.connection),
            mass=amounts.mass,
            mass_how=amounts.mass_how,
            axis=birth.kind.axis,
            items=amounts.items,
            source=birth.source,
            typed_by=amounts.weighed_by,
        )
    )
    first = 1 if amounts.items else 0
    work.record(Moved((Move(given, BORN, birth.place, amounts.amount, first, amounts.items),)))
    work.record(LotReceived(given, birth.details))
    follow(work, given, NOTHING, birth.details)
    return given


def label(work: Work, number: str, items: int, details: Details) -> None:
    """Ask for a label of a lot from outside, or of its items; the band says a hold, else what is due."""
    due = details.due and not held_by(work.connection, number)
    work.label(LabelRequest(number, 1 if items else 0, items, note=DUE_NOTE if due else ""))


def hold_at_once(work: Work, number: str, reason: str) -> None:
    """Hold a lot for a button's reason or for words."""
    place_hold(work, PlaceHold(words_of(work.plant, reason), number))


def held_words(work: Work, numbers: Iterable[str]) -> str:
    """That lots are held from the start, by a standing hold that means them too; empty for free ones."""
    reached = {number: held_by(work.connection, number) for number in numbers}
    held = [number for number, some in reached.items() if some]
    why = "; ".join(dict.fromkeys(one.reason for number in held for one in reached[number]))
    which = f" ({', '.join(shown(number) for number in held)})" if len(reached) > 1 else ""
    return f" On hold{which}: {why}." if held else ""


def words_of(plant: Plant, reason: str) -> str:
    """The words of a button, or the words given. Raises Unreadable for none."""
    words = plant.reasons[reason].words if reason in plant.reasons else reason.strip()
    if not words:
        raise _unfit("The reason", reason, "A few words, or a button.")
    return words


def store(work: Work, place: str) -> str:
    """The number of the place named, else the station's, else of the first yard, rack or other place."""
    if place:
        code_of(work.connection, place, "place")
        return place
    thing = thing_or_none(work.connection, work.posting.station) if work.posting.station else None
    if thing is not None and thing.kind == "station" and thing.code in work.plant.stations:
        return number_of(work.connection, "place", work.plant.stations[thing.code].place)
    places = list(work.plant.places.values())
    if not places:
        raise _unfit("The place", "", "A plant with at least one place.")
    by_use = [one for use in STORES for one in places if one.use == use]
    return number_of(work.connection, "place", [*by_use, *places][0].code)


def usual(plant: Plant, kind: str, number: str) -> Product:
    """What an emergency receipt is taken for until it is told: the first product of the kind named, of
    the letter of the number given, or of the coils.
    """
    letter = number[:1] or COIL
    if kind:
        fitting = [plant.kind(kind).code]
    else:
        fitting = [one.code for one in plant.kinds.values() if one.letter == letter]
    for code in fitting:
        for product in plant.products.values():
            if product.kind == code:
                return product
    raise _unfit("What came", kind or letter, "A kind of which this plant has a product.")


def _items(kind: Kind, measured: Measured) -> int:
    wanted = kind.axis == "serial"
    if not (1 <= measured.items <= MOST_ITEMS if wanted else measured.items == 0):
        expected = f"1 to {MOST_ITEMS} items." if wanted else "No items: a lot of this kind is one piece."
        raise _unfit(f"The number of items of {kind.name}", str(measured.items), expected)
    return measured.items


def _one(amount: int, mass: int) -> int:
    if amount and mass and amount != mass:
        raise _unfit("The mass", f"{amount} and {mass}", "One mass of ours, in g.")
    return amount or mass


def _mass_how(measured: Measured, mass: int) -> str:
    if not mass:
        return ""
    return "weighed" if measured.mass else "theirs"


def _unfit(what: str, value: str, expected: str) -> Unreadable:
    return Unreadable(
        f"{what} does not fit.", value=value, expected=expected, next_step="Correct it and send it again."
    )
