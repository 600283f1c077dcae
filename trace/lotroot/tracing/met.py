"""Which lots met a machine, a tool, an instrument, a person, a shift, a supplier or a heat, and when?

A lot met what it was made on, by or with; what it went in on; what it was checked with; who checked it;
and where it came from. A time is met by a making that overlaps it (RULES 19).
"""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from sqlalchemy import BindParameter, Connection, Select, and_, bindparam, func, or_, select

from lotroot.errors import Unreadable
from lotroot.genealogy.lots import as_alias
from lotroot.genealogy.tables import alias, lot
from lotroot.production.tables import run, run_input, run_output, run_use
from lotroot.quality.facts import checked

MADE, WENT_IN, CHECKED, CAME = "made", "went in", "checked", "came"
FOR_EVER = 2**62
"""The end of a meeting that goes on: what is loaded now."""


class Window(NamedTuple):
    """From `since` until before `until`, in microseconds UTC."""

    since: int
    until: int


class Met(NamedTuple):
    """What was met: `what` is machine, tool, vessel, instrument, person, shift, supplier or heat."""

    what: str
    number: str


class Meeting(NamedTuple):
    """A lot met it: `how` is made, went in, checked or came; `run` is empty outside runs."""

    lot: str
    how: str
    run: str
    since: int
    until: int


_window = and_(run_output.c.ended >= bindparam("since"), run_output.c.began < bindparam("until"))
_made = (
    select(run_output.c.lot, run_output.c.run, run_output.c.began, run_output.c.ended)
    .join(run, run.c.number == run_output.c.run)
    .where(run_output.c.voided == 0, _window)
)
_off = func.coalesce(run_input.c.ended_at, run_input.c.unloaded_at, run.c.closed, FOR_EVER)
_loaded = (
    select(run_input.c.lot, run_input.c.run, run_input.c.at.label("began"), _off.label("ended"))
    .join(run, run.c.number == run_input.c.run)
    .where(run_input.c.voided == 0, run_input.c.at < bindparam("until"), _off >= bindparam("since"))
)
_looked = select(
    checked.c.lot, checked.c.subject.label("run"), checked.c.at.label("began"), checked.c.at.label("ended")
).where(
    checked.c.voided == 0,
    checked.c.lot != "",
    checked.c.at >= bindparam("since"),
    checked.c.at < bindparam("until"),
)
_came = (
    select(lot.c.number.label("lot"), lot.c.run, lot.c.born_at.label("began"), lot.c.born_at.label("ended"))
    .join(alias, alias.c.number == lot.c.number)
    .where(alias.c.scheme == bindparam("scheme"), alias.c.value == bindparam("value"), lot.c.voided == 0)
    .where(lot.c.born_at >= bindparam("since"), lot.c.born_at < bindparam("until"))
)
_thing: BindParameter[str] = bindparam("thing")
_in_use = and_(run_use.c.run == run.c.number, run_use.c.thing == _thing)
_STATEMENTS: Mapping[str, tuple[tuple[str, Select[Any]], ...]] = {
    "machine": (
        (MADE, _made.where(run.c.station == _thing)),
        (WENT_IN, _loaded.where(run.c.station == _thing)),
    ),
    "tool": (
        (
            MADE,
            _made.join(run_use, _in_use).where(
                run_use.c.since <= run_output.c.ended,
                or_(run_use.c.until.is_(None), run_use.c.until >= run_output.c.began),
            ),
        ),
        (
            WENT_IN,
            _loaded.join(run_use, _in_use).where(
                run_use.c.since <= _off, or_(run_use.c.until.is_(None), run_use.c.until >= run_input.c.at)
            ),
        ),
    ),
    "instrument": ((CHECKED, _looked.where(checked.c.instrument == _thing)),),
    "person": (
        # One statement with "or" would read every output there is.
        (MADE, _made.where(run_output.c.person == _thing)),
        (MADE, _made.where(run.c.person == _thing)),
        (CHECKED, _looked.where(checked.c.person == _thing)),
    ),
    "shift": ((MADE, _made.where(run_output.c.shift == _thing)),),
    "supplier": ((CAME, _came),),
    "heat": ((CAME, _came),),
}
KINDS = tuple(_STATEMENTS)


def lots_met(connection: Connection, met: Met, window: Window) -> list[Meeting]:
    """The lots that met it in a time, in the order they did. Raises Unreadable for a time that ends first."""
    if window.until <= window.since:
        raise Unreadable(
            "This time ends before it begins.",
            expected="A beginning, and an end after it.",
            next_step="Correct one of the two.",
        )
    return sorted(set(_meetings(connection, met, window)), key=lambda one: (one.since, one.lot, one.how))


def last_change(connection: Connection, tool: str, before: int) -> int | None:
    """When a tool was last put into a machine before a time, None if never."""
    found = connection.scalar(_changed, {"thing": tool, "until": before})
    return None if found is None else int(found)


_changed = select(func.max(run_use.c.since)).where(
    run_use.c.thing == _thing, run_use.c.since < bindparam("until")
)


def _meetings(connection: Connection, met: Met, window: Window) -> Iterator[Meeting]:
    values = {"thing": met.number, **window._asdict()}
    if met.what in ("supplier", "heat"):
        values |= {"scheme": met.what, "value": as_alias(met.number)}
    for how, query in _STATEMENTS[met.what]:
        for row in connection.execute(query, values):
            yield Meeting(row.lot, how, row.run if row.run.startswith("U") else "", row.began, row.ended)
