"""How quick are the yields of a year, and the closing of a run of 400 outputs?"""

import argparse
import json
import re
import secrets
from collections.abc import Callable, Sequence
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from flask.testing import FlaskClient

from lotroot.bench.contests import Measured
from lotroot.bench.course import machine
from lotroot.bench.measuring import Times, at
from lotroot.bench.report import Goal, Report
from lotroot.bench.statements import Watch, watched
from lotroot.bench.year import DAYS, Year
from lotroot.cli.dispatch_scans import demo_plant
from lotroot.cli.options import Commands, add_own, say
from lotroot.database import Database
from lotroot.demo.practice import Somebody, people
from lotroot.errors import Fault, Question
from lotroot.identity import Family
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import number_of, things
from lotroot.posting.door import Door
from lotroot.production.loading import LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.receiving.commands import ReceiveLot
from lotroot.reconciliation.yields import GROUPINGS
from lotroot.web.app import create_app
from lotroot.work import Envelope

PAGE_MS, CLOSING_MS = 150, 50
"""What the yield page of a year may take in all, and closing a run of 400 outputs in the database."""
OUTPUTS, TURNS = 400, 9
COIL = 2_000_000
PARTS = ("whole", "of it on the processor", "its statements", "of them on the processor")


def add_to(commands: Commands) -> None:
    """Add bench-yields."""
    one = add_own(
        commands,
        "bench-yields",
        bench_yields,
        "Measure the yield page on a year of an invented plant, and the closing of a large run.",
        "Writes the balances of 350 days (23,100 coils, some 150,000 runs) beside the demo plant into a\n"
        "scratch file and asks for the year by every grouping; makes 400 strippers of a coil, closes their\n"
        "run. Takes some three minutes. Run it where nothing else runs.",
    )
    one.set_defaults(database="")
    one.add_argument("--days", type=int, default=DAYS, help=f"days of 66 coils (default: {DAYS})")
    one.add_argument("--outputs", type=int, default=OUTPUTS, help=f"of the run (default: {OUTPUTS})")
    one.add_argument(
        "--turns", type=int, default=TURNS, help=f"times each page is asked for (default: {TURNS})"
    )
    one.add_argument("--json", action="store_true", help="the figures as JSON")


def bench_yields(arguments: argparse.Namespace) -> int:
    """Measure and say what came out; exit code 1 where a goal is missed."""
    report = Report(machine())
    with TemporaryDirectory() as scratch:
        file = str(Path(scratch) / "demo.db")
        demo_plant(file).close()
        database, watch = watched(file)
        with closing(database):
            closing_times(report, database, watch, arguments.outputs)
            last = date.today()
            with database.writing() as connection:
                stations = {row.code: row.number for row in things(connection) if row.kind == "station"}
                year = Year(last, stations, arguments.days)
                year.write(connection)
            report.plants.append({"days": arguments.days, "coils": year.coils, "runs": year.runs})
            page_times(
                report, database, watch, (last - timedelta(days=arguments.days - 1), last), arguments.turns
            )
    say(json.dumps(report.as_json(), indent=1) if arguments.json else report.as_text())
    return 0 if all(goal.met for goal in report.goals) else 1


def page_times(report: Report, database: Database, watch: Watch, days: tuple[date, date], turns: int) -> None:
    """The year by each grouping, and the pages beside it: whole, and the part that is the database's."""
    client = manager(database)
    year = f"from={days[0]}&to={days[1]}"
    pages = {f"yields by {by}": f"/yields?{year}&by={by}" for by in GROUPINGS}
    pages["scrap by reason"] = f"/yields/scrap?{year}"
    pages["where mass went missing"] = f"/yields/missing?{year}"
    worst = [0.0, 0.0]
    for name, address in pages.items():

        def ask(address: str = address) -> None:
            answer = client.get(address)
            if answer.status_code != 200:
                raise Fault("A page was not answered.", value=f"{address}: {answer.status_code}")

        ask()  # the first one compiles its template
        times = _measured(report, watch, name, [ask] * turns)
        if name.startswith("yields"):
            worst = [max(mine, one.p50) for mine, one in zip(worst, times[:2], strict=True)]
    _goals(report, "ms for the yield page of a year, by the slowest grouping", worst, PAGE_MS)


