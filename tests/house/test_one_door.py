"""Do the promises hold that no type checker sees: one commit, no float in an amount, no catch-all?"""

import ast
import re
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
import source_tree
from source_tree import PythonFile

COMMITS = "trace/lotroot/database.py"

AMOUNT_CODE = ("quantities", "balance", "genealogy", "stock", "ledger")
"""Modules and packages of lotroot in which every number is an amount, a share or a count."""


def ends_a_transaction(node: ast.AST, file: PythonFile) -> bool:
    """A call of commit or begin (which commits when left), or COMMIT in SQL text."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        opens = node.func.attr == "begin" and not node.args and not node.keywords
        return node.func.attr == "commit" or opens
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return bool(re.search(r"\bCOMMIT\b", node.value)) and id(node) not in file.bare_strings
    return False


DECIMAL_CODE = ("theory",)
"""Every number is a whole one or a Decimal; mypy sees that a division is one of Decimals."""


def makes_a_float(node: ast.AST) -> bool:
    """A literal with a point, the name float in any use, or a division that is not exact."""
    if isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.Div):
        return not (isinstance(node, ast.BinOp) and is_exact(node.left))
    return writes_a_float(node)


def writes_a_float(node: ast.AST) -> bool:
    """A literal with a point, or the name float in any use."""
    literal = isinstance(node, ast.Constant) and isinstance(node.value, float)
    return literal or (isinstance(node, ast.Name) and node.id == "float")


def is_exact(node: ast.AST) -> bool:
    """A Decimal or Fraction made on the spot: what it is divided by leaves no float behind."""
    return isinstance(node, ast.Call) and ast.unparse(node.func) in ("Decimal", "Fraction")


def files_of(names: tuple[str, ...]) -> list[PythonFile]:
    """The source files of these modules and packages of lotroot."""
    return [file for file in source_tree.source() if belongs_to(file, names)]


def belongs_to(file: PythonFile, names: tuple[str, ...]) -> bool:
    parts = file.path.relative_to(source_tree.ROOT).with_suffix("").parts
    return parts[:2] == ("trace", "lotroot") and parts[2] in names


def catches_all(node: ast.AST) -> bool:
    """`except:`, or an except of Exception or BaseException, alone or in a list."""
    if not isinstance(node, ast.ExceptHandler):
        return False
    names = [name.id for name in ast.walk(node.type) if isinstance(name, ast.Name)] if node.type else []
    return node.type is None or not {"Exception", "BaseException"}.isdisjoint(names)


def ends_of_transactions(file: PythonFile) -> list[str]:
    return [
        f"{file.path.name}:{node.lineno}" for node in ast.walk(file.tree) if ends_a_transaction(node, file)
    ]


def found(files: Iterable[PythonFile], is_wrong: Callable[[ast.AST], bool]) -> list[str]:
    return [f"{file}:{node.lineno}" for file in files for node in ast.walk(file.tree) if is_wrong(node)]


def test_only_the_database_module_commits() -> None:
    committing = {
        str(file): ends_of_transactions(file) for file in source_tree.source() if str(file) != COMMITS
    }
    assert {file: lines for file, lines in committing.items() if lines} == {}


def test_amount_code_holds_no_float() -> None:
    assert found(files_of(AMOUNT_CODE), makes_a_float) == []


def test_theory_writes_no_float() -> None:
    assert files_of(DECIMAL_CODE)
    assert found(files_of(DECIMAL_CODE), writes_a_float) == []


def test_no_error_is_swallowed_unnamed() -> None:
    assert found(source_tree.source(), catches_all) == []


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        # ends a transaction
        ("connection.commit()", True),
        ("with engine.begin() as connection: pass", True),
        ("connection.exec_driver_sql('COMMIT')", True),
        # does not
        ("run.begin(station)", False),
        ("'''A docstring may speak of COMMIT.'''", False),
        ("connection.rollback()", False),
    ],
)
def test_a_planted_commit_is_seen(text: str, wrong: bool, tmp_path: Path) -> None:
    file = PythonFile(tmp_path / "planted.py")
    file.path.write_text(text)
    assert bool(ends_of_transactions(file)) is wrong


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("mass = 1.5", True),
        ("mass = float(text)", True),
        ("def weigh(mass: float) -> int: ...", True),
        ("half = mass / 2", True),
        ("mass /= 2", True),
        # exact
        ("half = mass // 2", False),
        ("shown = Decimal(mass) / 1000", False),
    ],
)
def test_a_planted_float_is_seen(text: str, wrong: bool) -> None:
    assert any(makes_a_float(node) for node in ast.walk(ast.parse(text))) is wrong
