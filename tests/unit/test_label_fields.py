"""Does a label say what was known when it was asked for, in the plant's own units and words?"""

import json
from collections.abc import Iterator
from typing import Any

import plants
import pytest
from goods_by_hand import LayDown, UseUp, by_hand
from houses import House, a_house
from lotroot.identity.showing import shown
from lotroot.labelling.handling import PrintAgain
from lotroot.labelling.tables import print_job
from lotroot.quantities import THIN_SPACE


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """One house for all: each test looks at the job it queued itself, the last."""
    with by_hand():
        yield a_house(tmp_path_factory.mktemp("labels"))


def queued(house: House) -> dict[str, Any]:
    """The job queued last, its fields read."""
    job = house.rows(print_job)[-1]
    return {**job, "fields": json.loads(job["fields"])}


def plain(text: str) -> str:
    return text.replace(THIN_SPACE, " ")


def laid(house: House, product: str, amount: int, **more: Any) -> str:
    place = house.thing("place", "coil_yard")
    return house.post(LayDown(product, amount, place, **more), "receiver").numbers[0]


def test_a_received_coil_hangs_under_a_coil_tag_with_its_heat(house: House) -> None:
    number = laid(house, "rod_55", 2_040_500, heat="4471902")
    job = queued(house)
    fields = job["fields"]
    assert job["layout"] == "coil"
    assert fields["shown"] == shown(number)
    assert plain(fields["amount"]) == "2 040.5 kg"
    assert fields["heat"] == "4471902"
    assert (fields["supplier"], fields["supplier_number"]) == ("Bellmead Rod and Wire", "TK-88213-04")
    assert fields["demo"] == "DEMO"
    assert fields["date"].startswith("2 Nov 2026 06:00"), "the month is a word, the time the plant's"
    assert "copy" not in fields
    assert "held" not in fields


LOTS = [
    ("rod_55", 2_000_000, "received", "coil"),
    ("galv_25", 800_000, "received", "coil"),
    ("coil_40x1250", 5_000_000, "received", "coil"),
    ("strip_412", 1_600_000, "", "coil"),
    ("wire_25", 486_500, "", "stripper"),
    ("coated_25", 180_000, "", "stripper"),
    ("nail_25x50", 300_000, "", "lot"),  # not in a pan: see the journeys
    ("tumbled_25x50", 290_000, "", "lot"),
    ("tile_wave", 540, "", "tile_stack"),
    ("blank_tile", 430, "", "lot"),
    ("web_tile", 133_500, "", "lot"),
    ("lumber_2x4x12", 96, "received", "lumber"),
    ("treated_2x4x12", 96, "", "treated_pack"),
    ("solution_ca", 12_000_000, "", "lumber"),
    ("concentrate_ca", 1_000_000, "received", "lumber"),
    ("pvc_green", 400_000, "received", "lot"),
    ("sawdust", 20_000, "received", "lot"),
]

ITEMS = [
    ("box_25x50", 75_000, "nail_box"),
    ("barbed_25_20", 70_000, "wire_roll"),
    ("chain_50x25", 150_000, "wire_roll"),
    ("chain_50x33_pvc", 170_000, "wire_roll"),
    ("mesh_a142", 120, "wire_roll"),
    ("sheet_t35", 150, "roof_bundle"),
    ("cap_300", 30, "roof_bundle"),
]


@pytest.mark.parametrize(("product", "amount", "source", "layout"), LOTS)
def test_each_kind_has_its_layout(house: House, product: str, amount: int, source: str, layout: str) -> None:
    laid(house, product, amount, source=source)
    assert queued(house)["layout"] == layout


@pytest.mark.parametrize(("product", "amount", "layout"), ITEMS)
def test_each_kind_of_items_has_its_layout(house: House, product: str, amount: int, layout: str) -> None:
    laid(house, product, amount, source="", items=3)
    assert queued(house)["layout"] == layout


def test_every_kind_of_the_plant_but_water_stands_in_a_table_above() -> None:
    plant = plants.demo_plant()
    tried = {plant.products[row[0]].kind for row in (*LOTS, *ITEMS)}
    assert tried == set(plant.kinds) - {"water"}


@pytest.mark.parametrize(
    ("product", "source", "begins"),
    [
        ("treated_2x4x12", "", "Do not burn"),
        ("solution_ca", "", "Read the registered label"),
        ("lumber_2x4x12", "received", None),
        ("nail_25x50", "", None),
    ],
)
def test_treated_wood_and_solutions_carry_their_caution(
    house: House, product: str, source: str, begins: str | None
) -> None:
    laid(house, product, 96, source=source)
    cautions = queued(house)["fields"].get("cautions", [])
    assert [caution.startswith(begins) for caution in cautions[:1]] == ([True] if begins else [])


def test_a_lot_partly_used_shows_what_is_left_and_says_part(house: House) -> None:
    number = laid(house, "rod_55", 2_000_000)
    house.post(UseUp(number, 750_000, house.thing("place", "coil_yard")), "operator")
    house.post(PrintAgain(number, "torn"))
    job = queued(house)
    assert job["layout"] == "part_coil"
    assert (plain(job["fields"]["amount"]), job["fields"]["part"]) == ("1 250 kg", "PART")
    assert (job["copy"], job["fields"]["copy"]) == (2, "2")


def test_a_hold_given_with_the_request_stands_in_words(house: House) -> None:
    laid(house, "nail_25x50", 300_000, source="", note="checks")
    assert queued(house)["fields"]["held"] == "AWAITING CHECKS"


def test_items_show_what_the_scale_said_else_the_nominal_amount(house: House) -> None:
    laid(house, "box_25x50", 75_030, items=3, source="", weights=(25_030,))
    job = queued(house)
    assert (job["layout"], job["first"], job["last"]) == ("nail_box", 1, 3)
    assert [plain(item["amount"]) for item in job["fields"]["items"]] == ["25.03 kg", "25 kg", "25 kg"]


def test_items_without_a_nominal_amount_share_the_lot_and_add_up(house: House) -> None:
    """RULES 21, by cumulative floor: 100 g less 30 weighed over three items are 23, 23 and 24 g."""
    laid(house, "nail_25x50", 100, items=4, source="", weights=(30,))
    amounts = [plain(item["amount"]) for item in queued(house)["fields"]["items"]]
    assert amounts == ["0.03 kg", "0.023 kg", "0.023 kg", "0.024 kg"]


@pytest.mark.parametrize(
    ("kind", "code", "owner", "name"),
    [
        ("place", "coil_yard", "", "Coil yard"),
        ("station", "draw_1", "", "Drawing machine 1"),
        ("payoff", "B1", "barb_1", "Barbed wire machine, Barb wire"),
    ],
)
def test_a_thing_is_called_what_people_call_it(
    house: House, kind: str, code: str, owner: str, name: str
) -> None:
    house.post(PrintAgain(house.thing(kind, code, owner), "new"))
    job = queued(house)
    assert job["layout"] == "place"
    assert job["fields"]["product"].startswith(name)
    assert job["copy"] == 1


def test_no_label_names_a_person(house: House) -> None:
    laid(house, "rod_55", 1_000)
    text = house.rows(print_job)[-1]["fields"]
    assert not any(word in text for word in ("Ada", "Okafor", "receiver", *house.people.values()))