def _goals(report: Report, what: str, found: Sequence[float], wanted: int) -> None:
    """By the clock, and by the processor alone: others at work on the machine lengthen the one only."""
    for how, amount in zip(("by the clock", "on the processor"), found, strict=True):
        report.goals.append(Goal("4", f"{what}, {how}", amount, wanted, at_most=True))


def _measured(report: Report, watch: Watch, name: str, asked: Sequence[Callable[[], object]]) -> list[Times]:
    """The times of each of `PARTS`, as they go into the report."""
    took: dict[str, list[int]] = {part: [] for part in PARTS}
    for ask in asked:
        with watch.on():
            ask()
        figures = (watch.whole, watch.whole_processor, watch.spent, watch.processor)
        for part, figure in zip(PARTS, figures, strict=True):
            took[part].append(figure)
    times = {part: Times(at(some, 0.5), at(some, 0.95)) for part, some in took.items()}
    whole = times[PARTS[0]]
    name = f"{name}, {watch.statements} statements"
    report.measured += [
        Measured(name, part, one, one.p50 / whole.p50, one.p95 / whole.p95) for part, one in times.items()
    ]
    return list(times.values())


def manager(database: Database) -> FlaskClient:
    """A browser of the office, where the manager is at work."""
    client = create_app(database, Door(database), demo=True).test_client()
    token = re.findall(r'name="csrf-token" content="(\w+)"', client.get("/signin").text)[0]
    boss = _who("manager")
    told = {"csrf_token": token, "badge": boss.badge, "pin": boss.pin}
    if client.post("/signin/badge", data=told).status_code != 303:
        raise Fault("The demo plant's manager could not sign in.")
    return client


def _who(role: str) -> Somebody:
    return next(one for one in people() if role in one.roles)


def closing_times(report: Report, database: Database, watch: Watch, outputs: int) -> None:
    """Close a run of so many strippers: one that adds up, and one that puts all of them in question."""
    post = _poster(database)
    post("operator", "draw_1", CloseRun())  # what the demo left open
    worst = [0.0, 0.0]
    for name, missing in (("adds up", 0), ("is beyond tolerance", 100_000)):
        _made(post, outputs, missing)
        tries = [lambda: post("operator", "draw_1", CloseRun(), rehearsed=True)] * TURNS
        tries.append(lambda: post("operator", "draw_1", CloseRun()))
        told = f"closing a run of {outputs} outputs that {name}"
        times = _measured(report, watch, told, tries)
        worst = [max(mine, one.p50) for mine, one in zip(worst, times[2:], strict=True)]
    _goals(report, f"ms of database work to close a run of {outputs} outputs", worst, CLOSING_MS)


def _poster(database: Database) -> Callable[..., str]:
    """Posts as somebody of a role at a station of the demo plant; a question gets its first answer.

    `rehearsed`: through the door, and taken back again. Returns the first number of the answer.
    """
    door = Door(database)
    with database.reading() as connection:
        named = {name: number for number, name in names_of(connection).items() if number[0] == Family.PERSON}
        numbers = {code: number_of(connection, "station", code) for code in ("draw_1", "receiving")}

    def post(role: str, station: str, command: Any, *, rehearsed: bool = False, **answers: str) -> str:
        key = secrets.token_hex(16)
        envelope = Envelope(key, named[_who(role).name], numbers[station], answers=answers)
        try:
            if rehearsed:
                return door.rehearse(command, envelope)
            return next(iter(door.post(command, envelope).numbers), "")
        except Question as question:
            answered = {**answers, question.identifier: next(iter(question.choices))}
            return post(role, station, command, rehearsed=rehearsed, **answered)

    return post


def _made(post: Callable[..., str], outputs: int, missing: int) -> None:
    """A coil drawn to so many strippers and taken off, with so many g missing; the run is open still."""
    each = (COIL - missing) // (outputs + 4)
    received = ReceiveLot(
        product="rod_55", amount=COIL, supplier="nordhavn", heats=("H1",), certificate="to follow"
    )
    coil = post("receiver", "receiving", received)
    post("operator", "draw_1", LoadInput(coil, product="wire_25", end="outer"))
    for _ in range(outputs):
        post("operator", "draw_1", MakeOutput(weight=each))
    post("operator", "draw_1", UnloadInput(remainder=COIL - missing - outputs * each, how="weighed"))
