"""How does a test invent balances, and what would somebody with a pencil make of them?

`Books` takes in what happened to some runs, both as the program does (its events copied into a database) and
into a plain list, out of which every figure is then worked out the long way.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from typing import Any

from lotroot.ledger.events import Posting, Recorded
from lotroot.production.facts import RunReopened
from lotroot.production.tables import run
from lotroot.reconciliation.apply import apply
from lotroot.reconciliation.facts import RunBalanced, ScrapBalance, SourceBalance, StreamBalance
from lotroot.reconciliation.sums import Figures
from sqlalchemy import Connection, insert

FIRST_DAY = date(2026, 10, 28)
DAYS = 70
BEYOND, WITHIN = "beyond tolerance", "within the scales"
STREAMS = (("steel", "g"), ("pvc", "g"), ("solution", "ml"))
HEATS = (("nordhavn", "H1"), ("nordhavn", "H2"), ("bellmead", "H3"), ("(several)", "(several)"), ("", ""))


@dataclass
class Version:
    """One stream of a run as one event had it, from its event to the one that replaced it."""

    about: dict[str, str]
    balance: StreamBalance
    event: int
    known: int
    replaced_by: int | None = None
    replaced: int | None = None


@dataclass
class Books:
    """Invented runs in a database and on paper."""

    connection: Connection
    about: dict[str, dict[str, str]] = field(default_factory=dict)
    versions: list[Version] = field(default_factory=list)
    events: int = 0
    at: int = 0

    def open_run(self, number: str, random: Random) -> None:
        process = random.choice(("drawing", "nails", "weaving"))
        about = {"process": process, "product": f"{process}_{random.randrange(2)}"}
        self.about[number] = {**about, "station": f"T{random.randrange(3)}"}
        row = {**self.about[number], "number": number, "plant": "", "person": "", "shift": ""}
        times = {"opened": 1, "opened_event": 1, "closed": 2, "closed_event": 2, "voided": 0}
        self.connection.execute(insert(run), [{**row, **times}])

    def happen(self, fact: Any) -> None:
        """Copy a fact into both."""
        self.events += 1
        posting = Posting(1, "", "", "", "", "", "", "", self.at, 0, self.at, "at once", "")
        apply(self.connection, Recorded(self.events, fact, posting))
        for one in self.versions:
            if one.about["run"] == fact.run and one.replaced_by is None:
                one.replaced_by, one.replaced = self.events, self.at
        for balance in getattr(fact, "streams", ()):
            day, _, shift = fact.shift.partition(" ")
            about = {**self.about[fact.run], "run": fact.run, "day": day, "shift": shift}
            self.versions.append(Version(about, balance, self.events, self.at))


def worked_on(connection: Connection, seed: int, acts: int) -> Books:
    """Books in which so much happened: runs added up, added up anew, opened again."""
    random, books = Random(seed), Books(connection)
    for number in range(8):
        books.open_run(f"U{number}", random)
    for _ in range(acts):
        books.at += random.choice((0, 1, 1, 5))
        number = f"U{random.randrange(8)}"
        if random.random() < 0.15:
            books.happen(RunReopened(number))
            continue
        day = FIRST_DAY + timedelta(days=random.randrange(DAYS))
        shift = f"{day} {random.choice(('day', 'night'))}"
        streams = random.sample(STREAMS, random.randint(1, 2))
        books.happen(RunBalanced(number, shift, tuple(_balance(random, *one) for one in streams)))
    return books


def _balance(random: Random, stream: str, unit: str) -> StreamBalance:
    loads = [(*random.choice(HEATS), random.randrange(1, 900), random.randrange(200)) for _ in range(3)]
    thrown = {(random.choice(("ends", "rust")), random.choice(("weighed", "apportioned"))) for _ in range(2)}
    scraps = tuple(ScrapBalance(*one, random.randrange(1, 50)) for one in sorted(thrown))
    sources = tuple(
        SourceBalance(role, supplier, heat, used + back, back, used - 10 - place, 10, place * 7 - 5)
        for place, (supplier, heat, used, back) in enumerate(loads)
        for role in ("wire",)
    )
    loaded, returned = (sum(getattr(one, name) for one in sources) for name in ("loaded", "returned"))
    scrap, by_product = sum(one.amount for one in scraps), random.randrange(30)
    good = loaded - returned - scrap - by_product - 3 - random.randrange(-40, 40)
    off = loaded - returned - good - by_product - scrap - 3
    verdict = BEYOND if abs(off) > 25 else WITHIN
    made = (loaded, returned, good, by_product, scrap, 3, off, 5, 25, "weighed", verdict)
    return StreamBalance(stream, unit, *made, sources=sources, thrown=scraps)


Stands = Callable[[Version], bool]


def now(one: Version) -> bool:
    return one.replaced_by is None


def at(moment: int) -> Stands:
    return lambda one: one.known <= moment and (one.replaced is None or one.replaced > moment)


def up_to(event: int) -> Stands:
    return lambda one: one.event <= event and (one.replaced_by is None or one.replaced_by > event)


def in_days(books: Books, first: str, last: str, stands: Stands) -> list[Version]:
    """What stood then of some production days."""
    return [one for one in books.versions if first <= one.about["day"] <= last and stands(one)]


Key = tuple[str, str, str]


def by_hand(versions: Iterable[Version], only: dict[str, str], by: str) -> dict[Key, Figures]:
    """What each value comes to, run by run and load by load."""
    found: dict[Key, Figures] = {}
    of_parts = by in ("supplier", "heat") or {"supplier", "heat"} & set(only)
    for one in versions:
        if any(one.about.get(name, value) != value for name, value in only.items()):
            continue
        for value, figures in _of_parts(one, only, by) if of_parts else _whole(one, by):
            key = (value, one.balance.stream, one.balance.unit)
            before = found.get(key, Figures())
            found[key] = Figures(*(a + b for a, b in zip(before, figures, strict=True)))
    return found


def _whole(one: Version, by: str) -> Iterator[tuple[str, Figures]]:
    off = one.balance.difference
    beyond, used = int(one.balance.verdict == BEYOND), one.balance.loaded - one.balance.returned
    amounts = (one.balance.good, one.balance.by_product, one.balance.scrap, one.balance.loss, off)
    yield one.about[by], Figures(1, beyond, used, *amounts, max(off, 0))


def _of_parts(one: Version, only: dict[str, str], by: str) -> Iterator[tuple[str, Figures]]:
    mine = [
        each
        for each in one.balance.sources
        if each.supplier == only.get("supplier", each.supplier) and each.heat == only.get("heat", each.heat)
    ]
    values = {getattr(each, by) if by in ("supplier", "heat") else one.about[by] for each in mine}
    for value in sorted(values):
        some = [each for each in mine if getattr(each, by, one.about.get(by)) == value]
        used = sum(each.loaded - each.returned for each in some)
        made, scrap, off = (
            sum(getattr(each, name) for each in some) for name in ("taken", "scrap", "difference")
        )
        beyond = int(one.balance.verdict == BEYOND)
        yield value, Figures(1, beyond, used, made, 0, scrap, 0, off, max(off, 0))


def thrown_by_hand(versions: Iterable[Version], only: dict[str, str]) -> dict[tuple[str, ...], int]:
    """Scrap in all by reason, how it is known, stream and unit."""
    found: dict[tuple[str, ...], int] = {}
    for one in versions:
        if any(one.about.get(name, value) != value for name, value in only.items()):
            continue
        used = {name: only[name] for name in ("supplier", "heat") if name in only}
        fits = [each for each in one.balance.sources if all(getattr(each, n) == v for n, v in used.items())]
        for each in one.balance.thrown if fits or not used else ():
            key = (each.reason, each.how, one.balance.stream, one.balance.unit)
            found[key] = found.get(key, 0) + each.amount
    return found
