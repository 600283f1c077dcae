"""Which facts say how the sheets of a bundle were cut?"""

from dataclasses import dataclass

from lotroot.ledger.events import event


@dataclass(frozen=True)
class Cut:
    """One line of a cut list: `count` pieces, each `length_mm` millimetres long."""

    count: int
    length_mm: int


@event
@dataclass(frozen=True)
class CutListMade:
    """A bundle, item `serial` of a lot and output `seq` of its run, was cut by these lines, in order."""

    run: str
    seq: int
    lot: str
    serial: int
    cuts: tuple[Cut, ...]
