"""Which facts say what stands where?

`Moved` is double entry: each move takes an amount of a lot out of one account and puts it into
another, so that over all its accounts every lot sums to nothing (RULES 3). An account is a spot (the
number of a place, carrier, run or shipment) or one of `ACCOUNTS`.
"""

from dataclasses import dataclass

from lotroot.ledger.events import event

BORN, TAKEN, SCRAP, LOSS, SAMPLE, DIFFERENCE, VOID = (
    "born",
    "taken",
    "scrap",
    "loss",
    "sample",
    "difference",
    "void",
)
ACCOUNTS = (BORN, TAKEN, SCRAP, LOSS, SAMPLE, DIFFERENCE, VOID)


@dataclass(frozen=True)
class Move:
    """An amount of a lot from one account to another, in the lot's unit; serials for items, else 0."""

    lot: str
    source: str
    target: str
    amount: int
    first: int = 0
    last: int = 0
    run: str = ""
    reason: str = ""


@event
@dataclass(frozen=True)
class Moved:
    """Amounts went from account to account."""

    moves: tuple[Move, ...]


@dataclass(frozen=True)
class LoadBooked:
    """How much more outputs have taken of a load than was booked before, and how much more of it is a
    difference (or a loss, as `gone` says); below zero for less. In the lot's unit.
    """

    load: int
    lot: str
    taken: int = 0
    difference: int = 0
    gone: str = DIFFERENCE


@event
@dataclass(frozen=True)
class LoadsBooked:
    """Amounts followed a run's links: worked out anew with them, never taken back by themselves."""

    run: str
    loads: tuple[LoadBooked, ...]

    @property
    def moves(self) -> tuple[Move, ...]:
        """The same as amounts that went from account to account."""
        return tuple(
            self._move(one, account, amount)
            for one in self.loads
            for account, amount in ((TAKEN, one.taken), (one.gone, one.difference))
            if amount
        )

    def _move(self, one: LoadBooked, account: str, amount: int) -> Move:
        source, target = (self.run, account) if amount > 0 else (account, self.run)
        return Move(one.lot, source, target, abs(amount), run=self.run, reason=f"load {one.load}")


@dataclass(frozen=True)
class SerialWeight:
    """The net weight of one item, in the lot's unit."""

    serial: int
    amount: int


@event
@dataclass(frozen=True)
class ItemsWeighed:
    """Items of a lot were weighed one by one."""

    lot: str
    weights: tuple[SerialWeight, ...]


@event
@dataclass(frozen=True)
class CarrierOpened:
    """A carrier can take goods: a pallet is built once, a pan, tram or spool again and again."""

    number: str
    kind: str
    spot: str
    code: str = ""
    reusable: bool = False


@event
@dataclass(frozen=True)
class CarrierMoved:
    """A carrier, and all on it, stands at another place, run or shipment."""

    number: str
    spot: str
    was: str


@event
@dataclass(frozen=True)
class CarrierChanged:
    """A carrier's state: open, closed, emptied, became (another carrier), shipped or void."""

    number: str
    state: str
    was: str
    became: str = ""


@event
@dataclass(frozen=True)
class CarrierTared:
    """A carrier was weighed empty: it weighs `grams` from then on, `was` before (0: not known).

    `typed_by` is scale or hand, empty where it is not known.
    """

    number: str
    grams: int
    was: int = 0
    typed_by: str = ""


@event
@dataclass(frozen=True)
class TareTakenBack:
    """A carrier was weighed empty by mistake; `event` is the one that said so."""

    number: str
    event: int
