"""How quick is a label on this machine, and does anybody who posts wait for one?"""

import argparse
import json
import secrets
import time
from contextlib import closing
from itertools import cycle
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from sqlalchemy import select

from lotroot.bench.contests import Measured
from lotroot.bench.course import machine
from lotroot.bench.measuring import Times, at
from lotroot.bench.report import Goal, Report
from lotroot.cli.dispatch_scans import demo_plant
from lotroot.cli.options import Commands, add_own, say
from lotroot.database import Database
from lotroot.demo.practice import people
from lotroot.errors import Fault
from lotroot.genealogy.tables import lot
from lotroot.labelling import outbox
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.pace import NOT_READ_BACK, PLAIN, READ_BACK, block_pace, label_times
from lotroot.ledger.names import names_of
from lotroot.posting.door import Door
from lotroot.work import Envelope
from lotroot.worker import Worker, drain

RESOLUTIONS = (203, 300)
BLOCK, BLOCK_SECONDS = 1_000, 4.0
MOST_BESIDE = 5.0
"""Times as long a posting may take beside a worker at work: they share a processor, never a lock. Our own
choice; waiting for the block to end would be some hundred times."""

_ROUNDS, _WARM = 4, 10


class Postings(NamedTuple):
    """Nanoseconds of postings that each queue a label, with no worker and while one renders a block."""

    alone: list[int]
    beside: list[int]


def add_to(commands: Commands) -> None:
    """Add bench-labels."""
    one = add_own(
        commands,
        "bench-labels",
        bench_labels,
        "Measure how quick labels are, against plain drawing, and whether postings wait for them.",
        "A label of 100 x 70 mm to PNG beside one put together from the libraries' own pictures; a block of\n"
        "1,000 labels as one PDF; a posting that queues a label, with and without a worker that renders.\n"
        "Works in a scratch folder; takes about a minute. Run it where nothing else runs.",
    )
    one.set_defaults(database="")
    one.add_argument("--turns", type=_count, default=100, help="labels of each kind (default: 100)")
    one.add_argument("--block", type=_count, default=BLOCK, help="labels in the PDF (default: 1000)")
    one.add_argument("--json", action="store_true", help="the figures as JSON")


def bench_labels(arguments: argparse.Namespace) -> int:
    """Measure and say what came out; exit code 1 where a goal is missed."""
    report = Report(machine())
    for dpi in RESOLUTIONS:
        _add_labels(report, dpi, label_times(arguments.turns, dpi))
    block_pace(1)
    made = block_pace(arguments.block)
    report.plants.append({"labels in one PDF": made.labels, "MB": round(made.size / 1e6, 2)})
    report.goals += [
        Goal("3", f"seconds for {made.labels} labels in one PDF", made.seconds, BLOCK_SECONDS, at_most=True),
        Goal("3", "of them seconds of a processor", made.processor, BLOCK_SECONDS, at_most=True),
    ]
    with TemporaryDirectory() as scratch, closing(demo_plant(str(Path(scratch) / "demo.db"))) as demo:
        _add_postings(report, postings(demo, arguments.turns))
    say(json.dumps(report.as_json(), indent=1) if arguments.json else report.as_text())
    return 0 if all(goal.met for goal in report.goals) else 1


def _add_labels(report: Report, dpi: int, took: dict[str, list[int]]) -> None:
    """Ratios are over ours with its read-back; the goals ask them of the leanest of the others."""
    contest = f"a label of 100 x 70 mm to PNG at {dpi} dpi"
    _add(report, contest, took)
    plain = min(median(took[who]) for who in PLAIN.values())
    with_it, without = (plain / median(took[who]) for who in (READ_BACK, NOT_READ_BACK))
    report.goals += [
        Goal("1", f"plain drawing over ours with its read-back, {dpi} dpi", with_it, 1.3),
        Goal("2", f"plain drawing over ours without, {dpi} dpi", without, 2),
    ]


def _add_postings(report: Report, took: Postings) -> None:
    _add(report, "a posting that queues a label", {"no worker": took.alone, "beside a worker": took.beside})
    ratio = median(took.beside) / median(took.alone)
    report.goals.append(Goal("4", "posting beside a worker over alone", ratio, MOST_BESIDE, at_most=True))


def _add(report: Report, contest: str, took: dict[str, list[int]]) -> None:
    """Times of everybody; the first is what the ratios are over."""
    times = {who: Times(at(each, 0.5), at(each, 0.95)) for who, each in took.items()}
    base = next(iter(times.values()))
    report.measured += [
        Measured(contest, who, each, each.p50 / base.p50, each.p95 / base.p95) for who, each in times.items()
    ]


def postings(database: Database, turns: int) -> Postings:
    """Post label after label on the demo plant, in rounds with no worker and beside one that is kept busy."""
    door = Door(database)
    person, numbers, block = _asked(database)
    drain(door)
    took = Postings([], [])
    each = max(1, turns // _ROUNDS)
    for _ in range(_WARM):
        _posted(door, person, PrintAgain(next(numbers), "torn"))
    for _ in range(_ROUNDS):
        drain(door)
        took.alone.extend(_posted(door, person, PrintAgain(next(numbers), "torn")) for _ in range(each))
        drain(door)
        worker = Worker(door)
        try:
            for _ in range(2):
                _posted(door, person, block)
            worker.start()
            while _waiting(database) == 2:
                time.sleep(0.001)
            for _ in range(each):
                beside = _posted(door, person, PrintAgain(next(numbers), "torn"))
                if _waiting(database) and worker.alive:
                    took.beside.append(beside)
        finally:
            worker.stop()
    if not took.beside:
        raise Fault(
            "The worker had printed everything before the first posting was measured.",
            expected="A worker at work.",
            next_step="Measure with more turns.",
        )
    return took


def _posted(door: Door, person: str, command: Any) -> int:
    begun = time.perf_counter_ns()
    door.post(command, Envelope(person=person, key=f"bench-{secrets.token_hex(16)}"))
    return time.perf_counter_ns() - begun


def _waiting(database: Database) -> int:
    with database.reading() as connection:
        return len(outbox.jobs_in(connection, outbox.QUEUED))


def _asked(database: Database) -> tuple[str, Any, PrintAgain]:
    """Who posts, numbers of lots in turn, and the command that prints the longest block of items."""
    with database.reading() as connection:
        names = {name: number for number, name in names_of(connection).items()}
        lots = connection.execute(select(lot.c.number, lot.c["items"]).where(lot.c.voided == 0)).all()
    person = next(names[one.name] for one in people() if "supervisor" in one.roles)
    longest = max(lots, key=lambda one: one[1])
    singles = [number for number, items in lots if not items]
    return person, cycle(singles), PrintAgain(longest[0], "torn", 1, longest[1])


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 9_999):
        raise argparse.ArgumentTypeError(f"{text} is no such number: 1 to 9999")
    return int(text)
