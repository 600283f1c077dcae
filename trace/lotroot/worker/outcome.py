"""What came of a job, and how is it told to the ledger?"""

from typing import Any

from sqlalchemy import Connection, Row

from lotroot.accounts.badges import badge_of
from lotroot.accounts.people import roles_of
from lotroot.errors import LotrootError, Refused
from lotroot.identity import Family
from lotroot.labelling.handling import RecordFailed, RecordPrinted
from lotroot.labelling.rendering import Holder
from lotroot.ledger.names import name_of
from lotroot.posting.door import Door
from lotroot.work import Envelope

MOST_ATTEMPTS = 3
"""A job that stopped the program this often is not tried again by itself (our own choice)."""


def settle(door: Door, job: Row[Any], outcome: RecordPrinted | RecordFailed) -> None:
    """Post the outcome of this attempt, once."""
    key = f"job-{job.id:08d}-attempt-{job.attempts}"
    try:
        door.post(outcome, Envelope(key=key, person="", station=job.station))
    except Refused:
        return  # another attempt, or a person, has settled the job, and that stands


def failed(job: Row[Any], error: LotrootError, printer: str) -> RecordFailed:
    """The job cannot be printed, for this reason."""
    reason = f"{error} ({error.value})" if error.value else str(error)
    return RecordFailed(job.id, job.attempts, reason, printer)


def holder_of(connection: Connection, job: Row[Any]) -> Holder | None:
    """Whose badge it is, for a badge; what it says is never kept."""
    code = badge_of(connection, job.number) if job.number[0] == Family.PERSON else None
    if code is None:
        return None
    roles = roles_of(connection, job.number) or frozenset()
    return Holder(code, name_of(connection, job.number), tuple(sorted(roles)))
