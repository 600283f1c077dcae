"""What do all tests share: databases, how hard hypothesis tries, and when a test may skip?

LOTROOT_CI=1 (set by .ci/run) means that everything the tests need is there: a skip is then a failure,
and hypothesis runs its thorough profile.
"""

import os
from collections.abc import Generator, Iterator
from pathlib import Path
from typing import TypeVar

import pytest
from engines import ENGINES, PostgresServer, postgres_server, sqlite_url
from hypothesis import HealthCheck, settings

Report = TypeVar("Report", pytest.TestReport, pytest.CollectReport)

IN_CI = os.environ.get("LOTROOT_CI") == "1"

# No deadline: two busy cores say nothing about the code. Databases make each example slow on purpose.
_SHARED = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("quick", max_examples=40, stateful_step_count=30, **_SHARED)
settings.register_profile("thorough", max_examples=300, stateful_step_count=50, print_blob=True, **_SHARED)
settings.load_profile("thorough" if IN_CI else "quick")


@pytest.fixture(scope="session")
def postgres(worker_id: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[PostgresServer]:
    """One PostgreSQL server for all tests of this pytest worker."""
    with postgres_server(worker_id, tmp_path_factory.getbasetemp().parent) as server:
        yield server


@pytest.fixture(params=ENGINES)
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of an empty database; the test runs once on each engine."""
    if request.param == "sqlite":
        yield sqlite_url(tmp_path)
        return
    server: PostgresServer = request.getfixturevalue("postgres")
    with server.database() as url:
        yield url


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
