"""What does a release add to a record that an older one wrote, before anybody works on it?"""

import uuid

from lotroot.database import Database
from lotroot.posting.door import Door
from lotroot.reconciliation.earlier import AddUpRuns, never_added_up
from lotroot.work import Envelope


def catch_up(database: Database) -> int:
    """Add up what was closed before runs were added up; returns how many, at the next start none."""
    door, before, count = Door(database), None, 0
    while True:
        with database.reading() as connection:
            runs = tuple(never_added_up(connection))
        if not runs or runs == before:
            return count
        door.post(AddUpRuns(runs), Envelope(key=f"add-up-{uuid.uuid4().hex}", person=""))
        before, count = runs, count + len(runs)
