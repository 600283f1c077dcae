"""What went into each filling of a vessel, what passed to the next one, and what came out?

A filling is the span between two loadings (RULES 11). The links say who could be in which output; the
loads say how much really went in. All amounts are in the unit of one stream.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from lotroot.tracing.kin import Link
from lotroot.tracing.spans import Span


class Poured(NamedTuple):
    """A load of a vessel: of which lot (by id), which part of it, how much, and in which filling first."""

    lot: int
    span: Span
    amount: int
    filling: int


class Drawn(NamedTuple):
    """What came out of a filling into a lot (by id), or into some serials of it."""

    filling: int
    lot: int
    span: Span
    amount: int


@dataclass
class Vessel:
    """One run and stream: what was poured, drawn, passed on, and gained where more came out than went in.

    `passed` is by the filling it left, `gained` by the filling it was found in. Of a `blurred` filling the
    links say that some of what it could hold was not in every output. `named` outputs are of one load
    alone and bypass the filling: (load, output).
    """

    poured: list[Poured]
    drawn: list[Drawn]
    named: list[tuple[Poured, Drawn]] = field(default_factory=list)
    passed: dict[int, int] = field(default_factory=dict)
    gained: dict[int, int] = field(default_factory=dict)
    blurred: set[int] = field(default_factory=set)


def vessel(links: Iterable[Link], put_in: Mapping[int, int]) -> Vessel:
    """A vessel from the links of all its outputs and what was put in by load."""
    inside: dict[int, set[int]] = {}
    drawn: dict[tuple[int, int, Span], dict[int, int]] = {}
    poured: dict[int, Poured] = {}
    for link in sorted(links, key=lambda link: (link.filling, link.child, link.seq)):
        inside.setdefault(link.filling, set()).add(link.load)
        parts = drawn.setdefault((link.filling, link.child, link.child_span), {})
        parts[link.load] = parts.get(link.load, 0) + link.given
        amount = max(0, put_in.get(link.load, 0))
        poured.setdefault(link.load, Poured(link.parent, link.parent_span, amount, link.filling))
    found = Vessel([], [])
    for key, parts in drawn.items():
        output = Drawn(*key, sum(parts.values()))
        if len(parts) == 1 < len(inside[output.filling]):
            (load,) = parts
            found.named.append((poured[load], output))
            poured[load] = poured[load]._replace(amount=max(0, poured[load].amount - output.amount))
        else:
            found.drawn.append(output)
            if parts.keys() != inside[output.filling]:
                found.blurred.add(output.filling)
    found.poured = list(poured.values())
    _pass_on(found, inside)
    return found


def _pass_on(found: Vessel, inside: Mapping[int, set[int]]) -> None:
    """What each filling had more than came out of it, unless all that was in it was said to be out."""
    there, before, last = 0, set[int](), 0
    for filling in sorted(inside):
        stayed = before & inside[filling]
        if before and not stayed:
            found.passed[last] = there = 0
        elif stayed != before:
            found.blurred.add(filling)
        there += sum(each.amount for each in found.poured if each.filling == filling)
        out = sum(each.amount for each in found.drawn if each.filling == filling)
        found.gained[filling] = max(0, out - there)
        there = found.passed[filling] = max(0, there - out)
        before, last = inside[filling], filling
