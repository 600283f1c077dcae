"""Is every piece of the program small enough to be read at one glance?

Limits: DESIGN.md 9.2. They bind the tail, where reading gets hard.
"""

import ast
from collections.abc import Callable

import pytest
import source_tree
from source_tree import Function, PythonFile

MODULE_MOST, MODULE_USUAL = 400, 250
FUNCTION_MOST, FUNCTION_USUAL = 50, 25
PARAMETERS_MOST = 5


def longer_than(limit: int, sizes: dict[str, int]) -> list[str]:
    return [f"{name}: {size} lines" for name, size in sizes.items() if size > limit]


def module_sizes() -> dict[str, int]:
    return {str(module): module.lines for module in source_tree.source()}


def function_sizes() -> dict[str, int]:
    return {
        f"{module}:{function.lineno} {function.name}": length(function)
        for module in source_tree.source()
        for function in module.functions
    }


def length(function: Function) -> int:
    assert function.end_lineno is not None
    return function.end_lineno - function.lineno + 1


def parameters(function: Function) -> int:
    """What a caller has to think of: self and cls do not count."""
    named = function.args
    names = [argument.arg for argument in (*named.posonlyargs, *named.args, *named.kwonlyargs)]
    return len([name for name in names if name not in ("self", "cls")])


def test_no_file_is_longer_than_400_lines() -> None:
    files = (*source_tree.source(), *source_tree.tests(), PythonFile(source_tree.ROOT / ".ci" / "house.py"))
    assert longer_than(MODULE_MOST, {str(file): file.lines for file in files}) == []


def test_no_function_is_longer_than_50_lines() -> None:
    assert longer_than(FUNCTION_MOST, function_sizes()) == []


@pytest.mark.parametrize(
    ("sizes", "usual"),
    [
        pytest.param(module_sizes, MODULE_USUAL, id="modules of up to 250 lines"),
        pytest.param(function_sizes, FUNCTION_USUAL, id="functions of up to 25 lines"),
    ],
)
def test_nineteen_of_twenty_are_small(sizes: Callable[[], dict[str, int]], usual: int) -> None:
    measured = sizes()
    exceptions = longer_than(usual, measured)
    allowed = max(1, len(measured) // 20)
    assert len(exceptions) <= allowed, f"{allowed} may be longer: {exceptions}"


def test_no_function_takes_more_than_five_parameters() -> None:
    assert [
        f"{module}:{function.lineno} {function.name}: {parameters(function)}"
        for module in source_tree.source()
        for function in module.functions
        if parameters(function) > PARAMETERS_MOST
    ] == []


def test_every_function_says_what_it_returns() -> None:
    assert [
        f"{module}:{function.lineno} {function.name}"
        for module in source_tree.source()
        for function in module.functions
        if function.returns is None
    ] == []


def test_every_module_says_in_its_first_line_what_it_answers() -> None:
    files = (*source_tree.source(), *source_tree.tests())
    assert [str(file) for file in files if file.text.strip() and not ast.get_docstring(file.tree)] == []
