"""Does the invented plant have what the days of work in it need?"""

from collections import Counter

import plants
import pytest
from lotroot.posting.features import COMMANDS

PLANT = plants.demo_plant()


@pytest.mark.parametrize(
    ("process", "stations"),
    [
        ("wire_drawing", 2),
        ("nail_making", 3),
        ("tumbling", 2),
        ("box_packing", 1),
        ("barbed_wire", 1),
        ("chain_link_galvanised", 2),
        ("chain_link_pvc", 1),
        ("fabric_mesh", 1),
        ("slitting", 1),
        ("roll_forming", 2),
        ("tile_blanking", 1),
        ("tile_pressing", 1),
        ("ridge_capping", 1),
        ("pressure_treating", 1),
        ("solution_mixing", 1),
    ],
)
def test_each_process_has_its_machines(process: str, stations: int) -> None:
    assert len(PLANT.stations_working(process)) == stations


def test_its_labels_say_demo() -> None:
    assert PLANT.demo


def test_barbed_wire_runs_from_two_line_wires_and_a_barb_wire() -> None:
    payoffs = [payoff.code for payoff in PLANT.station("barb_1").payoffs]
    assert payoffs == ["L1", "L2", "B1"]


def test_mesh_runs_from_twelve_payoffs_and_two_for_cross_wire() -> None:
    mesh = PLANT.process("fabric_mesh")
    long, cross = mesh.input("long"), mesh.input("cross")
    assert long is not None and cross is not None
    assert (len(long.payoffs), long.least, cross.payoffs) == (12, 12, ("C1", "C2"))


def test_the_tank_keeps_a_heel_and_the_tumblers_empty() -> None:
    vessels = {
        code: PLANT.process(code).vessel for code in ("solution_mixing", "tumbling", "pressure_treating")
    }
    assert vessels == {
        "solution_mixing": "keeps a heel",
        "tumbling": "empties",
        "pressure_treating": "empties",
    }


def test_there_are_pans_trams_and_spools() -> None:
    assert Counter(carrier.kind for carrier in PLANT.carriers.values()) == {"pan": 24, "tram": 3, "spool": 8}


def test_tile_web_is_a_lot_that_capping_takes() -> None:
    web = PLANT.process("tile_blanking").output("web")
    strip = PLANT.process("ridge_capping").input("strip")
    assert web is not None and strip is not None
    assert web.by_product
    assert web.kind in strip.kinds


def test_caps_come_in_stacks_of_ten_and_nails_in_boxes_of_25_kg() -> None:
    assert PLANT.product("cap_300").item_amount == 10
    assert PLANT.product("box_25x50").item_amount == 25_000


def test_treated_packs_are_born_awaiting_their_proof() -> None:
    pack = PLANT.process("pressure_treating").output("pack")
    assert pack is not None
    assert (pack.awaits, pack.asks) == ("checks", ("of",))


def test_every_kind_has_a_product_and_every_product_can_be_made_or_bought() -> None:
    assert {product.kind for product in PLANT.products.values()} == set(PLANT.kinds)
    made = {output.kind for process in PLANT.processes.values() for output in process.outputs}
    bought = set(PLANT.kinds) - made
    assert bought == {
        "rod",
        "wire_coil",
        "sheet_coil",
        "lumber",
        "concentrate",
        "water",
        "compound",
        "medium",
    }


def test_everything_checked_is_measured_by_something_or_looked_at() -> None:
    measured = {check for instrument in PLANT.instruments.values() for check in instrument.checks}
    looked_at = {code for code, one in PLANT.characteristics.items() if one.attribute}
    reckoned = {"nail_head", "nail_bend", "retention_gauge", "penetration"}
    assert set(PLANT.characteristics) == measured | looked_at | reckoned


def test_everything_a_product_limits_is_known_to_a_process() -> None:
    checked = {check for process in PLANT.processes.values() for check in process.checks}
    at_receipt = {"zinc_single", "zinc_side"}
    limited = {code for product in PLANT.products.values() for code in product.limits}
    assert limited <= checked | at_receipt


def test_each_group_of_reasons_has_its_buttons() -> None:
    groups = Counter(reason.group for reason in PLANT.reasons.values())
    assert set(groups) == {
        "scrap", "hold", "release", "broke", "stopped", "spoiled", "return", "correct", "override",
        "settled", "count",
    }  # fmt: skip
    assert PLANT.reasons_of("broke")[0].words == "Wire broke"


def test_limits_of_a_product_go_before_those_of_the_characteristic() -> None:
    assert PLANT.limits("sheet_thickness", "coil_40x1000").high == "0.43"
    assert PLANT.limits("tensile", "wire_25").low == "550"
    assert PLANT.limits("tensile", None).low is None


def test_no_role_is_without_a_command() -> None:
    assert [role for role, commands in PLANT.roles.items() if not commands] == []


def test_roles_name_commands_by_their_real_names() -> None:
    named = {command for commands in PLANT.roles.values() for command in commands} - {"*"}
    known = {command.__name__ for command in COMMANDS.values()}
    assert named - known == set()
