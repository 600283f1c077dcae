"""Do the sheets to scan from hold every code they are given, on A4, and the same bytes every time?"""

import io
import re
from pathlib import Path

import plants
import pypdfium2
import pytest
from houses import a_house
from lotroot.accounts.badges import badge_of
from lotroot.errors import Unreadable
from lotroot.identity import Command, ItemNumber, make, read
from lotroot.papers.sheets import (
    Entry,
    Group,
    Paper,
    badge_sheet,
    command_sheet,
    groups_sheet,
    place_sheet,
    scan_sheet,
)
from lotroot.papers.things import thing_groups
from lotroot.plant.adopted import current_plant, things
from lotroot.settings import data_folder
from lotroot.stock.tables import carrier
from PIL import Image
from sqlalchemy import select

A4_POINTS = (595.276, 841.890)
"""210 x 297 mm (ISO 216)."""


def page_sizes(paper: Paper) -> list[tuple[float, float]]:
    document = pypdfium2.PdfDocument(paper.pdf)
    try:
        return [document.get_page_size(index) for index in range(len(document))]
    finally:
        document.close()


def test_the_command_sheet_holds_every_command() -> None:
    paper = command_sheet()
    found = [read(code).value for code in paper.codes]
    assert len(found) == len(Command)
    assert set(found) == set(Command)


def test_every_command_that_a_page_has_a_button_for_is_on_the_command_sheet() -> None:
    pages = (data_folder("templates") / "pages").glob("*.html")
    words = {
        word
        for page in pages
        for word in re.findall(r'scan_button\([^)]*"([A-Z ]+)"\)', page.read_text("utf-8"))
    }
    assert {"ROW", "STACK", "SIGN OFF", "NOT ON TAG", "EMERGENCY"} <= words
    on_sheet = {read(code).value for code in command_sheet().codes}
    assert [word for word in sorted(words) if read(word).value not in on_sheet] == []


@pytest.mark.parametrize("count", [1, 30])
def test_a_sheet_is_a4_however_many_codes_it_holds(count: int) -> None:
    labels = [(str(make("N", 26, running)), f"Nail lot {running}") for running in range(1, count + 1)]
    paper = scan_sheet(labels)
    assert paper.codes == tuple(number for number, _ in labels)
    sizes = page_sizes(paper)
    assert len(sizes) == len(paper.pages)
    assert all(size == pytest.approx(A4_POINTS, abs=0.3) for size in sizes)
    with Image.open(io.BytesIO(paper.pages[0])) as page:
        assert page.size == (2480, 3508)


def test_a_sheet_of_the_same_entries_is_the_same_to_the_byte() -> None:
    groups = (Group("Load a coil", (Entry(str(make("C", 26, 7)), "Coil 7", "Rod yard"),)),)
    assert groups_sheet("Errands", "Do these.", groups) == groups_sheet("Errands", "Do these.", groups)


def test_items_and_badges_go_on_sheets_too(tmp_path: Path) -> None:
    house = a_house(tmp_path, plants.SMALL)
    code = house.ask(badge_of, house.people["operator"])
    assert badge_sheet([(code, "Mara Quill", "operator")], demo=True).codes == (code,)
    item = str(ItemNumber(make("N", 26, 1), 17))
    assert scan_sheet([(item, "Box 17")]).codes == (item,)


def test_everything_in_the_plant_that_carries_a_code_is_on_the_place_sheet(tmp_path: Path) -> None:
    house = a_house(tmp_path)
    plant = house.ask(current_plant)
    with house.reading() as connection:
        carriers = connection.execute(select(carrier)).all()
    groups = thing_groups(plant, house.ask(things), carriers)
    numbered = {row.number for row in [*house.ask(things), *carriers]}
    assert {entry.code for group in groups for entry in group.entries} == numbered
    first = groups[:1]
    assert place_sheet(first).codes == tuple(entry.code for entry in first[0].entries)


def test_a_sheet_that_cannot_be_made_says_why() -> None:
    with pytest.raises(Unreadable, match="钢") as refusal:
        scan_sheet([(str(make("C", 26, 1)), "钢 coil")])
    assert refusal.value.next_step
    with pytest.raises(Unreadable, match="no card"):
        scan_sheet([])
