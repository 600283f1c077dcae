"""Does the house of the tests hold together: plant, people, firms, and status as from its events?"""

from pathlib import Path

import plants
import pytest
from houses import a_house
from lotroot.accounts.handling import AddParty
from lotroot.errors import NotAllowed
from lotroot.labelling.handling import PrintAgain


def test_a_house_has_its_plant_a_person_in_each_role_and_firms(tmp_path: Path) -> None:
    house = a_house(tmp_path)
    assert set(house.people) == {
        "administrator",
        "receiver",
        "operator",
        "treater",
        "supervisor",
        "qa",
        "dispatcher",
        "manager",
    }
    assert house.thing("place", "coil_yard").startswith("T26")
    assert house.post(PrintAgain(house.thing("place", "coil_yard"), "torn")).labels
    with pytest.raises(NotAllowed):
        house.post(AddParty("newfirm", "New Firm", "supplier"), "operator")


def test_status_of_a_house_is_what_its_events_say(tmp_path: Path) -> None:
    house = a_house(tmp_path, plants.SMALL)
    assert house.status() == house.rebuilt()
