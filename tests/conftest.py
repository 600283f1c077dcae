"""What do all tests share: databases, how hard hypothesis tries, and when a test may skip?

LOTROOT_CI=1 (set by .ci/run) means that everything the tests need is there: a skip is then a failure,
and hypothesis runs its thorough profile.
"""

import gc
import os
from collections.abc import Generator, Iterator
from pathlib import Path
from typing import TypeVar

import pytest
from compiled_once import for_all_databases
from demo_once import a_demo
from engines import ENGINES, PostgresServer, postgres_server, sqlite_url
from flask import Flask
from hypothesis import HealthCheck, settings
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from lotroot.database import Database

Report = TypeVar("Report", pytest.TestReport, pytest.CollectReport)

IN_CI = os.environ.get("LOTROOT_CI") == "1"

# No deadline: two busy cores say nothing about the code. Databases make each example slow on purpose.
_SHARED = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("quick", max_examples=40, stateful_step_count=30, **_SHARED)
settings.register_profile("thorough", max_examples=200, stateful_step_count=40, print_blob=True, **_SHARED)
settings.load_profile("thorough" if IN_CI else "quick")


class CompiledOnce(BytecodeCache):
    """Templates of one test process: each app of a test would compile them anew, a quarter of its time."""

    def __init__(self) -> None:
        self._kept: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """What was compiled from the same text, if any."""
        if bucket.key in self._kept:
            bucket.bytecode_from_string(self._kept[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled."""
        self._kept[bucket.key] = bucket.bytecode_to_string()


Flask.jinja_options["bytecode_cache"] = CompiledOnce()
for_all_databases()

# What a test run imports stays: looking through it again and again is a tenth of the whole time.
gc.freeze()
gc.set_threshold(100_000, 20, 20)


@pytest.fixture(scope="session")
def shared(worker_id: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of this test run see, and no other run."""
    own = tmp_path_factory.getbasetemp()
    return own if worker_id == "master" else own.parent


@pytest.fixture(scope="session")
def postgres(worker_id: str, shared: Path) -> Iterator[PostgresServer]:
    """One PostgreSQL server for all tests of this pytest worker."""
    with postgres_server(worker_id, shared) as server:
        yield server


@pytest.fixture(scope="session")
def thorough(request: pytest.FixtureRequest) -> bool:
    """Is time no matter? True with LOTROOT_CI=1 or --hypothesis-profile thorough."""
    return IN_CI or request.config.getoption("--hypothesis-profile", None) == "thorough"


@pytest.fixture(scope="module")
def demo_database(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    """The demo plant without its labels, one copy for the tests of a module."""
    with a_demo(shared, tmp_path_factory.mktemp("copy")) as database:
        yield database


@pytest.fixture(params=ENGINES)
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of an empty database; the test runs once on each engine."""
    if request.param == "sqlite":
        yield sqlite_url(tmp_path)
        return
    server: PostgresServer = request.getfixturevalue("postgres")
    with server.database() as url:
        yield url


LONGEST = ("test_days_at_a_plant", "test_demo_days", "test_pages_of_the_demo", "test_label_survival")
"""Files whose tests begin first: a long one that begins last keeps one core busy while the other waits."""
LONG = "properties"
"""The folder whose tests come next: each takes some seconds, the others a tenth."""


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """The longest first, all others as they come; what is marked `in_ci` there, in the thorough profile, or
    when it is named itself.
    """
    items.sort(key=lambda item: (item.path.stem not in LONGEST, LONG not in item.path.parts))
    named = any("::" in argument for argument in config.args)
    if not (IN_CI or named or config.getoption("--hypothesis-profile", None) == "thorough"):
        left_out = [item for item in items if item.get_closest_marker("in_ci")]
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if not item.get_closest_marker("in_ci")]


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """In CI nothing may skip while running, so that no proof goes missing unseen."""
    report = yield
    return _skip_fails(report)


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """In CI no file may skip while it is collected either."""
    report = yield
    return _skip_fails(report)


def _skip_fails(report: Report) -> Report:
    if IN_CI and report.outcome == "skipped":
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"LOTROOT_CI=1 allows no skip. {reason}"
    return report
