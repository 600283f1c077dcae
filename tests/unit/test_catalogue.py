"""Are the processes there that a plant can take over, and is a new one really only a table?"""

import plants
import pytest
from lotroot import reference
from lotroot.errors import Unreadable
from lotroot.processes.adoption import catalogue, resolve
from lotroot.processes.reading import parse

TWELVE = {
    "wire drawing": ["wire_drawing"],
    "nail making": ["nail_making"],
    "tumbling": ["tumbling"],
    "box packing": ["box_packing"],
    "barbed wire": ["barbed_wire"],
    "chain-link weaving": ["chain_link_galvanised", "chain_link_pvc"],
    "fabric mesh": ["fabric_mesh"],
    "slitting": ["slitting"],
    "roll forming": ["roll_forming"],
    "tile blanking and pressing": ["tile_blanking", "tile_pressing"],
    "ridge capping": ["ridge_capping"],
    "pressure treating": ["pressure_treating"],
}
BESIDE_THEM = {"annealing", "pvc_coating", "solution_mixing"}


@pytest.mark.parametrize(("process", "tables"), TWELVE.items(), ids=TWELVE.keys())
def test_the_twelve_that_must_be_there_are_there(process: str, tables: list[str]) -> None:
    assert set(tables) <= set(catalogue())


def test_nothing_else_is_in_the_catalogue() -> None:
    assert set(catalogue()) == {name for names in TWELVE.values() for name in names} | BESIDE_THEM


@pytest.mark.parametrize("name", catalogue())
def test_the_demo_plant_takes_over_every_process(name: str) -> None:
    assert plants.demo_plant().process(name).name
    assert plants.demo_plant().stations_working(name)


def test_all_five_feeds_are_worked() -> None:
    feeds = {process.feed for process in plants.demo_plant().processes.values()}
    assert feeds == {"in_turn", "side_by_side", "together", "mixed", "as_is"}


def test_wood_and_solution_and_steel_and_pvc_are_streams_apart() -> None:
    plant = plants.demo_plant()
    assert plant.process("pressure_treating").streams == {"wood": "cm3", "solution": "ml"}
    assert plant.process("pvc_coating").streams == {"steel": "g", "pvc": "g"}


def test_cautions_have_their_sentence_and_every_sentence_its_process() -> None:
    named = {key for process in plants.demo_plant().processes.values() for key in process.cautions}
    assert named == {row["key"] for row in reference.table("cautions")}


def test_what_a_process_says_is_changed_key_by_key() -> None:
    text = '[process.drawing]\nfrom = "catalogue:wire_drawing"\nmargin.on_blocks = 7\nchecks = []\n'
    drawing = parse(resolve(_with_drawing(text))).process("drawing")
    assert (drawing.margin.on_blocks, drawing.margin.loss_permille) == (7, 10)
    assert (drawing.checks, drawing.loss, drawing.uses) == ((), "scale", ("die_set",))


def test_a_change_that_means_nothing_is_refused() -> None:
    text = '[process.drawing]\nfrom = "catalogue:wire_drawing"\ntolerance = 7\nchecks = []\n'
    with pytest.raises(Unreadable, match="tolerance_permille"):
        parse(resolve(_with_drawing(text)))


@pytest.mark.parametrize("name", ['"catalogue:wire_drawin"', '"wire_drawing"', '"catalogue:../reading"', "7"])
def test_what_the_catalogue_does_not_hold_is_refused(name: str) -> None:
    with pytest.raises(Unreadable, match=r"process\.drawing.*catalogue:wire_drawing"):
        resolve(f"[process.drawing]\nfrom = {name}\n")


def test_a_new_process_is_one_table() -> None:
    shot_peening = """
[process.peening]
name = "Shot peening"
feed = "in_turn"
order = "kept"
tolerance_permille = 5

[process.peening.streams]
steel = "g"

[process.peening.input.wire]
name = "Wire"
stream = "steel"
kinds = ["stripper"]

[process.peening.output.wire]
name = "Peened wire"
kind = "stripper"
as = "lot"
stream = "steel"
asks = ["weight"]
"""
    plant = parse(resolve(plants.SMALL + shot_peening))
    assert plant.process("peening").outputs[0].kind == "stripper"


def test_the_full_text_needs_no_catalogue() -> None:
    full = resolve(plants.demo_text())
    assert "catalogue:" not in full
    assert parse(full).processes.keys() == plants.demo_plant().processes.keys()


def test_writing_in_full_is_always_the_same_and_settles_at_once() -> None:
    full = resolve(plants.demo_text())
    assert full == resolve(plants.demo_text())
    assert resolve(full) == full


def test_a_value_that_is_no_text_number_or_list_is_refused() -> None:
    with pytest.raises(Unreadable, match=r"\[product\.rod\], wire_mm = 5\.5 .*decimals in quotes"):
        resolve("[product.rod]\nwire_mm = 5.5\n")


def _with_drawing(table: str) -> str:
    """The small plant with another table for its one process."""
    before, rest = plants.SMALL.split("[process.drawing]\n", 1)
    return before + table + "\n[reason]\n" + rest.split("[reason]\n", 1)[1]
