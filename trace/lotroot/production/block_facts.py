"""Which facts say what became of labels that were printed before their items were packed?"""

from dataclasses import dataclass

from lotroot.ledger.events import event


@event
@dataclass(frozen=True)
class BlockPrinted:
    """Labels of items first to last were printed before the items were made."""

    run: str
    lot: str
    output: str
    first: int
    last: int


@event
@dataclass(frozen=True)
class ItemsSpoiled:
    """Labels of a block went to waste; their serials are never used."""

    run: str
    lot: str
    serials: tuple[int, ...]


@event
@dataclass(frozen=True)
class LabelsReturned:
    """Labels first to last of a block were left over and are destroyed."""

    run: str
    lot: str
    first: int
    last: int


@event
@dataclass(frozen=True)
class BlockTakenBack:
    """What an event said about labels of a block never was: its printing, spoiling or returning."""

    run: str
    lot: str
    event: int
