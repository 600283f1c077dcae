"""Does requirements.lock pin what pyproject.toml asks for, by hash, and name no registry?"""

import re
import tomllib
from collections.abc import Iterator

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from source_tree import ROOT

LOCK = (ROOT / "requirements.lock").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def pins() -> Iterator[tuple[str, str]]:
    """Each pinned requirement and the lines of hashes that follow it."""
    for block in re.split(r"\n(?=\S)", LOCK.strip()):
        requirement, _, hashes = block.partition("\\\n")
        yield requirement.strip(), hashes


def asked() -> list[Requirement]:
    """Every direct requirement, of all extras and of the build; the project itself left out."""
    project = PROJECT["project"]
    extras = [text for group in project["optional-dependencies"].values() for text in group]
    texts = [*project["dependencies"], *extras, *PROJECT["build-system"]["requires"]]
    return [Requirement(text) for text in texts if not text.startswith(project["name"])]


def test_the_lock_names_no_address() -> None:
    assert [line for line in LOCK.splitlines() if "://" in line or line.startswith("-")] == []


def test_every_pin_is_exact_and_carries_hashes() -> None:
    assert [
        requirement
        for requirement, hashes in pins()
        if "==" not in requirement or not re.fullmatch(r"(\s+--hash=sha256:[0-9a-f]{64}( \\)?)+", hashes)
    ] == []


@pytest.mark.parametrize("requirement", asked(), ids=str)
def test_what_the_project_asks_for_is_pinned_to_a_version_that_fits(requirement: Requirement) -> None:
    pinned = [Requirement(text) for text, _ in pins()]
    name = canonicalize_name(requirement.name)
    versions = [next(iter(pin.specifier)).version for pin in pinned if canonicalize_name(pin.name) == name]
    assert versions, f"{name} is not in requirements.lock: make lock"
    assert any(requirement.specifier.contains(version) for version in versions), versions
