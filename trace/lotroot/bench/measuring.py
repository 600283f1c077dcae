"""How long does an answer take, fairly?

Every contender answers the same targets, one after the other, after one warm pass; of three runs the
median p50 and the median p95 count.
"""

import time
from collections.abc import Callable, Sequence
from statistics import median
from typing import Any, NamedTuple

RUNS = 3


class Times(NamedTuple):
    """Milliseconds at the median and at the 95th percentile."""

    p50: float
    p95: float


def timed(answer: Callable[[Any], object], targets: Sequence[Any], runs: int = RUNS) -> Times:
    """The times of one contender over all targets."""
    for target in targets:
        answer(target)
    found = [_run(answer, targets) for _ in range(runs)]
    return Times(median(one.p50 for one in found), median(one.p95 for one in found))


def _run(answer: Callable[[Any], object], targets: Sequence[Any]) -> Times:
    took = []
    for target in targets:
        begun = time.perf_counter_ns()
        answer(target)
        took.append(time.perf_counter_ns() - begun)
    return Times(at(took, 0.5), at(took, 0.95))


def at(took: Sequence[int], part: float) -> float:
    """The time below which that part of all lies: nanoseconds in, milliseconds out."""
    ordered = sorted(took)
    return ordered[min(int(len(ordered) * part), len(ordered) - 1)] / 1e6
