"""Does the set-up script do each step once, with or without uv, and say what is wrong?"""

import subprocess
import sys
from pathlib import Path

import pytest
from house_script import house
from source_tree import ROOT

SCRIPT = ROOT / ".ci" / "house.py"


@pytest.mark.parametrize("uv", ["/opt/uv", None], ids=["with uv", "without uv"])
def test_every_package_is_checked_by_its_hash(uv: str | None) -> None:
    command = house.install_locked(uv)
    assert "--require-hashes" in command
    # Looking for dependencies would find releases newer than the lock's, which have no hash in it.
    assert "--no-deps" in command
    assert command[-1].endswith("requirements.lock")


@pytest.mark.parametrize("uv", ["/opt/uv", None], ids=["with uv", "without uv"])
def test_the_project_itself_is_installed_without_network(uv: str | None) -> None:
    assert {"--no-index", "--no-deps", "--no-build-isolation"} <= set(house.install_project(uv))


@pytest.mark.parametrize(
    ("uv", "first"), [("/opt/uv", "/opt/uv"), (None, str(house.PYTHON))], ids=["with uv", "without uv"]
)
def test_uv_installs_where_it_is_and_pip_where_it_is_not(uv: str | None, first: str) -> None:
    assert house.install_locked(uv)[0] == first


def test_a_finished_step_counts_until_what_it_was_made_from_changes(tmp_path: Path) -> None:
    lock, stamp = tmp_path / "requirements.lock", tmp_path / "packages.stamp"
    lock.write_text("flask==3.1.3")
    assert not house.said(stamp, house.stamp(lock))
    stamp.write_text(house.stamp(lock))
    assert house.said(stamp, house.stamp(lock))
    lock.write_text("flask==3.1.4")
    assert not house.said(stamp, house.stamp(lock))


def test_a_moved_checkout_or_another_python_is_set_up_anew(tmp_path: Path) -> None:
    lock = tmp_path / "requirements.lock"
    lock.write_text("flask==3.1.3")
    assert house.stamp(lock, extra="3.11 /here") != house.stamp(lock, extra="3.11 /there")


def test_tests_write_in_memory_only_where_there_is_room(tmp_path: Path) -> None:
    assert house.roomy(tmp_path, room=1) == tmp_path
    assert house.roomy(tmp_path, room=1 << 60) is None
    assert house.roomy(tmp_path / "not there", room=1) is None


def test_an_old_python_is_told_what_to_do() -> None:
    words = house.too_old((3, 9, 2, "final", 0))
    assert "this is Python 3.9.2" in words
    assert "needs 3.11 or newer" in words


@pytest.mark.parametrize(
    ("command", "advice"),
    [
        (house.venv_command(None), "apt-get install python3-venv"),
        (house.install_locked(None), "Check the network"),
        (house.install_project(None), "Mend that"),
    ],
)
def test_a_failed_step_says_what_to_do(command: list[str], advice: str) -> None:
    assert advice in house.hint(command)


@pytest.mark.parametrize(("words", "code"), [([], 0), (["help"], 0), (["polish"], 2)])
def test_without_a_known_verb_the_script_lists_them(words: list[str], code: int) -> None:
    answer = subprocess.run(
        [sys.executable, str(SCRIPT), *words], capture_output=True, text=True, check=False
    )
    assert answer.returncode == code
    assert [verb for verb in house.VERBS if verb not in answer.stdout] == []


def test_the_script_needs_nothing_but_the_standard_library() -> None:
    answer = subprocess.run(
        [sys.executable, "-I", "-S", str(SCRIPT), "help"], capture_output=True, text=True, check=False
    )
    assert answer.returncode == 0, answer.stderr
