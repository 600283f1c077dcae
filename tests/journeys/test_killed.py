"""Is everything that was answered still there after the program was killed in the middle of its work?

A killed program leaves the page cache to the system, so this proves the restart, not the power cut: for
that see `synchronous=FULL` in tests/unit/test_database.py. 3,000 kills belong to a release, 20 to a thorough
test run, 8 to a quick one.
"""

import multiprocessing
import random
import time
from multiprocessing.connection import Connection

import plants
from houses import House, a_house
from killable import post_for_ever
from lotroot.errors import Unavailable
from lotroot.house import open_house
from lotroot.ledger.tables import posting
from lotroot.verify import verify

KILLS = {True: 20, False: 8}
"""By whether time is no matter."""
ON_POSTGRESQL = 4
"""One of so many kills: there what is killed holds no file."""

FORKS = multiprocessing.get_context("forkserver")
FORKS.set_forkserver_preload(["lotroot.house"])


def killed(url: str, person: str, turn: int, dice: random.Random) -> list[str]:
    """The keys that were answered before the program was killed, at any moment of its work."""
    answered, acknowledged = FORKS.Pipe(duplex=False)
    program = FORKS.Process(target=post_for_ever, args=(url, person, turn, acknowledged))
    program.start()
    acknowledged.close()
    keys = [answered.recv() for _ in range(dice.randint(1, 12))]
    time.sleep(dice.random() / 100)
    program.kill()
    program.join()
    keys += rest_of(answered)
    program.close()
    return keys


def rest_of(answered: Connection) -> list[str]:
    keys = []
    try:
        while True:
            keys.append(answered.recv())
    except (EOFError, OSError):
        answered.close()
    return keys


def reopen(url: str) -> None:
    """As a server starts: lock, triggers, status. PostgreSQL lets go of a killed session a moment later."""
    for _ in range(100):
        try:
            open_house(url).close()
            return
        except Unavailable:
            time.sleep(0.05)
    open_house(url).close()


def test_nothing_answered_is_lost_and_the_ledger_stays_whole(database_url: str, thorough: bool) -> None:
    house: House = a_house(database_url, plants.SMALL)
    dice = random.Random(8470)
    answered: set[str] = set()
    begun = len(house.rows(posting))
    kills = KILLS[thorough] if house.database.on_sqlite else KILLS[thorough] // ON_POSTGRESQL
    for turn in range(kills):
        answered |= set(killed(database_url, house.people["administrator"], turn, dice))
        reopen(database_url)
        kept = {row["key"] for row in house.rows(posting)}
        assert answered <= kept, "an answered posting is lost"
        assert len(kept) - begun - len(answered) <= turn + 1, "at most one a kill was kept but not answered"
        assert verify(house.database).finding is None
    house.database.close()
