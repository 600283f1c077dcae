"""Are published figures read with their source, and refused without it?"""

from pathlib import Path

import pytest
from lotroot import reference
from lotroot.errors import Unavailable, Unknown, Unreadable
from lotroot.settings import data_folder

GOOD = "name,value,source,confidence\nsteel density,7850,a handbook,sourced\n"


def test_a_row_knows_its_source_and_how_sure_it_is() -> None:
    row = reference.row("constants", name="steel density")
    assert (row.table, row["value"], row["unit"], row.confidence, row.confirmed) == (
        "constants", "7850", "kg/m3", "sourced", True,
    )  # fmt: skip
    assert row.source.startswith("Gere")


def test_a_row_from_memory_is_unconfirmed() -> None:
    assert not reference.row("nails", length_mm="60.00").confirmed


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (GOOD.replace("a handbook", ""), "Row 2 of figures.csv"),
        (GOOD.replace("sourced", "certain"), "a confidence of sourced, cross-checked, memory, ours"),
        (GOOD.replace(",sourced", ""), "a text for every column"),
        (GOOD.replace("sourced\n", "sourced,more\n"), "a text for every column"),
        ("name,value\nsteel density,7850\n", "a source"),
    ],
    ids=["no source", "a confidence of no meaning", "a row too short", "a row too long", "no such columns"],
)
def test_a_row_that_does_not_say_where_it_is_from_is_refused(tmp_path: Path, text: str, says: str) -> None:
    path = tmp_path / "figures.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Unreadable) as refusal:
        reference.read(path)
    assert says in str(refusal.value)


def test_a_good_row_is_read(tmp_path: Path) -> None:
    path = tmp_path / "figures.csv"
    path.write_text(GOOD, encoding="utf-8")
    assert [row["value"] for row in reference.read(path)] == ["7850"]


def test_what_is_not_there_is_unknown() -> None:
    with pytest.raises(Unknown, match=r"no reference table 'gauges'.*constants"):
        reference.table("gauges")
    with pytest.raises(Unknown, match="0 rows with name = lead"):
        reference.row("constants", name="lead")
    with pytest.raises(Unknown, match="19 rows with"):
        reference.row("nails", type="metric round")
    with pytest.raises(Unknown, match="no column 'mass'"):
        reference.row("constants", mass="7850")


@pytest.mark.parametrize("name", ["shared", "demo_seed", "templates", "migrations"])
def test_the_folders_that_come_along_are_found(name: str) -> None:
    assert data_folder(name).is_dir()


def test_a_folder_that_did_not_come_along_is_named() -> None:
    with pytest.raises(Unavailable, match="folder recipes is not there"):
        data_folder("recipes")
