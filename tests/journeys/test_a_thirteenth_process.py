"""Can a plant add a way of working that nobody thought of, by its description alone?

Galvanising: drawn wire and zinc come out as coated coils and cut lengths. No line of the program names it.
Zinc on wire: class 3 of 3.80 mm is some 3.3 % of its mass (ASTM A641, 0.90 oz/ft2; worked by us).
"""

from pathlib import Path

import plants
import pytest
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.adoption import AdoptPlant
from lotroot.errors import Unreadable
from lotroot.genealogy.lots import links_of
from lotroot.goods import one_lot
from lotroot.labelling.printed import waiting_jobs
from lotroot.plant.adopted import current_plant
from lotroot.processes.adoption import resolve
from lotroot.reconciliation.balances import known_balance
from lotroot.tracing.asking import asked
from lotroot.tracing.upward import up
from lotroot.verify.conservation import conservation_finding

PROCESS = """
[process.galvanising]
name = "Galvanising"
feed = "in_turn"
order = "reversed"
tolerance_permille = 30
loss = "dross and drips"
loss_permille = 2
checks = ["zinc_mass"]
streams = { steel = "g", zinc = "g" }
margin = { on_blocks = 20000 }
input.wire = { name = "Wire", stream = "steel", kinds = ["stripper"], most = 1, payoffs = ["1"] }
input.zinc = { name = "Zinc", stream = "zinc", kinds = ["zinc"], payoffs = ["2"] }
output.coil = { name = "Coated coil", kind = "wire_coil", as = "lot", stream = "steel", asks = ["weight"] }

[process.galvanising.output.lengths]
name = "Cut lengths"
kind = "cut_wire"
as = "item"
lot_per = "run"
stream = "steel"
asks = ["weight"]
"""
"""The one table of the process. A plant also says what it makes and where."""

AROUND = """
[product.galv_38]
name = "Galvanised wire 3.80 mm, class 3"
kind = "wire_coil"
size = "3.80 mm"
wire_mm = "3.8"
parts_permille = { steel = 967, zinc = 33 }

[product.cut_38]
name = "Cut lengths 3.80 mm x 2 m, bundle"
kind = "cut_wire"
size = "3.80 mm x 2 m"
item_amount = 25000

[product.zinc_slab]
name = "Zinc slab"
kind = "zinc"

[station.galv_line]
name = "Galvanising line"
processes = ["galvanising"]
payoffs = { "1" = "Payoff", "2" = "Kettle" }
place = "wire_rack"
printer = "wire"
scale = "floor_scale"
"""
KINDS = """
zinc = { name = "Zinc", letter = "K", unit = "g" }
cut_wire = { name = "Cut lengths", letter = "G", unit = "g", axis = "serial" }
"""


def the_plant() -> str:
    """The invented plant with a thirteenth process."""
    return plants.demo_text().replace("\n[kind]\n", f"\n[kind]\n{KINDS}") + PROCESS + AROUND


@pytest.fixture
def house(tmp_path: Path) -> House:
    return a_house(tmp_path, the_plant())


def test_a_process_of_one_table_is_worked_labelled_balanced_and_traced(house: House) -> None:
    with by_hand():
        wire = lay(house, "wire_38", 1_000_000)
        zinc = lay(house, "zinc_slab", 100_000)
    line = at(house, "galv_line")
    ok(line.scan(wire))
    ok(line.scan(house.thing("payoff", "2", "galv_line")))
    ok(line.scan(zinc))
    assert plain(line.last["next"]) == "Weigh the coated coil: type kg"
    for weight in ("500", "400"):
        ok(line.scan(weight))
    assert "Cut lengths" in ok(line.scan("NEXT"))["say"]
    ok(line.scan("25"))
    ok(line.scan("24.9"))
    run = run_at(house, "galv_line")
    coils = [one.lot for one in run.outputs if one.output == "coil"]
    (lengths,) = {one.lot for one in run.outputs if one.output == "lengths"}
    line.answer("DONE", "off")
    # its labels wait to be printed
    assert {job.number for job in house.ask(waiting_jobs)} >= {*coils, lengths}
    # it adds up in both streams, to the gram: a coat of 33 in a thousand
    steel, coat = house.ask(known_balance, run.number)
    assert (steel.stream, coat.stream) == ("steel", "zinc")
    assert steel.good == 483_500 + 386_800 + 24_175 + 24_078
    assert coat.good == 16_500 + 13_200 + 825 + 821
    for one in (steel, coat):
        used = one.loaded - one.returned
        assert used == one.good + one.by_product + one.scrap + one.loss + one.difference
    # it is traced to both, by streams
    lineage = house.ask(lambda connection: up(connection, asked(connection, lengths)))
    parts = {one.lot.number: one.part for one in lineage.lots if one.lot.number in (wire, zinc)}
    assert set(parts) == {wire, zinc}
    assert set(parts[zinc]) == {"zinc"}
    row = house.ask(one_lot, lengths)
    assert {link.parent_number for link in house.ask(links_of, row.id)} == {wire, zinc}
    assert house.ask(conservation_finding) is None


@pytest.mark.parametrize(
    ("right", "wrong", "named"),
    [
        ('loss = "dross and drips"', 'los = "dross and drips"', "'los'"),
        ("loss_permille = 2", "loss_permille = -2", "loss_permille"),
        ("loss_permille = 2", 'loss_permille = 2\nloss_confidence = "sourced"', "loss_source"),
        ('kinds = ["zinc"]', 'kinds = ["zink"]', "'zink'"),
        ('scale = "floor_scale"\n', 'scale = "flour_scale"\n', "'flour_scale'"),
    ],
)
def test_a_mistake_in_the_table_is_named_and_nothing_is_adopted(
    house: House, right: str, wrong: str, named: str
) -> None:
    before = house.ask(current_plant).hash
    head, _, tail = the_plant().rpartition(right)
    with pytest.raises(Unreadable) as refusal:
        house.post(AdoptPlant(resolve(head + wrong + tail)))
    assert named in str(refusal.value)
    assert house.ask(current_plant).hash == before
