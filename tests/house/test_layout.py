"""Do files stand where the tools and the standard library let them work?"""

import subprocess
import sys
from collections import Counter

import source_tree
from source_tree import ROOT


def test_source_roots_are_no_packages() -> None:
    """A package called trace would shadow the standard library's own."""
    assert [root for root in source_tree.SOURCE_ROOTS if (ROOT / root / "__init__.py").exists()] == []


def test_trace_is_still_the_standard_library_in_the_project_folder() -> None:
    program = "import trace; print(trace.Trace.__name__)"
    answer = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert answer.stdout.strip() == "Trace", answer.stderr


def test_each_source_root_holds_one_package() -> None:
    packages = [
        path.relative_to(ROOT).as_posix()
        for root in source_tree.SOURCE_ROOTS
        for path in sorted((ROOT / root).iterdir())
        if path.name != "__pycache__"
    ]
    assert packages == ["trace/lotroot", "printing/lotroot_printing"]


def test_every_folder_of_source_is_a_package() -> None:
    folders = {module.path.parent for module in source_tree.source()}
    assert [str(folder) for folder in folders if not (folder / "__init__.py").exists()] == []


def test_test_folders_are_no_packages_and_names_are_unique() -> None:
    """pytest imports test files by path; equal names would still hide one another in reports."""
    names = Counter(file.path.name for file in source_tree.tests() if file.path.name != "conftest.py")
    assert "__init__.py" not in names
    assert [name for name, count in names.items() if count > 1] == []
