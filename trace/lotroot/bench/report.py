"""What came out, as a table for people and as JSON, and which goals are met?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from lotroot.bench.contests import Measured


class Goal(NamedTuple):
    """One goal as a ratio of the same run: `found` against `wanted`, the least or, `at_most`, the most."""

    number: str
    what: str
    found: float
    wanted: float
    at_most: bool = False

    @property
    def met(self) -> bool:
        """Whether it is reached."""
        return self.found <= self.wanted if self.at_most else self.found >= self.wanted


@dataclass
class Report:
    """Everything one run measured."""

    machine: dict[str, Any]
    plants: list[dict[str, Any]] = field(default_factory=list)
    measured: list[Measured] = field(default_factory=list)
    goals: list[Goal] = field(default_factory=list)

    def ratio(self, contest: str, who: str, *, at95: bool = False) -> float | None:
        """A contender's ratio in a contest, None where it did not take part."""
        for one in self.measured:
            if one.contest == contest and one.who.startswith(who):
                return one.ratio95 if at95 else one.ratio
        return None

    def as_json(self) -> dict[str, Any]:
        """The same for programs; times in milliseconds."""
        return {
            "machine": self.machine,
            "plants": self.plants,
            "measured": [
                {**one._asdict(), "times": {"p50_ms": one.times.p50, "p95_ms": one.times.p95}}
                for one in self.measured
            ],
            "goals": [{**one._asdict(), "met": one.met} for one in self.goals],
        }

    def as_text(self) -> str:
        """The same for people."""
        lines = [", ".join(f"{key} {value}" for key, value in self.machine.items())]
        lines += [", ".join(f"{key} {value}" for key, value in one.items()) for one in self.plants]
        contest = ""
        for one in self.measured:
            if one.contest != contest:
                contest = one.contest
                lines += [
                    "",
                    contest,
                    f"  {'':46}{'p50 ms':>10}{'p95 ms':>10}{'p50 / ours':>12}{'p95 / ours':>12}",
                ]
            times = f"{one.times.p50:10.4f}{one.times.p95:10.4f}{one.ratio:12.2f}{one.ratio95:12.2f}"
            lines.append(f"  {one.who:46}{times}")
        lines += ["", *_goal_lines(self.goals)]
        return "\n".join(lines)


def _goal_lines(goals: Sequence[Goal]) -> Iterable[str]:
    for one in goals:
        sign = "at most" if one.at_most else "at least"
        met = "met" if one.met else "NOT MET"
        yield f"{met:8} goal {one.number:3} {one.what}: {one.found:.2f} ({sign} {one.wanted:g})"
