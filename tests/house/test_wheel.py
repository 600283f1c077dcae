"""Does the wheel work by itself: code, templates, migrations, tables and demo data inside?

It is built without network, put into a folder of its own, and run from an empty folder with nothing of the
checkout in sight.
"""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that holds what the wheel holds, and nothing else."""
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True, timeout=120)
    (wheel,) = folder.glob("lotroot-*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def run(installed: Path, where: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the wheel's command line in an empty folder."""
    plain = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    environment = {**plain, "PYTHONPATH": str(installed), "HOME": str(where)}
    command = [sys.executable, "-m", "lotroot.cli", *words]
    return subprocess.run(
        command, cwd=where, env=environment, capture_output=True, text=True, check=False, timeout=120
    )


@pytest.mark.parametrize(
    "kept",
    [
        "lotroot/_data/templates/pages/base.html",
        "lotroot/_data/templates/labels/coil.toml",
        "lotroot/_data/migrations/env.py",
        "lotroot/_data/shared/cautions.csv",
        "lotroot/_data/demo_seed/plant.toml",
        "lotroot/processes/catalogue/wire_drawing.toml",
        "lotroot/receiving/headings.toml",
        "lotroot/web/static/scan.js",
        "lotroot_printing/render.py",
    ],
)
def test_the_wheel_holds_what_the_program_needs(installed: Path, kept: str) -> None:
    assert (installed / kept).is_file()


def test_the_wheel_holds_no_tests_and_no_package_called_trace(installed: Path) -> None:
    tops = {one.name for one in installed.iterdir() if one.is_dir() and not one.name.endswith(".dist-info")}
    assert tops == {"lotroot", "lotroot_printing"}


def test_a_plant_is_set_up_and_verified_from_the_wheel_in_an_empty_folder(
    installed: Path, tmp_path: Path
) -> None:
    (tmp_path / "pin").write_text("4711\n")
    plant = str(installed / "lotroot/_data/demo_seed/plant.toml")
    words = ["--plant", plant, "--administrator", "Marva Joseph", "--pin-file", "pin"]
    made = run(installed, tmp_path, "init", *words)
    assert made.returncode == 0, made.stderr
    checked = run(installed, tmp_path, "verify")
    assert (checked.returncode, checked.stdout[:3]) == (0, "ok "), checked.stdout + checked.stderr


def test_the_wheel_runs_its_own_code_not_the_checkout(installed: Path, tmp_path: Path) -> None:
    words = "import lotroot, lotroot_printing; print(lotroot.__file__); print(lotroot_printing.__file__)"
    plain = {**os.environ, "PYTHONPATH": str(installed)}
    shown = subprocess.run(
        [sys.executable, "-c", words], cwd=tmp_path, env=plain, capture_output=True, text=True, check=True
    )
    assert all(line.startswith(str(installed)) for line in shown.stdout.split())
