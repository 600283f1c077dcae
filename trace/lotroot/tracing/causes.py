"""What do several goods have in common: which lots they come of, and what they met on the way?

A cause is a lot, a machine, a tool, a person, a shift, a supplier or a heat that two of the goods or more
share. The fewer other lots that left the plant it touches, the better it tells these goods from all
others. Live links only.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row

from lotroot.dispatch.shipments import loads_of_lots
from lotroot.errors import Unreadable
from lotroot.production.runs import Run
from lotroot.receiving.facts import NOT_ON_TAG
from lotroot.tracing.asking import Asked, asked
from lotroot.tracing.chapters import SourceFacts
from lotroot.tracing.fate import all_below
from lotroot.tracing.kin import Kin, kin_above
from lotroot.tracing.lot_facts import source_facts_of
from lotroot.tracing.met import FOR_EVER, Met, Window, lots_met
from lotroot.tracing.run_rows import runs_loading, runs_numbered
from lotroot.tracing.whereabouts import LEFT
from lotroot.tracing.words import Words

FEWEST, MOST_ASKED = 2, 50
MOST_CAUSES = 60
"""A page of causes; the ones that cover fewest of the goods are left off, and counted."""


class Cause(NamedTuple):
    """Something that several of the goods share.

    `what` is lot, machine, tool, person, shift, supplier or heat; `covers` are the goods (numbers) that
    share it; `others` are further lots that left the plant and come of it, or met it in the same time.
    """

    what: str
    number: str
    covers: tuple[str, ...]
    window: Window
    others: int = 0


class Causes(NamedTuple):
    """The causes of some goods, the likeliest first; `visited` lots were looked at."""

    asked: tuple[str, ...]
    causes: tuple[Cause, ...]
    visited: int
    left_off: int


class _Share(NamedTuple):
    """One of the goods has met something, at some time."""

    what: str
    number: str
    by: str
    since: int
    until: int


def causes(connection: Connection, texts: Iterable[str]) -> Causes:
    """What the goods of some numbers, typed or scanned, have in common.

    Raises Unknown for a number nobody gave; Unreadable for what is no goods, for fewer than two goods or
    more than fifty.
    """
    goods = _goods(connection, texts)
    kin = kin_above(connection, {part.lot.id for one in goods for part in one.parts})
    shares: dict[tuple[str, str], list[_Share]] = {}
    for one in _shares(connection, kin, goods):
        shares.setdefault((one.what, one.number), []).append(one)
    found = [_cause(some, goods) for some in shares.values()]
    found = sorted((one for one in found if len(one.covers) >= FEWEST), key=_likeliest)
    own = {part.lot.number for one in goods for part in one.parts}
    counted = [one._replace(others=_others(connection, one, own)) for one in found[:MOST_CAUSES]]
    ordered = tuple(sorted(counted, key=_likeliest))
    return Causes(tuple(one.number for one in goods), ordered, len(kin.lots), len(found) - len(ordered))


def _likeliest(one: Cause) -> tuple[Any, ...]:
    """All of the goods before some of them, few others before many, then by what it is."""
    return -len(one.covers), one.others, one.what != "lot", one.what, one.number


def _goods(connection: Connection, texts: Iterable[str]) -> list[Asked]:
    found = {one.number: one for one in (asked(connection, text) for text in texts)}
    if not FEWEST <= len(found) <= MOST_ASKED:
        raise Unreadable(
            "Goods are compared with each other.",
            value=", ".join(found),
            expected=f"The numbers of {FEWEST} to {MOST_ASKED} different goods.",
            next_step="Scan the labels, one after the other.",
        )
    return list(found.values())


def _cause(some: Sequence[_Share], goods: Sequence[Asked]) -> Cause:
    by = {one.by for one in some}
    window = Window(min(one.since for one in some), max(one.until for one in some))
    covers = tuple(one.number for one in goods if one.number in by)
    return Cause(some[0].what, some[0].number, covers, window)


def _shares(connection: Connection, kin: Kin, goods: Sequence[Asked]) -> Iterator[_Share]:
    """Every lot above each of the goods, and all that those lots met when they were made or came."""
    told = _Told(connection, kin)
    for one in goods:
        own = {part.lot.id for part in one.parts}
        for lot in _above(kin, own):
            row = kin.lots[lot]
            if lot not in own or len(own) > 1:
                yield _Share("lot", row.number, one.number, row.born_at, row.born_at + 1)
            yield from told.of(row, one.number)


class _Told:
    """What is recorded of some lots beside their links, read in a few statements."""

    def __init__(self, connection: Connection, kin: Kin) -> None:
        numbers = [row.number for row in kin.lots.values()]
        made = {row.run for row in kin.lots.values() if row.run}
        some = runs_numbered(connection, made | runs_loading(connection, numbers))
        self._made = {one.number: one for one in some}
        # A run without outputs took its lots in and gave them back as they were: annealing, drying.
        self._worked: dict[str, list[Run]] = {}
        for one in some:
            for load in one.inputs if not one.outputs else ():
                self._worked.setdefault(load.lot, []).append(one)
        self._sources = source_facts_of(connection, numbers, Words(connection))

    def of(self, lot: Row[Any], by: str) -> Iterator[_Share]:
        """What one lot met."""
        source = self._sources.get(lot.number)
        if source is not None:
            yield from _of_source(_sharing(by, lot.born_at, lot.born_at), source)
        if lot.run in self._made:
            yield from _of_outputs(self._made[lot.run], lot.number, by)
        for run in self._worked.get(lot.number, ()):
            until = run.row.closed or max(load.at for load in run.inputs)
            yield from _of_run(run, _sharing(by, run.row.opened, until))
            yield _sharing(by, run.row.opened, until)("shift", run.row.shift)


def _above(kin: Kin, lots: Iterable[int]) -> set[int]:
    found: set[int] = set()
    todo = [lot for lot in lots if lot in kin.lots]
    while todo:
        lot = todo.pop()
        if lot not in found:
            found.add(lot)
            todo += [link.parent for link in kin.links.get(lot, ())]
    return found


_Sharing = Callable[[str, str], _Share]


def _sharing(by: str, since: int, until: int) -> _Sharing:
    """A meeting from one moment to another, both included."""
    return lambda what, number: _Share(what, number, by, since, until + 1)


def _of_source(share: _Sharing, source: SourceFacts) -> Iterator[_Share]:
    if source.supplier.number:
        yield share("supplier", source.supplier.number)
    for heat in source.heats:
        if heat != NOT_ON_TAG:
            yield share("heat", heat)


def _of_outputs(run: Run, lot: str, by: str) -> Iterator[_Share]:
    """What the outputs of one lot met: the machine, the tools in it, who made them, in which shift."""
    for made in (one for one in run.outputs if one.lot == lot):
        share = _sharing(by, made.began, made.ended)
        yield from _of_run(run, share, (made.began, made.ended))
        yield share("person", made.person)
        yield share("shift", made.shift)


def _of_run(run: Run, share: _Sharing, making: tuple[int, int] | None = None) -> Iterator[_Share]:
    yield share("machine", run.row.station)
    yield share("person", run.row.person)
    for use in run.uses:
        began, ended = making or (use.since, use.since)
        if use.since <= ended and (use.until is None or use.until >= began):
            yield share("tool", use.thing)


def _others(connection: Connection, cause: Cause, own: set[str]) -> int:
    """How many further lots left the plant that come of a cause, or met it in the time between.

    A heat is one melt whenever it came in, so no time bounds it.
    """
    if cause.what == "lot":
        met = {cause.number}
    else:
        window = Window(0, FOR_EVER) if cause.what == "heat" else cause.window
        met = {one.lot for one in lots_met(connection, Met(cause.what, cause.number), window)}
    numbers = all_below(connection, met) - own
    return len({row.lot for row in loads_of_lots(connection, sorted(numbers)) if row.state == LEFT})
