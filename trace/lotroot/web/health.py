"""Is everything this program stands on as it should be?

For people a page, for a monitor JSON (Accept: application/json): 200 while all is well, 503 when something is
not. Open to whoever reaches the server, so it says nothing about the plant.
"""

from collections.abc import Iterable
from typing import NamedTuple

from flask import Blueprint, Response, make_response, render_template, request

from lotroot.database import Database
from lotroot.ledger.book import head
from lotroot.web.desk import Line, desk
from lotroot.web.frame import frame
from lotroot.web.problems import as_json

blueprint = Blueprint("health", __name__)

SOUND_SQLITE = (3, 51, 3)
"""Below it SQLite has a rare race that damages a database in WAL mode (DEVELOPERS.md, decisions)."""


class Checked(NamedTuple):
    """All lines, and whether all is well."""

    lines: list[Line]

    @property
    def well(self) -> bool:
        """Whether nothing is wrong."""
        return all(line.well for line in self.lines)


@blueprint.get("/health")
def page() -> Response:
    """Engine, ledger, print worker and whatever else was added by whoever serves."""
    found = checked(desk().house, [line() for line in desk().health])
    status = 200 if found.well else 503
    if request.accept_mimetypes.best == "application/json":
        lines = [{"name": line.name, "words": line.words, "well": line.well} for line in found.lines]
        return as_json({"well": found.well, "lines": lines}, status)
    return make_response(render_template("health.html", **frame(health=found)), status)


def checked(house: Database, more: Iterable[Line] = ()) -> Checked:
    """The state of a database and of what was added."""
    with house.reading() as connection:
        events = head(connection).count
    return Checked([engine_line(house.engine_version()), Line("Ledger", f"{events} events"), *more])


def engine_line(version: str) -> Line:
    """The database engine; an SQLite below 3.51.3 is said to be unsafe, in words."""
    name, _, numbers = version.partition(" ")
    if name == "SQLite" and tuple(int(part) for part in numbers.split(".")[:3]) < SOUND_SQLITE:
        words = (
            f"{version}: in rare cases it damages a database. Update Python's SQLite to 3.51.3, or install "
            "the package pysqlite3, and keep backups until then."
        )
        return Line("Database", words, well=False)
    return Line("Database", version)
