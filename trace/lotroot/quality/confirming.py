"""How does a named person confirm a figure, put another in its place, or take that back?

A confirmation or override counts for the very text that was read; a figure that says anything else by then is
not confirmed. What was judged before keeps what it was judged by.
"""

from dataclasses import dataclass

from lotroot.confirmed.facts import FigureConfirmed, FigureOverridden, FigureWithdrawn, Value
from lotroot.confirmed.figures import Figure, named
from lotroot.confirmed.standing import Standing, standing
from lotroot.errors import Refused, Unreadable
from lotroot.identity.showing import shown
from lotroot.plant.figures import LIMITS, figures_of, titled
from lotroot.quality.overriding import values_given
from lotroot.work import Answer, Handler, Work

WORDS_ONLY = ("cautions",)
"""Tables of sentences: nothing is measured by them."""
DEFINED = ("constants", "sheet_gauges", "wire_gauges")
"""Tables that say what a unit or a gauge means: a plant may stand behind a row, but not change it."""


@dataclass(frozen=True)
class ConfirmFigure:
    """A named person has compared a figure with its source and stands behind it as it is.

    `table` is a published table, plant-limits or plant-losses; `row` the texts of its leading columns, with
    " | " between; `against` what it was compared with, as a standard and its edition. `digest` is that of
    the figure as it was shown, so that nobody confirms what has changed meanwhile; it may be left out.
    """

    table: str
    row: str
    against: str
    digest: str = ""


@dataclass(frozen=True)
class OverrideFigure:
    """In place of a figure the plant goes by other values, for a reason.

    `values` are texts such as "low=2.40", one for each column that is another; empty behind the sign for a
    limit that there is not.
    """

    table: str
    row: str
    values: tuple[str, ...]
    reason: str
    digest: str = ""


@dataclass(frozen=True)
class WithdrawFigure:
    """A confirmation or override of a figure counts no more, for a reason."""

    table: str
    row: str
    reason: str


def _confirm(work: Work, command: ConfirmFigure) -> Answer:
    figure = _found(work, command.table, command.row, command.digest)
    against = _words(
        command.against, "What it was compared with", "A standard with its edition, or a drawing."
    )
    said = standing(work.connection, figure)
    if said.by_name and not said.overridden:
        by = f"{shown(said.person)} at {work.local_time(said.at)}"
        raise Refused(
            f"{_call(work, figure)} was confirmed already, by {by}.",
            word="already",
            value=figure.row,
            expected="A figure that nobody has confirmed.",
            next_step="Go on; it counts as confirmed.",
        )
    work.record(FigureConfirmed(figure.table, figure.row, figure.digest, figure.said(), against))
    return Answer(f"{_call(work, figure)} is confirmed: {figure.said()}.")


def _override(work: Work, command: OverrideFigure) -> Answer:
    figure = _found(work, command.table, command.row, command.digest)
    if figure.table in DEFINED:
        raise Refused(
            f"{_call(work, figure)} says what a gauge or unit means; no plant can make it mean another.",
            value=figure.row,
            expected="A figure that is measured, agreed or known from practice.",
            next_step="Give the size in mm instead.",
        )
    reason = _words(command.reason, "The reason", "Why the plant goes by other values.")
    given = values_given(work, figure, command.values)
    said = standing(work.connection, figure)
    if {**figure.values, **given} == dict(said.values):
        raise Refused(
            f"{_call(work, figure)} says so already: {figure.said(said.values)}.",
            word="already",
            value=figure.said(given),
            expected="Another value than the one in force.",
            next_step="Confirm it, if it is right as it is.",
        )
    replaced = tuple(Value(column, text) for column, text in given.items())
    stood = figure.said()
    work.record(FigureOverridden(figure.table, figure.row, figure.digest, stood, replaced, reason))
    return Answer(f"{_call(work, figure)} is overridden: {figure.said({**figure.values, **given})}.")


def _withdraw(work: Work, command: WithdrawFigure) -> Answer:
    figure = named(figures_of(work.plant, command.table), command.table, command.row)
    reason = _words(command.reason, "The reason", "Why it counts no more.")
    said = standing(work.connection, figure)
    if not said.by_name:
        raise Refused(
            f"Nobody has confirmed or overridden {_call(work, figure)}.",
            word="already",
            value=figure.row,
            expected="A figure that somebody confirmed or overrode.",
            next_step="Go on; nothing counts that could be withdrawn.",
        )
    while said.by_name:  # an older confirmation must not come to light under it
        work.record(FigureWithdrawn(figure.table, figure.row, said.event, reason))
        said = standing(work.connection, figure)
    return Answer(f"{_call(work, figure)} is as it was: {figure.said()}{_doubt(said)}.")


def _call(work: Work, figure: Figure) -> str:
    return titled(work.plant, figure)


def _doubt(said: Standing) -> str:
    return "" if said.counts else ", from memory and not confirmed"


def decidable(figure: Figure) -> bool:
    """Whether a figure may be confirmed or overridden at all."""
    return figure.table not in WORDS_ONLY and (figure.table != LIMITS or figure.from_memory)


def _found(work: Work, table: str, row: str, digest: str) -> Figure:
    """The figure that is meant. Raises Unknown, or Refused where it changed since or is not to be decided."""
    figure = named(figures_of(work.plant, table), table, row)
    if digest and digest != figure.digest:
        raise Refused(
            f"{_call(work, figure)} has changed since you read it: {figure.said()}.",
            value=figure.said(),
            expected="The figure as it stands now.",
            next_step="Open it again and compare it anew.",
        )
    if table in WORDS_ONLY:
        raise Refused(
            f"Table {table} holds sentences and no figures.",
            value=figure.row,
            expected="A figure.",
            next_step="Nothing needs to be confirmed there.",
        )
    if table == LIMITS and not figure.from_memory:
        raise Refused(
            f"{_call(work, figure)} is not from memory; it is as sure as plant.toml says.",
            value=figure.confidence,
            expected="Limits from memory.",
            next_step="To judge by others, change plant.toml and adopt it.",
        )
    return figure


def _words(text: str, what: str, expected: str) -> str:
    words = " ".join(text.split())
    if not words or len(words) > 200:
        raise Unreadable(
            f"{what} is {'too long' if words else 'missing'}.",
            value=words[:60],
            expected=f"{expected} At most 200 characters.",
            next_step="Write it, then send it again.",
        )
    return words


HANDLERS: dict[type, Handler] = {
    ConfirmFigure: Handler(_confirm, pin=True),
    OverrideFigure: Handler(_override, pin=True),
    WithdrawFigure: Handler(_withdraw, pin=True),
}
