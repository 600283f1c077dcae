"""How quick is the lineage on this machine, and against what?"""

import argparse
import json
import sys
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from lotroot.bench.contests import OURS, Measured
from lotroot.bench.course import measure
from lotroot.bench.measuring import Times
from lotroot.bench.plants import Course
from lotroot.bench.report import Goal, Report
from lotroot.bench.scratch import empty
from lotroot.cli.dispatch_scans import Scans, dispatch_scans
from lotroot.cli.ledger_growth import Ledger, ledger_growth
from lotroot.cli.options import Commands, add_database, add_own, say
from lotroot.database import Database

MONTH, TEN_YEARS = 37, 3_656


def add_to(commands: Commands) -> None:
    """Add bench."""
    one = add_own(
        commands,
        "bench",
        bench,
        "Measure the lineage on an invented plant, against other ways of asking.",
        "Builds a plant of so many days in a scratch folder and asks everybody the same: ours, sqlite3 by\n"
        "hand, with and without a node for every box, and networkx and rustworkx where they are installed\n"
        "(pip install 'lotroot[bench]'). Answers are compared before they are timed. A month takes about a\n"
        "minute or two, a year six; ten years for growth take some twenty more. Free disk: 1 GB a year.\n\n"
        "  lotroot bench --days 366 --long-days 3656",
    )
    add_database(
        one, "", "scratch files; LOTROOT_DATABASE does not count here. One that is named must be empty"
    )
    one.add_argument("--days", type=_days, default=MONTH, help="days of the main plant (default: 37)")
    one.add_argument(
        "--long-days",
        type=_days,
        default=0,
        metavar="DAYS",
        help="days of the plant for growth and hold check, ten years are 3656 (default: none)",
    )
    one.add_argument(
        "--targets", type=_days, default=300, metavar="COUNT", help="questions asked (default: 300)"
    )
    one.add_argument("--seed", type=int, default=1, help="another plant of the same kind (default: 1)")
    one.add_argument(
        "--folder",
        metavar="FOLDER",
        help="where the scratch databases are made (default: where temporary files are)",
    )
    one.add_argument("--json", action="store_true", help="the figures as JSON")


def bench(arguments: argparse.Namespace) -> int:
    """Measure and say what came out; exit code 1 where answers differ."""
    if arguments.database:
        with closing(Database(arguments.database)) as database:
            empty(database)
    with TemporaryDirectory(dir=arguments.folder) as scratch:
        course = Course(
            Path(scratch),
            arguments.days,
            arguments.long_days,
            arguments.targets,
            arguments.seed,
            arguments.database,
        )
        report = measure(course, _tell)
        _tell("The demo plant, every label printed ...")
        file = Path(scratch) / "demo.db"
        _add_sizes(report, ledger_growth(file, Path(scratch) / "founded.db"))
        _tell("Dispatch scans over HTTP on it ...")
        with closing(Database(str(file))) as demo:
            _add_scans(report, dispatch_scans(demo, arguments.targets))
    say(json.dumps(report.as_json(), indent=1) if arguments.json else report.as_text())
    return 0


def _add_scans(report: Report, scans: Scans) -> None:
    """p99 instead of p95, as the goal says."""
    name = "dispatch scan over HTTP, p50 and p99"
    nothing = Times(*scans.nothing)
    report.measured += [
        Measured(name, OURS, Times(*scans.scan), 1.0, 1.0),
        Measured(name, "a route that does nothing", nothing, nothing.p50 / scans.scan[0], 1 / scans.ratio),
    ]
    report.goals.append(Goal("10", "dispatch scan, p99 over a no-op route's", scans.ratio, 5, at_most=True))


def _add_sizes(report: Report, ledger: Ledger) -> None:
    """What the record takes: lots and links a year, and a posting with its events."""
    graph = max(plant["graph MB a year"] for plant in report.plants)
    report.goals.append(Goal("8a", "lots and links, MB a plant-year", graph, 70, at_most=True))
    said = f"ledger, kB a posting of {ledger.events / ledger.postings:.1f} events"
    report.goals.append(Goal("8b", said, ledger.kilobytes / ledger.postings, 1, at_most=True))


def _tell(words: str) -> None:
    sys.stderr.write(words + "\n")
    sys.stderr.flush()


def _days(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text) <= 36_600):
        raise argparse.ArgumentTypeError(f"{text} is no such number: 0 to 36600")
    return int(text)
