"""How does a test lay down lots and links of its own, without the processes that would make them?

    family = Family()
    coil = family.lot("rod", 1_000_000, source="received")
    wire = family.made("stripper", 600_000, LotLink(coil, "rod", "steel", 600_000, 600_000))

The facts go through the features' own `apply` into a real database in memory; only the ledger stays empty.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from itertools import count
from typing import Any

import plants
from houses import MONDAY
from lotroot.database import metadata, sqlite_module
from lotroot.genealogy.events import LinksWritten, LotBorn, LotLink
from lotroot.identity import make
from lotroot.ledger.events import Posting
from lotroot.plant.facts import PlantAdopted
from lotroot.posting.features import APPLIES
from lotroot.stock.events import BORN, TAKEN, Move, Moved
from lotroot.work import Envelope, Work
from sqlalchemy import create_engine, event

YARD = str(make("T", 26, 901))
"""A place; nobody ever numbered it."""

PERSON = str(make("H", 26, 901))


@cache
def _empty_tables() -> Any:
    """A database in memory with every table and nothing in it: hundreds of families begin as its copy."""
    engine = create_engine("sqlite://", module=sqlite_module())
    metadata.create_all(engine)
    return engine.raw_connection().driver_connection


class Family:
    """Lots in a database of their own; `connection` is what queries take."""

    def __init__(self) -> None:
        plant = plants.demo_plant()
        self.engine = create_engine("sqlite://", module=sqlite_module())
        self.connection = self.engine.connect()
        _empty_tables().backup(self.connection.connection.driver_connection)
        blank = {"uuid": "", "key": "", "payload_sha": "", "command": "", "site": "", "station": ""}
        times = {"happened": MONDAY, "offset": 0, "entered": MONDAY, "basis": "at once"}
        posting = Posting(id=1, person=PERSON, plant=plant.hash, **blank, **times)
        self.work = Work(self.connection, posting, Envelope("by-hand", PERSON), APPLIES)
        self.plant = plant
        self._running = count(1)
        self._ranks = count(1)
        self.record(PlantAdopted(plant.hash, plant.text))

    def record(self, fact: Any) -> int:
        """A fact as it is."""
        return self.work.record(fact)

    def number(self, letter: str) -> str:
        """A number of a family."""
        return str(make(letter, 26, next(self._running)))

    def lot(self, kind: str, amount: int, *, items: int = 0, source: str = "", **more: Any) -> str:
        """A lot that lies in the yard; it has the first product of its kind unless one is named."""
        found = self.plant.kind(kind)
        product = next(one.code for one in self.plant.products.values() if one.kind == kind)
        born = {"product": product, "how": "weighed", "axis": "serial" if items else "amount", **more}
        number = self.number(found.letter)
        first, last = (1, items) if items else (0, 0)
        rank = next(self._ranks)
        self.record(
            LotBorn(
                number=number,
                kind=kind,
                unit=found.unit,
                amount=amount,
                rank=rank,
                items=items,
                source=source,
                **born,
            )
        )
        if amount:
            self.record(Moved((Move(number, BORN, YARD, amount, first, last),)))
        return number

    def made(self, kind: str, amount: int, *links: LotLink, **more: Any) -> str:
        """A lot made of others."""
        number = self.lot(kind, amount, **more)
        self.link(number, *links, run=more.get("run", ""))
        return number

    def link(self, child: str, *links: LotLink, run: str = "", doubted: bool = False) -> None:
        """What a lot was made of; amounts taken leave the yard."""
        self.record(LinksWritten(child, run, tuple(links), doubted))
        for link in links:
            if link.taken and link.parent_from is None:
                self.record(Moved((Move(link.parent, YARD, TAKEN, link.taken),)))

    def move(self, number: str, target: str, amount: int, first: int = 0, last: int = 0) -> None:
        """Goods go from the yard to another spot."""
        self.record(Moved((Move(number, YARD, target, amount, first, last),)))

    @contextmanager
    def statements(self) -> Iterator[list[tuple[str, Any]]]:
        """Every statement sent while the block lasts, with its values."""
        sent: list[tuple[str, Any]] = []

        def note(*args: Any) -> None:
            sent.append((args[2], args[3]))

        event.listen(self.engine, "before_cursor_execute", note)
        try:
            yield sent
        finally:
            event.remove(self.engine, "before_cursor_execute", note)

    def close(self) -> None:
        """Let the database go."""
        self.connection.close()
        self.engine.dispose()
