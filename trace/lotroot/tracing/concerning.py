"""Which of the events that name a lot concern one item of it?"""

from collections.abc import Iterable, Iterator
from typing import Any

from lotroot.ledger.events import Recorded


def concerning(events: Iterable[Recorded], lot: str, serial: int) -> list[Recorded]:
    """The events that speak of all of a lot, or of serials with this one among them."""
    return [recorded for recorded in events if _concerns(recorded.event, lot, serial)]


def _concerns(fact: Any, lot: str, serial: int) -> bool:
    if getattr(fact, "lot", getattr(fact, "number", "")) == lot and getattr(fact, "serial", 0):
        return bool(fact.serial == serial)
    spans = list(_spans(fact, lot))
    return not spans or any(first <= serial <= last for first, last in spans)


def _spans(fact: Any, lot: str) -> Iterator[tuple[int, int]]:
    """The serials of a lot that an event, or a part of it, names."""
    for part in (fact, *_parts(fact)):
        of = getattr(part, "lot", getattr(part, "number", ""))
        if of == lot and getattr(part, "first", 0):
            yield part.first, part.last
    for serial in getattr(fact, "serials", ()):
        yield serial, serial
    for weight in getattr(fact, "weights", ()):
        yield weight.serial, weight.serial


def _parts(fact: Any) -> Iterator[Any]:
    for name in ("moves", "lines", "judged"):
        yield from getattr(fact, name, ())
