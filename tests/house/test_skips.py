"""Can a proof go missing in CI because its test skipped?"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from source_tree import ROOT

PLANTED = {
    "while_running": "import pytest\ndef test_a(): pytest.skip('no printer')\n",
    "marked": "import pytest\n@pytest.mark.skip(reason='no printer')\ndef test_a(): pass\n",
    "whole_file": "import pytest\npytest.skip('no printer', allow_module_level=True)\n",
}
"""The three ways in which a test can skip."""


@pytest.mark.in_ci
@pytest.mark.parametrize(("ci", "failing"), [("1", len(PLANTED)), ("", 0)], ids=["in CI", "elsewhere"])
def test_every_kind_of_skip_fails_in_ci_only(tmp_path: Path, ci: str, failing: int) -> None:
    for name in ("conftest.py", "compiled_once.py", "demo_once.py", "engines.py"):
        shutil.copy(ROOT / "tests" / name, tmp_path)
    for name, text in PLANTED.items():
        (tmp_path / f"test_{name}.py").write_text(text)
    answer = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-rN", "--continue-on-collection-errors"],
        cwd=tmp_path,
        env={**os.environ, "LOTROOT_CI": ci},
        capture_output=True,
        text=True,
        check=False,
    )
    assert answer.stdout.count("LOTROOT_CI=1 allows no skip. ") == failing, answer.stdout + answer.stderr
    assert answer.returncode == (1 if failing else 0)
