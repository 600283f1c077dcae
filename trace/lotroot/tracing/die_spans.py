"""How much of what a run made went through a set of dies between two moments?

A set works in a run from when it is put in until another of its kind is; the first of a run from its
beginning, for nothing was drawn without dies. What was being made while sets were changed is divided by time,
in whole base units of a running total, so that parts of any times add up to the whole.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from lotroot.tracing.met import FOR_EVER


class Use(NamedTuple):
    """A thing was put into a run at a time; `order` settles equal times."""

    run: str
    thing: str
    since: int
    order: int


class Span(NamedTuple):
    """From after `since` up to and with `until` a thing worked in a run, in microseconds UTC."""

    since: int
    until: int


Spans = Mapping[str, Sequence[Span]]
"""By run."""


class Drawn(NamedTuple):
    """What a run made from `began` to `ended`: `amount` in base units."""

    run: str
    lot: str
    amount: int
    began: int
    ended: int


def spans(uses: Iterable[Use], thing: str) -> Spans:
    """When a thing worked, of all uses of things of its kind in some runs."""
    by_run: dict[str, list[Use]] = {}
    for use in uses:
        by_run.setdefault(use.run, []).append(use)
    return {run: list(_in_one_run(some, thing)) for run, some in by_run.items()}


def _in_one_run(uses: list[Use], thing: str) -> Iterator[Span]:
    ordered = sorted(uses, key=lambda use: (use.since, use.order))
    borders = [0, *(use.since for use in ordered[1:]), FOR_EVER]
    for use, (since, until) in zip(ordered, pairwise(borders), strict=True):
        if use.thing == thing and since < until:
            yield Span(since, until)


def drawn_by(made: Drawn, at: int) -> int:
    """How much of it was made by a moment, as if at an even pace."""
    if at >= made.ended:
        return made.amount
    if at <= made.began:
        return 0
    return made.amount * (at - made.began) // (made.ended - made.began)


def part(made: Drawn, some: Spans, since: int = 0, until: int = FOR_EVER) -> int:
    """How much of an output was made in spans of its run, and after `since` up to `until`."""
    there = some.get(made.run, ())
    if (
        len(there) == 1
        and max(there[0].since, since) < made.began
        and made.ended <= min(there[0].until, until)
    ):
        return made.amount  # nearly all outputs
    return sum(
        drawn_by(made, min(span.until, until)) - drawn_by(made, max(span.since, since))
        for span in there
        if min(span.until, until) > max(span.since, since)
    )


def finished_in(made: Drawn, some: Spans) -> bool:
    """Whether its end was made in one of the spans: a sample is cut from there."""
    return any(span.since < made.ended <= span.until for span in some.get(made.run, ()))
