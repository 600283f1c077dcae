"""How much of what a run made went through a set of dies between two moments?

A set works in a run from when it is put in until another of its kind is; the first of a run from its
beginning, for nothing was drawn without dies. What was being made while sets were changed is divided by time,
in whole base units of a running total, so that parts of any times add up to the whole.
"""

from collections.abc import Iterable, Sequence
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

    run: str
    since: int
    until: int


class Drawn(NamedTuple):
    """What a run made from `began` to `ended`: `amount` in base units."""

    run: str
    lot: str
    amount: int
    began: int
    ended: int


def spans(uses: Iterable[Use], thing: str) -> list[Span]:
    """When a thing worked, of all uses of things of its kind in some runs; one run after the other."""
    by_run: dict[str, list[Use]] = {}
    for use in uses:
        by_run.setdefault(use.run, []).append(use)
    return [span for some in by_run.values() for span in _in_one_run(some, thing)]


def _in_one_run(uses: list[Use], thing: str) -> Iterable[Span]:
    ordered = sorted(uses, key=lambda use: (use.since, use.order))
    borders = [0, *(use.since for use in ordered[1:]), FOR_EVER]
    for use, (since, until) in zip(ordered, pairwise(borders), strict=True):
        if use.thing == thing and since < until:
            yield Span(use.run, since, until)


def drawn_by(made: Drawn, at: int) -> int:
    """How much of it was made by a moment, as if at an even pace."""
    if at >= made.ended:
        return made.amount
    if at <= made.began:
        return 0
    return made.amount * (at - made.began) // (made.ended - made.began)


def part(made: Drawn, some: Sequence[Span], since: int = 0, until: int = FOR_EVER) -> int:
    """How much of an output was made in spans of its run, and after `since` up to `until`."""
    return sum(
        drawn_by(made, min(span.until, until)) - drawn_by(made, max(span.since, since))
        for span in some
        if span.run == made.run and min(span.until, until) > max(span.since, since)
    )


def finished_in(made: Drawn, some: Sequence[Span]) -> bool:
    """Whether its end was made in one of the spans: a sample is cut from there."""
    return any(span.run == made.run and span.since < made.ended <= span.until for span in some)
