"""What stands in the project's files, read without importing them?

House tests measure the tree with this; it knows nothing of any one rule.
"""

import ast
import io
import subprocess
import tokenize
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SOURCE_ROOTS = ("trace", "printing")

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True)
class PythonFile:
    """One Python file; as text it is its path from the project's folder."""

    path: Path

    def __str__(self) -> str:
        return self.path.relative_to(ROOT).as_posix()

    @cached_property
    def text(self) -> str:
        return self.path.read_text(encoding="utf-8")

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.text, filename=self.path.name)

    @cached_property
    def bare_strings(self) -> frozenset[int]:
        """Which nodes (by id) are strings standing alone, as docstrings and notes below a name do."""
        return frozenset(id(node.value) for node in ast.walk(self.tree) if isinstance(node, ast.Expr))

    @property
    def lines(self) -> int:
        return len(self.text.splitlines())

    @property
    def functions(self) -> list[Function]:
        """Every function and method, nested ones too."""
        return [node for node in ast.walk(self.tree) if isinstance(node, Function)]

    @property
    def imports(self) -> Iterator[str]:
        """Dotted names of all modules imported, wherever in the file, plus what `from` takes of them."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.Import):
                yield from (name.name for name in node.names)
            elif isinstance(node, ast.ImportFrom) and node.module:
                yield node.module
                yield from (f"{node.module}.{name.name}" for name in node.names)

    @property
    def comments(self) -> Iterator[tuple[int, str]]:
        """Line number and text of every comment; a string that looks like one is none."""
        for token in tokenize.generate_tokens(io.StringIO(self.text).readline):
            if token.type == tokenize.COMMENT:
                yield token.start[0], token.string


@cache
def source() -> tuple[PythonFile, ...]:
    """Every module of the program."""
    return _python_files(*(ROOT / root for root in SOURCE_ROOTS))


@cache
def tests() -> tuple[PythonFile, ...]:
    """Every Python file of the tests."""
    return _python_files(ROOT / "tests")


def _python_files(*folders: Path) -> tuple[PythonFile, ...]:
    found = sorted(path for folder in folders for path in folder.rglob("*.py"))
    return tuple(PythonFile(path) for path in found)


@cache
def tracked() -> tuple[Path, ...]:
    """Every file that is part of the project: what git tracks, or, without git, all but dot folders."""
    command = ["git", "-C", str(ROOT), "ls-files", "-z"]
    try:
        answer = subprocess.run(command, capture_output=True, text=True, check=False)
        listed = [ROOT / name for name in answer.stdout.split("\0") if name]
    except FileNotFoundError:
        listed = []
    return tuple(path for path in listed or ROOT.rglob("*") if path.is_file() and not _is_made(path))


def _is_made(path: Path) -> bool:
    """Whether a file is made by a tool: an environment, a cache, a build."""
    made = {".venv", ".git", "__pycache__", "dist"}
    return any(part in made or part.endswith(("_cache", ".egg-info")) for part in path.parts)
