"""How does a test get a tank that was topped up for ever so long, without working through the years?

Rows go straight into the tables of lots and links: each hour a new solution is all but a thousandth heel and
a thousandth of a drum, a new drum is opened every ten hours, and a pack is treated in the last solution.
"""

from collections.abc import Iterator
from itertools import islice
from typing import Any

from houses import MONDAY
from lotroot.genealogy.tables import LIVE, edge_table, link_words, lot_table, lot_words
from lotroot.genealogy.wording import in_numbers
from lotroot.identity import make
from lotroot.work import MICROSECONDS
from sqlalchemy import Connection, insert

HOUR = 3600 * MICROSECONDS
A_YEAR = 999_999
"""Numbers of one family and year."""
PACK = str(make("L", 26, 1))
AMOUNT = 1_000_000
ADDED = AMOUNT // 1000
PER_DRUM = 10


def solution(place: int) -> str:
    """The number of a solution of the chain, from 0."""
    year, running = divmod(place, A_YEAR)
    return str(make("K", 26 + year, running + 1))


def drum(place: int) -> str:
    """The number of the drum that went into a solution."""
    year, running = divmod(place // PER_DRUM, A_YEAR)
    return str(make("C", 26 + year, running + 1))


def lay_down(connection: Connection, solutions: int, every: int = HOUR) -> str:
    """A chain of so many solutions, one every so often; returns the number of the pack behind it."""
    lots, links = _lots(solutions, every), _links(solutions)
    for table, words, rows in ((lot_table, lot_words, lots), (edge_table, link_words, links)):
        while some := list(islice(rows, 20_000)):
            connection.execute(insert(table), in_numbers(connection, words, some))
    return PACK


def _id(place: int) -> int:
    return 2 * place + 2


def _lots(solutions: int, every: int) -> Iterator[dict[str, Any]]:
    for place in range(solutions):
        at = MONDAY + place * every
        if place % PER_DRUM == 0:
            yield _lot(_id(place) - 1, drum(place), "concentrate", at, source="received")
        yield _lot(_id(place), solution(place), "solution", at)
    yield _lot(_id(solutions), PACK, "treated_lumber", MONDAY + solutions * every)


def _lot(event: int, number: str, kind: str, at: int, source: str = "") -> dict[str, Any]:
    said = {
        "product": kind,
        "unit": "ml",
        "amount": AMOUNT,
        "how": "calculated",
        "mass": None,
        "mass_how": "",
        "typed_by": "",
    }
    where = {"axis": "amount", "items": 0, "run": "", "station": "", "sealed": 1, "voided": 0}
    born = {"rank": event, "born_at": at}
    return {"id": event, "number": number, "kind": kind, "source": source, **said, **where, **born}


def _links(solutions: int) -> Iterator[dict[str, Any]]:
    for place in range(solutions):
        opened = place - place % PER_DRUM
        if place:
            yield _link(_id(place), 1, _id(place - 1), AMOUNT - ADDED)
        yield _link(_id(place), 2, _id(opened) - 1, ADDED if place else AMOUNT)
    yield _link(_id(solutions), 1, _id(solutions - 1), AMOUNT)


def _link(child: int, seq: int, parent: int, given: int) -> dict[str, Any]:
    blank = dict.fromkeys(("parent_from", "parent_to", "child_from", "child_to", "least", "most"))
    said = {
        "role": "solution",
        "stream": "solution",
        "end": "unknown",
        "feed": "mixed",
        "basis": "calculated",
    }
    rest = {"child_end": "unknown", "lane_from": 0, "lane_to": 0, "filling": 0, "load": 0}
    made = {"child": child, "seq": seq, "parent": parent, "taken": given, "given": given, "state": LIVE}
    return {**made, **blank, **said, **rest}
