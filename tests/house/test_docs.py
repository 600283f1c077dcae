"""Is what README and DEVELOPERS say true of this tree?"""

import re
from pathlib import Path

import pytest
from house_script import house
from source_tree import ROOT, tracked

README, DEVELOPERS = ROOT / "README.md", ROOT / "DEVELOPERS.md"
DOCS = [README, DEVELOPERS]
SCREENSHOT = "demo_seed/screenshot.png"

MAKEFILE = (ROOT / "Makefile").read_text(encoding="utf-8")
TARGETS = dict(re.findall(r"^(\w+):(?:.*?##\s*(.*))?$", MAKEFILE, re.MULTILINE))

# Written so that this file does not match itself.
REGISTRY = re.compile(r"[p]ypi\.org|[p]ythonhosted\.org|[i]ndex-url|[d]evpi", re.IGNORECASE)
MACHINE_PATH = re.compile(r"(?<![\w.])(/[r]oot/|/[h]ome/\w|/[U]sers/\w|[A-Z]:\\[U]sers)")


def text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def code(path: Path) -> str:
    """What a document shows as code: blocks and spans."""
    whole = text(path)
    blocks = re.findall(r"^```\w*\n(.*?)^```", whole, re.MULTILINE | re.DOTALL)
    return "\n".join([*blocks, *re.findall(r"`([^`\n]+)`", whole)])


def lines_matching(pattern: re.Pattern[str]) -> list[str]:
    found = []
    for path in tracked():
        try:
            lines = text(path).splitlines()
        except UnicodeDecodeError:
            continue  # a picture or a font
        name = path.relative_to(ROOT)
        found += [f"{name}:{number}" for number, line in enumerate(lines, 1) if pattern.search(line)]
    return found


@pytest.mark.parametrize(("path", "most"), [(README, 120), (DEVELOPERS, 300)], ids=["README", "DEVELOPERS"])
def test_documents_stay_short(path: Path, most: int) -> None:
    assert len(text(path).splitlines()) <= most


@pytest.mark.parametrize("path", DOCS, ids=lambda path: path.stem)
def test_every_make_target_named_exists(path: Path) -> None:
    named = set(re.findall(r"\bmake (\w+)", code(path)))
    assert named
    assert named <= set(TARGETS)


@pytest.mark.parametrize("path", DOCS, ids=lambda path: path.stem)
def test_every_verb_of_the_house_script_named_exists(path: Path) -> None:
    assert set(re.findall(r"\.ci/house\.py ([a-z]+)", code(path))) <= set(house.VERBS)


@pytest.mark.parametrize("path", DOCS, ids=lambda path: path.stem)
def test_every_link_within_the_project_leads_somewhere(path: Path) -> None:
    shown = re.sub(r"<!--.*?-->", "", text(path), flags=re.DOTALL)
    links = re.findall(r"\]\(([^)#\s]+)\)", shown)
    assert [link for link in links if "://" not in link and not (ROOT / link).exists()] == []


def test_the_readme_shows_the_screenshot_once_it_exists() -> None:
    shown = re.sub(r"<!--.*?-->", "", text(README), flags=re.DOTALL)
    assert (f"({SCREENSHOT})" in shown) is (ROOT / SCREENSHOT).exists()


def test_the_readme_gives_the_two_commands_and_the_way_without_make() -> None:
    shown = code(README)
    assert [word for word in ("make demo", "make test") if word not in shown] == []
    assert [verb for verb in ("demo", "test") if f"house.py {verb}" not in shown] == []


def test_every_make_target_says_what_it_does_and_only_calls_the_house_script() -> None:
    assert [name for name, words in TARGETS.items() if not words] == []
    recipes = re.findall(r"^\t(.*)$", MAKEFILE, re.MULTILINE)
    assert [line for line in recipes if not line.startswith("@$(PYTHON) .ci/house.py ")] == []


def test_ci_runs_the_command_the_readme_gives() -> None:
    commands = text(ROOT / ".ci" / "run").splitlines()
    assert "make test" in commands
    assert "make check" in commands


def test_no_tracked_file_names_a_package_registry() -> None:
    assert lines_matching(REGISTRY) == []


def test_no_tracked_file_names_a_place_on_some_machine() -> None:
    assert lines_matching(MACHINE_PATH) == []
    assert lines_matching(re.compile(re.escape(f"{ROOT}/"))) == []
