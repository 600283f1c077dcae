"""How does the record say that it was restored from a backup, and skip what it no longer knows?"""

from dataclasses import dataclass

from lotroot.ledger import numbering
from lotroot.reserved import Gap, LedgerRestored
from lotroot.work import Answer, Handler, Work


@dataclass(frozen=True)
class RecordRestore:
    """The ledger stands again as it was at event `count`; numbers in `gaps` may have been given since."""

    count: int
    head: str
    taken: int
    gaps: tuple[Gap, ...]


def _record(work: Work, command: RecordRestore) -> Answer:
    numbering.lift(work.connection, {(gap.letter, gap.year): gap.last for gap in command.gaps})
    work.record(LedgerRestored(command.count, command.head, command.taken, command.gaps))
    skipped = sum(gap.last - gap.first + 1 for gap in command.gaps)
    return Answer(f"Restored up to event {command.count}; {skipped} numbers are skipped.")


HANDLERS: dict[type, Handler] = {RecordRestore: Handler(_record, internal=True)}
