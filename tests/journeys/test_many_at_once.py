"""Do eight people posting at the same time lose nothing, double nothing and leave no gap?"""

from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier

import plants
import pytest
from houses import House, a_house
from lotroot.accounts.handling import AddParty, AddPerson
from lotroot.identity import number_from
from lotroot.ledger import high_water, numbering
from lotroot.ledger.tables import event, posting
from lotroot.verify import verify
from lotroot.work import Answer

THREADS = 8
POSTS = {True: 200, False: 50}
"""How often each thread posts, by whether time is no matter."""
EVERY = 5
"""Each fifth key is that of all other threads too, with the same command."""


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url, plants.SMALL)
    yield made
    made.database.close()


def work(house: House, thread: int, start: Barrier, posts: int) -> list[tuple[str, Answer]]:
    """One person's day: every fifth command is also sent by everybody else."""
    start.wait()
    answers = []
    for turn in range(posts):
        shared = turn % EVERY == 0
        who = "all" if shared else f"t{thread}"
        key = f"at-once-{who}-{turn:05d}"
        if turn % 2:
            answer = house.post(AddPerson(f"Person {who} {turn}", ("operator",)), key=key)
        else:
            answer = house.post(AddParty(f"firm-{who}-{turn}", "A firm", "supplier"), key=key)
        answers.append((key, answer))
    return answers


def test_eight_threads_of_two_hundred_posts_lose_and_double_nothing(house: House, thorough: bool) -> None:
    """Fifty posts in the quick profile."""
    posts = POSTS[thorough]
    alike = posts // EVERY
    before, events_before = len(house.rows(posting)), len(house.rows(event))
    start = Barrier(THREADS)
    with ThreadPoolExecutor(THREADS) as threads:
        answers = list(threads.map(lambda thread: work(house, thread, start, posts), range(THREADS)))

    by_key: dict[str, list[Answer]] = {}
    for key, answer in (pair for of_thread in answers for pair in of_thread):
        by_key.setdefault(key, []).append(answer)
    keys = THREADS * (posts - alike) + alike
    assert len(by_key) == keys

    # One is the first, all others are answered with its words.
    assert Counter(len(found) for found in by_key.values()) == {1: keys - alike, THREADS: alike}
    for found in by_key.values():
        assert Counter(one.replayed for one in found)[False] == 1
        assert len({replace(one, replayed=False) for one in found}) == 1

    # Nothing lost, nothing double, no gap.
    rows, events = house.rows(posting), house.rows(event)
    assert [row["id"] for row in rows] == list(range(1, before + keys + 1))
    assert {row["key"] for row in rows[before:]} == set(by_key)
    assert [row["id"] for row in events] == list(range(1, len(events) + 1))
    people = [answer.numbers[0] for (answer, *_) in by_key.values() if answer.numbers[0][0] == "H"]
    assert len(events) == events_before + 2 * len(people) + (keys - len(people))
    running = sorted(number_from(number).running for number in people)
    assert running == list(range(3, 3 + len(people)))
    assert verify(house.database).finding is None

    # The file beside an SQLite database was never behind.
    beside = high_water.beside(house.database.path)
    if beside is not None:
        assert high_water.read(beside)["H", 2026] >= house.ask(numbering.levels)["H", 2026]
