"""What does the web application share between requests?

The database, the door, the pages that take scans, and two short memories that may be lost at a restart:
acts that wait for a PIN, and command codes read within the last seconds.
"""

import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from flask import current_app

from lotroot.database import Database
from lotroot.posting.door import Door
from lotroot.web.problems import TooFast
from lotroot.work import MICROSECONDS, Envelope

if TYPE_CHECKING:
    from lotroot.web.scene import Page

MOST_PENDING = 200
PENDING_LASTS = 10 * 60 * MICROSECONDS
MOST_TRIES = 10
MINUTE = 60 * MICROSECONDS
ONE_READ = 2 * MICROSECONDS
"""RULES 17: a command code within two seconds is one read."""


@dataclass(frozen=True)
class Pending:
    """An act that waits for a PIN; `override`: a supervisor says that it has happened already."""

    signin: str
    command: Any
    envelope: Envelope
    back: str
    words: str
    at: int
    override: bool = False


class Waiting:
    """Acts that wait for a PIN, each for ten minutes at most, bound to the sign-in they came from."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._acts: OrderedDict[str, Pending] = OrderedDict()

    def keep(self, act: Pending) -> str:
        """Keep an act; returns the name it is asked for by."""
        name = secrets.token_urlsafe(16)
        with self._lock:
            self._acts[name] = act
            while len(self._acts) > MOST_PENDING:
                self._acts.popitem(last=False)
        return name

    def find(self, name: str, signin: str, now: int) -> Pending | None:
        """An act of this sign-in that still waits."""
        with self._lock:
            act = self._acts.get(name)
        return act if act and act.signin == signin and now - act.at <= PENDING_LASTS else None

    def drop(self, name: str) -> None:
        """The act was posted, or nobody wants it any more."""
        with self._lock:
            self._acts.pop(name, None)


class Lately:
    """Which command code a terminal sent last, so that a doubled read counts once."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._last: OrderedDict[str, tuple[str, int, str]] = OrderedDict()

    def is_doubled(self, signin: str, code: str, at: int, key: str) -> bool:
        """Whether the same code was read here less than two seconds ago under another key."""
        with self._lock:
            before = self._last.get(signin)
            doubled = before is not None and before[0] == code and before[2] != key
            doubled = doubled and before is not None and abs(at - before[1]) < ONE_READ
            if not doubled:
                self._last[signin] = (code, at, key)
                self._last.move_to_end(signin)
                while len(self._last) > MOST_PENDING:
                    self._last.popitem(last=False)
        return doubled


class Tries:
    """How often somebody tried to get in lately: so that guessing is slow."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._failed: list[int] = []

    def take(self, now: int) -> None:
        """Count a try. Raises TooFast after ten failures within a minute (our own choice)."""
        with self._lock:
            self._failed = [at for at in self._failed if now - at < MINUTE]
            if len(self._failed) >= MOST_TRIES:
                raise TooFast(
                    "Too many wrong tries in the last minute.",
                    expected="A pause.",
                    next_step="Wait a minute, then try again.",
                )
            self._failed.append(now)

    def forget(self) -> None:
        """The last try was right."""
        with self._lock:
            self._failed.pop()


class Line(NamedTuple):
    """One line of the health page."""

    name: str
    words: str
    well: bool = True


@dataclass
class Desk:
    """One application's share. `health` says lines that whoever serves adds to the health page."""

    house: Database
    door: Door
    demo: bool
    pages: dict[str, "Page"] = field(default_factory=dict)
    waiting: Waiting = field(default_factory=Waiting)
    lately: Lately = field(default_factory=Lately)
    tries: Tries = field(default_factory=Tries)
    health: list[Callable[[], Line]] = field(default_factory=list)

    def now(self) -> int:
        """The server's clock, in microseconds UTC."""
        return self.door.clock()


def desk() -> Desk:
    """The desk of the application that answers this request."""
    found: Desk = current_app.extensions["lotroot"]
    return found
