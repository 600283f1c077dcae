"""What is a number of ours, once it has been read or given?

A value of these types is valid by existing: its family is known, its parts are within range and its
check digits are worked out, never stored. Text as people and readers send it is `reading`'s matter;
`number_from` and `item_from` take the canonical text only, as the database and events hold it.

    R2600012383         Number      R26-000123-83          family, year, running number, check pair
    R2600012383001720   ItemNumber  R26-000123-83-0017-20  its lot, serial, check pair over all 15
    H1234567890123403   Badge                              14 random digits, check pair over all 15
"""

import re
from dataclasses import dataclass, field

from lotroot.errors import Unreadable
from lotroot.identity.checks import pair_for
from lotroot.identity.families import LETTERS, LOT_FAMILIES, Family

MOST_RUNNING = 999_999
MOST_SERIAL = 9_999

_NUMBER = re.compile("[A-Z][0-9]{10}")
_ITEM = re.compile("[A-Z][0-9]{16}")
_BADGE = re.compile("H[0-9]{16}")


@dataclass(frozen=True, slots=True, order=True)
class Number:
    """The number of a lot, run, carrier, shipment, person, thing or case.

    `letter` is the family's, `year` the two digits of the year of giving, `running` counts from 1 in
    that letter and year. Raises Unreadable where one of them is out of range.
    """

    letter: str
    year: int
    running: int

    def __post_init__(self) -> None:
        if self.letter not in LETTERS:
            raise Unreadable(
                f"{self.letter} is no letter of our numbers.",
                value=self.letter,
                expected=f"Numbers begin with one of {' '.join(sorted(LETTERS))}.",
                next_step="Scan the label again.",
            )
        if not 0 <= self.year <= 99 or not 1 <= self.running <= MOST_RUNNING:
            raise Unreadable(
                f"There is no number {self.running} of year {self.year} in family {self.letter}.",
                value=f"{self.year} {self.running}",
                expected=f"Years have two digits, running numbers go from 1 to {MOST_RUNNING}.",
                next_step="Scan the label again.",
            )

    @property
    def family(self) -> Family:
        """What kind of thing the number is given to."""
        return Family(self.letter)

    @property
    def body(self) -> str:
        """The number without its check pair, nine characters."""
        return f"{self.letter}{self.year:02d}{self.running:06d}"

    @property
    def shown(self) -> str:
        """For people: R26-000123-83."""
        return f"{self.letter}{self.year:02d}-{self.running:06d}-{pair_for(self.body)}"

    def __str__(self) -> str:
        """Canonical, as stored and as in symbols: R2600012383."""
        return self.body + pair_for(self.body)


@dataclass(frozen=True, slots=True, order=True)
class ItemNumber:
    """One numbered unit of a lot: box 17, roll 3. Its lot is read off it without a look-up."""

    lot: Number
    serial: int

    def __post_init__(self) -> None:
        if self.lot.family not in LOT_FAMILIES:
            raise Unreadable(
                f"A {self.lot.family.word} has no items.",
                value=str(self.lot),
                expected="Items belong to a lot.",
                next_step="Scan the label of the lot or of the item.",
            )
        if not 1 <= self.serial <= MOST_SERIAL:
            raise Unreadable(
                f"Lot {self.lot.shown} cannot have an item {self.serial}.",
                value=str(self.serial),
                expected=f"Serials go from 1 to {MOST_SERIAL}.",
                next_step="Go on under a new lot.",
            )

    @property
    def body(self) -> str:
        """The number without its own check pair, 15 characters."""
        return f"{self.lot}{self.serial:04d}"

    @property
    def shown(self) -> str:
        """For people: R26-000123-83-0017-20."""
        return f"{self.lot.shown}-{self.serial:04d}-{pair_for(self.body)}"

    def __str__(self) -> str:
        """Canonical, as stored and as in symbols: R2600012383001720."""
        return self.body + pair_for(self.body)


@dataclass(frozen=True, slots=True)
class Badge:
    """What a person's badge says: 14 random digits that lead to the person while it is not revoked.

    The digits are a secret and stay out of `repr`. They are drawn by whoever gives out the badge.
    """

    digits: str = field(repr=False)

    def __post_init__(self) -> None:
        if not re.fullmatch("[0-9]{14}", self.digits):
            raise Unreadable(
                "This is no badge.",
                expected="A badge is H, 14 digits and two check digits.",
                next_step="Scan the badge again.",
            )

    def __str__(self) -> str:
        """Canonical, as in the badge's symbol, 17 characters."""
        body = f"{Family.PERSON}{self.digits}"
        return body + pair_for(body)


def make(letter: str, year: int, running: int) -> Number:
    """The number that `running` of `letter` in `year` is; a year of four digits counts by its last two."""
    return Number(letter, year % 100, running)


def number_from(text: str) -> Number:
    """The number whose canonical text is `text` (R2600012383). Raises Unreadable."""
    if _NUMBER.fullmatch(text):
        number = Number(text[0], int(text[1:3]), int(text[3:9]))
        if pair_for(number.body) == text[9:]:
            return number
    raise _not_proved(text, "number", "a letter, eight digits and two check digits")


def item_from(text: str) -> ItemNumber:
    """The item whose canonical text is `text` (R2600012383001720). Raises Unreadable."""
    if _ITEM.fullmatch(text):
        item = ItemNumber(number_from(text[:11]), int(text[11:15]))
        if pair_for(item.body) == text[15:]:
            return item
    raise _not_proved(text, "item number", "the lot's 11 characters, four digits and two check digits")


def badge_from(text: str) -> Badge:
    """The badge whose canonical text is `text`. Raises Unreadable."""
    if _BADGE.fullmatch(text) and pair_for(text[:15]) == text[15:]:
        return Badge(text[1:15])
    raise _not_proved("", "badge", "H, 14 digits and two check digits")


def _not_proved(text: str, kind: str, parts: str) -> Unreadable:
    seen = f"{text} is" if text else "What was read is"
    return Unreadable(
        f"{seen} no {kind} of ours: its characters do not fit together.",
        value=text,
        expected=f"Expected {parts} that prove it.",
        next_step="Scan it again, or type what stands under the bars.",
    )


def is_lot(number: Number) -> bool:
    """Whether it is an amount of one product of one origin: coil, stripper, nail lot, pack ..."""
    return number.family in LOT_FAMILIES


def is_run(number: Number) -> bool:
    """Whether it is one working of a process: a run, a tumbler load, a charge."""
    return number.family is Family.RUN


def is_carrier(number: Number) -> bool:
    """Whether it holds lots or items for a time: pan, tram, spool, pallet."""
    return number.family is Family.CARRIER


def is_shipment(number: Number) -> bool:
    """Whether it is a load that leaves or a return that comes back."""
    return number.family is Family.SHIPMENT


def is_person(number: Number) -> bool:
    """Whether it is a person's number, which says who but lets nobody in."""
    return number.family is Family.PERSON


def is_thing(number: Number) -> bool:
    """Whether it is something of the plant: machine, die set, place, tank, instrument."""
    return number.family is Family.THING


def is_case(number: Number) -> bool:
    """Whether it is a case QA works on, such as a complaint."""
    return number.family is Family.CASE
