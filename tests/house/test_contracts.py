"""Do the floors hold, and would a module on the wrong floor be caught?

The contracts themselves stand in pyproject.toml; import-linter checks them here on the real tree, and
on copies of it into which one bad import each is planted.
"""

import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
import source_tree
from source_tree import ROOT, PythonFile

AT_THE_DOOR = ("lotroot/web", "lotroot/cli")
DRAWING = ("lotroot_printing", "lotroot/pictures")

ONLY_IN = {
    "flask": AT_THE_DOOR,
    "waitress": AT_THE_DOOR,
    "PIL": DRAWING,
    "reportlab": DRAWING,
    "barcode": DRAWING,
    "qrcode": DRAWING,
    "zxingcpp": DRAWING,
    "lotroot_printing": ("lotroot_printing", "lotroot/labelling", "lotroot/papers"),
}
"""Where each library may be named; what DESIGN.md section 8 says of it."""

CONTRACTS = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]

PURE = ("lotroot/quantities", "lotroot/balance", "lotroot/identity", "lotroot_printing")


LINT = "from importlinter.cli import lint_imports_command; lint_imports_command()"


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run import-linter on the tree below a folder."""
    paths = os.pathsep.join(str(folder / root) for root in source_tree.SOURCE_ROOTS)
    return subprocess.run(
        [sys.executable, "-c", LINT, "--no-logo", "--no-cache"],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": paths, "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """The source tree and its contracts, free to be spoilt."""
    for root in source_tree.SOURCE_ROOTS:
        shutil.copytree(ROOT / root, tmp_path / root, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def plant(tree: Path, module: str, line: str) -> None:
    """Add a line to a module; that module and the one it imports are made where they are missing."""
    add(tree, module, line)
    if line.startswith("import lotroot"):
        add(tree, line.removeprefix("import "), "")


def add(tree: Path, module: str, line: str) -> None:
    name = Path(*module.split("."))
    root = "printing" if module.startswith("lotroot_printing") else "trace"
    package = tree / root / name / "__init__.py"
    file = package if package.exists() else tree / root / name.with_suffix(".py")
    file.write_text((file.read_text() if file.exists() else "") + f"\n{line}\n")


def test_every_contract_holds() -> None:
    answer = lint(ROOT)
    assert answer.returncode == 0, answer.stdout + answer.stderr


def test_a_copy_of_the_tree_is_as_clean_as_the_tree(copy: Path) -> None:
    """Else the planted imports below would prove nothing."""
    answer = lint(copy)
    assert answer.returncode == 0, answer.stdout + answer.stderr


@pytest.mark.in_ci
@pytest.mark.parametrize(
    ("module", "line", "contract"),
    [
        # upwards
        ("lotroot.errors", "import lotroot.ledger", "Each floor sees only the floors below it"),
        ("lotroot.ledger", "import lotroot.genealogy", "Each floor sees only the floors below it"),
        ("lotroot_printing.errors", "import lotroot_printing.layout", "Printing has floors too"),
        # on no floor
        ("lotroot.sundries", '"""A module without a floor."""', "Each floor sees only the floors below it"),
        ("lotroot_printing.sundries", '"""A module without a floor."""', "Printing has floors too"),
        # out of the house
        ("lotroot_printing.layout", "import lotroot.errors", "Printing knows nothing of the plant"),
        ("lotroot_printing.errors", "import sqlalchemy", "Printing knows nothing of the plant"),
        # where only some may go
        ("lotroot.ledger", "import lotroot_printing.errors", "Only labelling and papers talk to printing"),
        ("lotroot.labelling", "import PIL", "Drawing libraries stay in printing and pictures"),
        ("lotroot.ledger", "import zxingcpp", "Drawing libraries stay in printing and pictures"),
        ("lotroot.identity", "import sqlalchemy", "Arithmetic is pure"),
        ("lotroot.balance", "import flask", "Arithmetic is pure"),
    ],
)
def test_a_planted_bad_import_is_caught(copy: Path, module: str, line: str, contract: str) -> None:
    plant(copy, module, line)
    answer = lint(copy)
    assert answer.returncode != 0
    assert f"{contract} BROKEN" in answer.stdout, answer.stdout + answer.stderr


def importers(library: str) -> Iterator[PythonFile]:
    for module in source_tree.source():
        if any(name.split(".")[0] == library for name in module.imports):
            yield module


def stands_in(module: PythonFile, places: tuple[str, ...]) -> bool:
    inside = str(module).partition("/")[2].removesuffix(".py")
    return any(inside == place or inside.startswith(f"{place}/") for place in places)


@pytest.mark.parametrize(("library", "places"), ONLY_IN.items())
def test_a_library_is_named_only_where_it_belongs(library: str, places: tuple[str, ...]) -> None:
    """Read with ast: a second opinion on the contracts."""
    assert [str(module) for module in importers(library) if not stands_in(module, places)] == []


@pytest.mark.parametrize("library", ONLY_IN)
def test_a_library_in_use_has_its_contract(library: str) -> None:
    """import-linter refuses to protect what nothing imports yet, so this says when to add it."""
    protected = {name for contract in CONTRACTS for name in contract.get("protected_modules", ())}
    assert library in protected or not list(importers(library)), f"Protect {library} in pyproject.toml."


@pytest.mark.parametrize("library", ["sqlalchemy", "flask"])
def test_arithmetic_names_neither_database_nor_web(library: str) -> None:
    assert [str(module) for module in importers(library) if stands_in(module, PURE)] == []
