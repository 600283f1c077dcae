"""What is about to be recorded under a PIN, and what of the proof is missing or failed?"""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection

from lotroot.errors import LotrootError
from lotroot.genealogy.lots import find_lot, lots_of_run
from lotroot.holds.handling import AWAITING, ReleaseHold
from lotroot.holds.naming import WORDS, part_words
from lotroot.holds.reach import held_by
from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.processes.definition import Plant
from lotroot.processes.naming import inside
from lotroot.quality.checks import checks_due, checks_of
from lotroot.quality.facts import FAIL
from lotroot.tracing.chapters import HoldFacts
from lotroot.tracing.standing_facts import check
from lotroot.tracing.words import Words
from lotroot.web.story_tables import reading


def act_words(connection: Connection, command: Any) -> str:
    """The act in a sentence; empty where the page it came from says enough."""
    if not isinstance(command, ReleaseHold):
        return ""
    try:
        if _is_run(command):
            return f"Release all that awaits checks of run {shown(command.lot)}: {command.reason}."
        row = find_lot(connection, command.lot)
        part = part_words(row, command.first, command.last)
        held = [one for one in held_by(connection, row.number) if one.hold == command.hold]
    except LotrootError:
        return ""  # the door says what is wrong with it
    of = f" ({WORDS[held[0].kind]}: {held[0].reason})" if held else ""
    return f"Release {shown(row.number)}{part} from hold {command.hold}{of}. Why: {command.reason}."


def against(connection: Connection, plant: Plant | None, command: Any) -> list[str]:
    """What speaks against a release: checks that nobody made yet, that failed, or by unconfirmed limits."""
    if not isinstance(command, ReleaseHold) or plant is None:
        return []
    try:
        lots = _lots(connection, command)
        said = [line for lot in lots for line in lacking(connection, plant, lot)]
    except LotrootError:
        return []
    return list(dict.fromkeys(said))


def lacking(connection: Connection, plant: Plant, lot: str) -> list[str]:
    """What the proof of a lot lacks, in a sentence each; the latest check of a kind counts."""
    names = [plant.characteristic(code).name for code in checks_due(connection, lot)]
    latest = {row.characteristic: row for row in checks_of(connection, lot)}
    words = Words(connection)
    told = [check(row, words) for row in latest.values() if row.verdict == FAIL]
    failed = [f"Failed: {one.characteristic.lower()}, {reading(one)}." for one in told]
    doubtful = [check(row, words) for row in latest.values() if row.verdict != FAIL and not row.confirmed]
    unsure = [f"By limits nobody has confirmed: {one.characteristic.lower()}." for one in doubtful]
    due = [f"Not checked yet: {', '.join(inside(name) for name in names)}."] if names else []
    return [*failed, *due, *unsure]


def awaited(connection: Connection, plant: Plant | None, holds: Iterable[HoldFacts]) -> list[str]:
    """What the proof lacks of all goods that some holds keep until their checks are in."""
    lots = dict.fromkeys(one.lot.number for one in holds if one.kind in AWAITING)
    said = [line for lot in lots for line in lacking(connection, plant, lot)] if plant else []
    return list(dict.fromkeys(said))


def _is_run(command: ReleaseHold) -> bool:
    return not command.hold and command.lot.startswith(Family.RUN)


def _lots(connection: Connection, command: ReleaseHold) -> list[str]:
    if not _is_run(command):
        return [find_lot(connection, command.lot).number]
    rows = [row.number for row in lots_of_run(connection, command.lot)]
    return [one for one in rows if any(held.kind in AWAITING for held in held_by(connection, one))]
