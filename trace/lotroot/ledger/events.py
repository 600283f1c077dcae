"""What is an event, and how is an event of an older release read today?

Each feature declares its events as frozen dataclasses under `@event`. The name is the kind; a
change of fields raises the version and adds an upcast from the version before.
"""

import dataclasses
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from lotroot.errors import Fault
from lotroot.ledger.codec import decode

Body = dict[str, Any]
Upcast = Callable[[Body], Body]
E = TypeVar("E", bound=type)

_KINDS: dict[str, type] = {}
_VERSIONS: dict[str, int] = {}
_UPCASTS: dict[tuple[str, int], Upcast] = {}


@dataclasses.dataclass(frozen=True)
class Posting:
    """The hand-over an event belongs to: who recorded it, where, and when it happened.

    Times are integer microseconds UTC; `offset` is the plant's offset from UTC then, in minutes.
    """

    id: int
    uuid: str
    key: str
    payload_sha: str
    command: str
    site: str
    person: str
    station: str
    happened: int
    offset: int
    entered: int
    basis: str
    plant: str
    reason: str = ""
    supervisor: str = ""
    voids: int = 0
    answer: str = ""


@dataclasses.dataclass(frozen=True)
class Recorded:
    """An event with its number in the ledger and its posting: all that `apply` may look at."""

    id: int
    event: Any
    posting: Posting


def event(kind: E) -> E:
    """Declare a frozen dataclass as an event of version 1."""
    return _declare(kind, 1)


def event_version(version: int, upcasts: Mapping[int, Upcast]) -> Callable[[E], E]:
    """Declare an event of a later version, with the step from each earlier version to the next."""

    def declared(kind: E) -> E:
        for older, upcast in upcasts.items():
            _UPCASTS[kind.__name__, older] = upcast
        return _declare(kind, version)

    return declared


def _declare(kind: E, version: int) -> E:
    if kind.__name__ in _KINDS:
        raise Fault("Two events have the same name.", value=kind.__name__)
    _KINDS[kind.__name__] = kind
    _VERSIONS[kind.__name__] = version
    return kind


def version_of(kind: str) -> int:
    """The version this release writes for an event kind."""
    return _VERSIONS[kind]


def kinds() -> tuple[str, ...]:
    """Every declared event kind, sorted."""
    return tuple(sorted(_KINDS))


def revive(kind: str, version: int, body: Body) -> Any:
    """The event of today from a stored body of any released version."""
    if kind not in _KINDS or version > _VERSIONS[kind]:
        raise Fault(
            "The ledger holds an event this release does not know.",
            value=f"{kind} version {version}",
            expected=f"At most version {_VERSIONS.get(kind, 0)}.",
            next_step="Start the release that wrote it, or a newer one.",
        )
    while version < _VERSIONS[kind]:
        body = _UPCASTS[kind, version](body)
        version += 1
    return decode(_KINDS[kind], body)
