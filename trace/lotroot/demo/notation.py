"""How are a day's lines read, which name numbers that are only given when they are posted?

A day is a file of JSON lines, one act a line:

    {"at": "06:10", "who": "desmond", "station": "draw_1", "do": "load-input", "lot": "@rod_1", "as_run": "u"}

`at` is the plant's time on the file's day, `who` a key of people.toml, `do` a command of the command API; the
rest are the command's fields. `as` names the first number of the answer for lines to come, `as_run` the
run's, `as_list` all of them: `@rod_1` is that number, `@boxes_3#12` its item 12. `place:`, `station:`,
`resource:` ... with a code is the number of a thing, `carrier:` that of a pan, tram or spool, `hold:` the
hold that reaches a lot, `question:` the open one about a number. `answers` choose by the start of a
question's name.
"""

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.holds.reach import held_by
from lotroot.identity import ItemNumber, number_from
from lotroot.plant.adopted import number_of
from lotroot.questions import open_questions
from lotroot.stock.carriers import find_carrier
from lotroot.work import MICROSECONDS

_ASIDE = (
    "at",
    "who",
    "station",
    "do",
    "as",
    "as_run",
    "as_list",
    "answers",
    "already",
    "supervisor",
    "basis",
)
_THING = re.compile(r"(place|station|vessel|instrument|resource|printer|bin):(\w+)")


@dataclass(frozen=True)
class Line:
    """One act of a day: when (microseconds UTC), who and where (codes), and the command as written."""

    where: str
    at: int
    who: str
    station: str
    do: str
    fields: Mapping[str, Any]
    aside: Mapping[str, Any] = field(default_factory=dict)


def days(folder: Path, zone: str) -> Iterator[Line]:
    """All lines of all days, in order. Raises Unreadable naming file and line."""
    for file in sorted(folder.glob("*.jsonl")):
        for number, text in enumerate(file.read_text(encoding="utf-8").splitlines(), 1):
            if text.strip() and not text.startswith("#"):
                yield _line(text, f"{file.name} line {number}", file.stem, zone)


def _line(text: str, where: str, day: str, zone: str) -> Line:
    try:
        told = json.loads(text)
        then = datetime.fromisoformat(f"{day}T{told['at']}").replace(tzinfo=ZoneInfo(zone))
        aside = {name: told[name] for name in _ASIDE if name in told}
        fields = {name: value for name, value in told.items() if name not in _ASIDE}
        at = round(then.timestamp()) * MICROSECONDS
        return Line(where, at, told["who"], told.get("station", ""), told["do"], fields, aside)
    except (ValueError, KeyError) as error:
        raise Unreadable(
            "A line of the demo's days cannot be read.",
            value=f"{where}: {error}",
            expected="JSON with at, who, do and the command's fields.",
            next_step="Mend the file.",
        ) from error


class Names:
    """The numbers given so far, by the names the days use for them."""

    def __init__(self) -> None:
        self.known: dict[str, str] = {}

    def resolved(self, connection: Connection, value: Any) -> Any:
        """A field's value with every name replaced by its number."""
        if isinstance(value, list):
            return tuple(self.resolved(connection, one) for one in value)
        if isinstance(value, dict):
            return {name: self.resolved(connection, one) for name, one in value.items()}
        return self._named(connection, value) if isinstance(value, str) else value

    def _named(self, connection: Connection, text: str) -> Any:
        if text.startswith("@"):
            return self._number(text[1:])
        if text.startswith("hold:@"):
            return held_by(connection, self._number(text.removeprefix("hold:@")))[0].hold
        if text.startswith("question:@"):
            return self._question(connection, self._number(text.removeprefix("question:@")))
        if text.startswith("carrier:"):
            return str(find_carrier(connection, text.removeprefix("carrier:")).number)
        thing = _THING.fullmatch(text)
        return number_of(connection, thing[1], thing[2]) if thing else text

    def _question(self, connection: Connection, number: str) -> int:
        for row in open_questions(connection):
            if row.subject == number:
                return int(row.event)
        raise Unreadable(
            "A day settles what nobody has asked.",
            value=number,
            expected="Something that is in question by then.",
            next_step="Mend the file.",
        )

    def _number(self, name: str) -> str:
        name, _, serial = name.partition("#")
        if name not in self.known:
            raise Unreadable(
                "A day names something that no earlier line made.",
                value=f"@{name}",
                expected="A name given with “as” before.",
                next_step="Mend the file.",
            )
        number = self.known[name]
        return str(ItemNumber(number_from(number), int(serial))) if serial else number
