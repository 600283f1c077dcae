"""Does nothing hide from the tools: no silenced rule without a reason, no mock in place of a part?"""

import ast
import re

import pytest
import source_tree
from source_tree import PythonFile

SUPPRESSIONS_MOST = 5

SILENCER = re.compile(r"#\s*(noqa|type:\s*ignore|ruff:|mypy:|pragma:|pyright:)", re.IGNORECASE)
CODED = re.compile(r"#\s*(noqa:\s*[A-Z]+\d+|type:\s*ignore\[[\w,\s-]+\])(?P<rest>.*)", re.IGNORECASE)
SIZE_RULES = ("C901", "PLR09", "PLR1702", "E501")
"""Rules on size and complexity: what breaks them is to be made smaller, never silenced."""

MOCK_NAMES = {"mock", "pytest_mock", "mocker", "Mock", "MagicMock", "AsyncMock"}


def silencers(file: PythonFile) -> list[str]:
    return [f"{file}:{line} {text}" for line, text in file.comments if SILENCER.search(text)]


def all_silencers() -> list[str]:
    return [text for file in (*source_tree.source(), *source_tree.tests()) for text in silencers(file)]


def has_rule_and_reason(comment: str) -> bool:
    """A silencer names its rule and goes on with at least two words."""
    coded = CODED.search(comment)
    return coded is not None and len(coded["rest"].strip(" #:-").split()) >= 2


def mocks(node: ast.AST) -> bool:
    """An import or use of a mock, or a patched attribute; set environment variables are no mock."""
    if isinstance(node, ast.Import | ast.ImportFrom):
        module = getattr(node, "module", None) or ""
        names = {part for name in node.names for part in name.name.split(".")}
        return not MOCK_NAMES.isdisjoint(names | set(module.split(".")))
    if isinstance(node, ast.arg | ast.Name):
        return (node.arg if isinstance(node, ast.arg) else node.id) in MOCK_NAMES
    patches = isinstance(node, ast.Attribute) and node.attr == "setattr"
    return patches and isinstance(node.value, ast.Name) and node.value.id == "monkeypatch"


def test_at_most_five_rules_are_silenced() -> None:
    found = all_silencers()
    assert len(found) <= SUPPRESSIONS_MOST, found


def test_every_silenced_rule_is_named_and_has_a_reason() -> None:
    assert [text for text in all_silencers() if not has_rule_and_reason(text)] == []


def test_no_rule_on_size_is_silenced() -> None:
    assert [text for text in all_silencers() if any(rule in text for rule in SIZE_RULES)] == []


def test_tests_use_real_parts_not_mocks() -> None:
    assert [
        f"{file}:{getattr(node, 'lineno', 0)}"
        for file in source_tree.tests()
        for node in ast.walk(file.tree)
        if mocks(node)
    ] == []


@pytest.mark.parametrize(
    ("comment", "good"),
    [
        ("# noqa", False),
        ("# noqa: S608", False),
        ("# type: ignore", False),
        ("# type: ignore[attr-defined]  # stubs lack this", True),
        ("# noqa: S608 - table names are our own", True),
    ],
)
def test_a_silencer_without_rule_or_reason_is_seen(comment: str, good: bool) -> None:
    assert SILENCER.search(comment)
    assert has_rule_and_reason(comment) is good


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("from unittest import mock", True),
        ("from unittest.mock import patch", True),
        ("monkeypatch.setattr(clock, 'now', 0)", True),
        ("monkeypatch.setenv('HOME', 'x')", False),
        ("def test_a(tmp_path): pass", False),
    ],
)
def test_a_planted_mock_is_seen(text: str, wrong: bool) -> None:
    assert any(mocks(node) for node in ast.walk(ast.parse(text))) is wrong
