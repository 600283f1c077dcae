"""Does a station's page say in one line what that which it makes should weigh, and ask nothing for it?"""

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from floor_work import at, lay, ok
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.reconciliation.factors import SetFactor
from shop import Shop
from terminals import Terminal
from weighed_rolls import rolls


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with by_hand():
        yield a_house(tmp_path)


def line(terminal: Terminal) -> str:
    """The last line of the run's panel."""
    shows = terminal.last["fragments"]["station-run"]
    found = re.findall(r'<p class="station-dies">(.*?)</p>', shows)
    return html.unescape(re.sub("<[^>]+>", "", found[-1])).replace("\u202f", " ") if found else ""


def fed(house: House, station: str, **payoffs: str) -> Terminal:
    """A station with a coil on each payoff."""
    terminal = at(house, station)
    for payoff, product in payoffs.items():
        ok(terminal.scan(house.thing("payoff", payoff, station)))
        ok(terminal.scan(lay(house, product, 800_000)))
    return terminal


def test_a_roll_of_barbed_wire(house: House) -> None:
    barb = fed(house, "barb_1", L1="galv_25", L2="galv_25", B1="galv_20")
    assert line(barb) == "A roll of 200 m should weigh 23.62 kg by theory."


def test_a_roll_by_the_factor_of_the_plant(house: House) -> None:
    rolls(Shop(house), 24_400, 24_420, 24_440, 24_460, 24_380)
    house.post(SetFactor("barbed_25_20", 10**9, 1_033_870), "supervisor")
    barb = fed(house, "barb_1", L1="galv_25", L2="galv_25", B1="galv_20")
    assert line(barb) == "A roll of 200 m should weigh 24.42 kg, theory × 1.034."


def test_a_roll_of_chain_link(house: House) -> None:
    assert line(fed(house, "weaver_1", **{"1": "galv_25", "2": "galv_25"})) == (
        "A roll of 20 m should weigh 52.846 kg by theory."
    )


def test_a_bundle_of_mesh_and_of_sheets(house: House) -> None:
    mesh = fed(house, "mesh_1", P01="wire_60")
    assert line(mesh) == "A bundle of 40 should weigh 1 023 kg by theory."
    former = at(house, "roll_1")
    former.answer(lay(house, "coil_40x1250", 5_000_000, "coil_yard"), "sheet_t35")
    assert line(former) == "A bundle of 50 should weigh 706.5 kg by theory."


def test_a_box_of_nails_holds_so_many(house: House) -> None:
    bench = at(house, "packing")
    ok(bench.scan(lay(house, "tumbled_25x50", 480_000)))
    assert line(bench) == "A box of 25 kg holds about 12 970 pcs by theory."


def test_the_strips_of_a_coil_and_of_a_narrower_one(house: House) -> None:
    slit = at(house, "slitter")
    ok(slit.scan(lay(house, "coil_40x1250", 5_000_000, "coil_yard")))
    assert line(slit) == ""
    ok(slit.scan("3x412"))
    assert line(slit) == "3 strips of 412 mm of 1250: 14 mm trim, 1.1 %."
    for _ in range(3):
        ok(slit.scan("1650"))
    slit.answer(lay(house, "coil_40x1000", 4_000_000, "coil_yard"), "ended")
    assert line(slit) == "3 strips of 412 mm of 1000: 243 mm more than the coil has."


def test_other_stations_have_no_such_line(house: House) -> None:
    nails = at(house, "nail_1")
    nails.answer(lay(house, "wire_25", 500_000), "nail_25x50")
    assert line(nails) == ""
