"""How quick are the yields of a year, and the closing of a run of 400 outputs?"""

import argparse
import json
import re
import secrets
import time
from collections.abc import Callable
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from flask.testing import FlaskClient

from lotroot.bench.contests import Measured
from lotroot.bench.course import machine
from lotroot.bench.measuring import RUNS, Times, at
from lotroot.bench.report import Goal, Report
from lotroot.bench.statements import Watch, watched
from lotroot.bench.year import DAYS, Year
from lotroot.cli.dispatch_scans import demo_plant
from lotroot.cli.options import Commands, add_command, say
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
from lotroot.work import Answer, Envelope

PAGE_MS, CLOSING_MS = 150, 50
"""What the yield page of a year may take in all, and closing a run of 400 outputs in the database."""
OUTPUTS, TURNS = 400, 7
WHOLE, STATEMENTS = "whole page", "its statements"


def add_to(commands: Commands) -> None:
    """Add bench-yields."""
    one = add_command(
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
    worst = 0.0
    for name, address in pages.items():
        whole, spent = _asked(client, watch, address, turns)
        mine = Times(at(whole, 0.5), at(whole, 0.95))
        theirs = Times(at(spent, 0.5), at(spent, 0.95))
        report.measured += [
            Measured(name, WHOLE, mine, 1.0, 1.0),
            Measured(name, STATEMENTS, theirs, theirs.p50 / mine.p50, theirs.p95 / mine.p95),
        ]
        worst = max(worst, mine.p50 if name.startswith("yields") else 0.0)
    report.goals.append(
        Goal("4", "ms for the yield page of a year, by the slowest grouping", worst, PAGE_MS, at_most=True)
    )


def _asked(client: FlaskClient, watch: Watch, address: str, turns: int) -> tuple[list[int], list[int]]:
    whole, spent = [], []
    for turn in range(turns + 1):
        with watch.on():
            begun = time.perf_counter_ns()
            answer = client.get(address)
            took = time.perf_counter_ns() - begun
        if answer.status_code != 200:
            raise Fault("A page was not answered.", value=f"{address}: {answer.status_code}")
        if turn:  # the first one compiles its template
            whole.append(took)
            spent.append(watch.spent)
    return whole, spent


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
    """Close a run of so many strippers, some times, each run with a coil of its own."""
    post = _poster(database)
    whole, spent, statements = [], [], 0
    for _ in range(RUNS):
        _made(post, outputs)
        with watch.on():
            begun = time.perf_counter_ns()
            post("operator", "draw_1", CloseRun())
            whole.append(time.perf_counter_ns() - begun)
        spent.append(watch.spent)
        statements = watch.statements
    name = f"closing a run of {outputs} outputs, {statements} statements"
    mine, theirs = Times(at(whole, 0.5), at(whole, 0.95)), Times(at(spent, 0.5), at(spent, 0.95))
    report.measured += [
        Measured(name, "whole posting", mine, 1.0, 1.0),
        Measured(name, STATEMENTS, theirs, theirs.p50 / mine.p50, theirs.p95 / mine.p95),
    ]
    told = f"ms of database work to close a run of {outputs} outputs"
    report.goals.append(Goal("4", told, theirs.p50, CLOSING_MS, at_most=True))


Post = Callable[[str, str, Any], Answer]


def _poster(database: Database) -> Post:
    """Posts as somebody of a role at a station of the demo plant; a question gets its first answer."""
    door = Door(database)
    with database.reading() as connection:
        named = {name: number for number, name in names_of(connection).items() if number[0] == Family.PERSON}
        numbers = {code: number_of(connection, "station", code) for code in ("draw_1", "receiving")}

    def post(role: str, station: str, command: Any, **answers: str) -> Answer:
        envelope = Envelope(secrets.token_hex(16), named[_who(role).name], numbers[station], answers=answers)
        try:
            return door.post(command, envelope)
        except Question as question:
            return post(
                role, station, command, **answers, **{question.identifier: next(iter(question.choices))}
            )

    return post


def _made(post: Post, outputs: int) -> None:
    """A coil drawn to so many strippers and taken off; the run is open still."""
    each = 2_000_000 // (outputs + 4)
    received = ReceiveLot(
        product="rod_55", amount=2_000_000, supplier="nordhavn", heats=("H1",), certificate="to follow"
    )
    coil = post("receiver", "receiving", received).numbers[0]
    post("operator", "draw_1", LoadInput(coil, product="wire_25", end="outer"))
    for _ in range(outputs):
        post("operator", "draw_1", MakeOutput(weight=each))
    post("operator", "draw_1", UnloadInput(remainder=2_000_000 - (outputs + 2) * each, how="weighed"))
