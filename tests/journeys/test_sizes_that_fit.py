"""Is what does not fit refused where it is loaded: wrong wire, mixed sizes, more than the drum takes?"""

from collections.abc import Iterator
from pathlib import Path

import plants
import pytest
from floor_work import plain
from houses import House, a_house
from lotroot.errors import Refused
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.runs import find_run, loads_of_lot, open_runs_at
from lotroot.questions import questions_of
from lotroot.receiving.commands import OpenStock
from shop import Shop

FROM = 'from = "catalogue:tumbling"'
SIZES = {
    "nail_25x50": "2.5 x 50",
    "nail_25x60": "2.5 x 60",
    "tumbled_25x50": "2.5 x 50",
    "tumbled_38x100": "3.8 x 100",
}
SOON = "Tumbling: 0 min since the last load; 20 are usual."


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(a_house(tmp_path))


@pytest.fixture
def either(database_url: str) -> Iterator[Shop]:
    """On SQLite and on PostgreSQL."""
    house = a_house(database_url)
    yield Shop(house)
    house.database.close()


@pytest.fixture
def patient(tmp_path: Path) -> Shop:
    """Where the plant says how long nails are tumbled."""
    return Shop(a_house(tmp_path, plants.demo_text().replace(FROM, f"{FROM}\nleast_minutes = 20")))


def lies(shop: Shop, product: str, amount: int) -> str:
    """A lot that lay here before."""
    stock = OpenStock(product=product, amount=amount, how="weighed", place=shop.place("wire_rack"))
    return shop.at("receiving", stock, "receiver").numbers[0]


def happened(shop: Shop, command: LoadInput, station: str) -> None:
    """Stated by a supervisor to have happened already."""
    supervisor = shop.house.people["supervisor"]
    shop.at(station, command, already=True, supervisor=supervisor)


def reasons(house: House, lot: str) -> list[str]:
    return [plain(row.reason) for row in house.ask(questions_of, lot)]


def refusal(shop: Shop, command: LoadInput, station: str) -> str:
    with pytest.raises(Refused) as refused:
        shop.at(station, command)
    return plain(refused.value.what)


# ---- the wire of a nail


@pytest.mark.parametrize(
    ("wire", "nail", "fits"),
    [
        ("wire_25", "nail_25x50", True),
        ("wire_25", "nail_25x60", True),
        ("galv_25", "nail_25x50", True),
        ("wire_38", "nail_38x100", True),
        ("wire_38", "nail_25x50", False),
        ("wire_25", "nail_38x100", False),
        ("galv_20", "nail_25x50", False),
    ],
)
def test_a_nail_machine_takes_the_wire_of_the_nail_it_makes(
    shop: Shop, wire: str, nail: str, fits: bool
) -> None:
    lot = lies(shop, wire, 400_000)
    if fits:
        assert shop.at("nail_1", LoadInput(lot, product=nail)).verdict == "accepted"
    else:
        with pytest.raises(Refused, match="goes into"):
            shop.at("nail_1", LoadInput(lot, product=nail))
        assert not shop.house.ask(open_runs_at, shop.house.thing("station", "nail_1"))


def test_wrong_wire_that_runs_already_is_recorded_and_in_question(either: Shop) -> None:
    lot = lies(either, "wire_38", 400_000)
    load = LoadInput(lot, product="nail_25x50")
    said = refusal(either, load, "nail_1")
    assert said.startswith("Wire of 2.5 mm goes into Nails 2.5 x 50, bright; ")
    assert said.endswith(" is Drawn wire 3.80 mm.")
    happened(either, load, "nail_1")
    assert reasons(either.house, lot) == [f"Done already: {said}"]
    assert len(either.house.ask(loads_of_lot, lot)) == 1
    either.closes()


# ---- the wires of fencing and mesh, by what they are for


@pytest.mark.parametrize(
    ("where", "wire", "made", "said"),
    [
        ("barb_1 L1", "galv_25", "barbed_25_20", ""),
        ("barb_1 L2", "wire_25", "barbed_25_20", ""),
        ("barb_1 B1", "galv_20", "barbed_25_20", ""),
        ("barb_1 L1", "galv_20", "barbed_25_20", "Line wire of 2.5 mm goes into Barbed wire 2.5/2.0"),
        ("barb_1 B1", "galv_25", "barbed_25_20", "Barb wire of 2.0 mm goes into Barbed wire 2.5/2.0"),
        ("mesh_1 P01", "wire_60", "mesh_a142", ""),
        ("mesh_1 C1", "wire_50", "mesh_a98", ""),
        ("mesh_1 P12", "wire_50", "mesh_a142", "Long wire of 6.0 mm goes into Mesh A142"),
        ("mesh_1 C1", "wire_60", "mesh_a98", "Cross wire of 5.0 mm goes into Mesh A98"),
        ("weaver_1 2", "galv_25", "chain_50x25", ""),
        ("weaver_1 2", "galv_20", "chain_50x25", "Wire of 2.5 mm goes into Chain link 50 x 2.5"),
        ("weaver_2 1", "coated_25", "chain_50x33_pvc", ""),
    ],
)
def test_a_payoff_takes_the_wire_of_its_role(shop: Shop, where: str, wire: str, made: str, said: str) -> None:
    station, payoff = where.split()
    lot = lies(shop, wire, 900_000)
    process = "chain_link_pvc" if wire == "coated_25" else ""
    load = LoadInput(lot, payoff=payoff, product=made, process=process)
    if not said:
        assert shop.at(station, load).verdict == "accepted"
    else:
        assert refusal(shop, load, station).startswith(said)
        assert not shop.house.ask(open_runs_at, shop.house.thing("station", station))


def test_a_wire_on_the_wrong_payoff_is_told_where_it_belongs(either: Shop) -> None:
    lot = lies(either, "galv_20", 900_000)
    load = LoadInput(lot, payoff="L1", product="barbed_25_20")
    with pytest.raises(Refused) as refused:
        either.at("barb_1", load)
    assert plain(refused.value.expected) == "Line wire of 2.5 mm."
    assert refused.value.next_step.startswith("Scan the right wire, or the payoff of Barb wire for this one.")
    happened(either, load, "barb_1")
    assert reasons(either.house, lot) == [f"Done already: {plain(refused.value.what)}"]
    either.closes()


SHARED = 'payoffs = ["C1", "C2"]\nmost = 2'
A142 = 'size = "6 mm at 200 mm"'


def test_where_a_payoff_serves_two_roles_the_wire_tells_which(tmp_path: Path) -> None:
    text = plants.demo_text().replace(SHARED, 'payoffs = ["P12", "C1", "C2"]\nmost = 3')
    assert 'payoffs = ["P12", ' in text
    text = text.replace(A142, f'{A142}\nwires_mm = {{ cross = "5.0" }}')
    welder = Shop(a_house(tmp_path, text))
    for payoff, wire in (("P12", "wire_50"), ("P11", "wire_60")):
        welder.at("mesh_1", LoadInput(lies(welder, wire, 900_000), payoff=payoff, product="mesh_a142"))
    (run,) = welder.house.ask(open_runs_at, welder.house.thing("station", "mesh_1"))
    assert [one.role for one in welder.house.ask(find_run, run.number).loaded] == ["cross", "long"]


WIRES = 'wires_mm = { line = "2.5", barb = "2.0" }'


def test_where_the_plant_does_not_tell_the_wires_none_is_refused(tmp_path: Path) -> None:
    untold = Shop(a_house(tmp_path, plants.demo_text().replace(WIRES, "")))
    load = LoadInput(lies(untold, "galv_20", 900_000), payoff="L1", product="barbed_25_20")
    assert untold.at("barb_1", load).verdict == "accepted"


# ---- sizes in one drum, one hopper


@pytest.mark.parametrize(
    ("station", "first", "second", "fits"),
    [
        ("tumbler_1", "nail_25x50", "nail_25x50", True),
        ("tumbler_1", "nail_25x50", "tumbled_25x50", True),
        ("tumbler_1", "nail_25x50", "nail_25x60", False),
        ("packing", "tumbled_25x50", "nail_25x50", True),
        ("packing", "tumbled_25x50", "tumbled_38x100", False),
    ],
)
def test_one_load_is_of_one_size(shop: Shop, station: str, first: str, second: str, fits: bool) -> None:
    made = {"tumbler_1": "tumbled_25x50", "packing": "box_25x50"}[station]
    one, other = (lies(shop, product, 300_000) for product in (first, second))
    shop.at(station, LoadInput(one, product=made))
    if fits:
        assert shop.at(station, LoadInput(other)).verdict == "accepted"
    else:
        said = refusal(shop, LoadInput(other), station)
        assert f"is {SIZES[second]}, " in said
        assert said.endswith(f" in there is {SIZES[first]}: sizes are not mixed.")
        assert not shop.house.ask(loads_of_lot, other)


def test_nails_do_not_go_into_boxes_of_another_size(shop: Shop) -> None:
    lot = lies(shop, "tumbled_38x100", 300_000)
    said = refusal(shop, LoadInput(lot, product="box_25x50"), "packing")
    assert said.endswith("is 3.8 x 100, this run makes 2.5 x 50: sizes are not mixed.")


def test_sizes_mixed_already_are_recorded_and_in_question(either: Shop) -> None:
    one, other = (lies(either, product, 300_000) for product in ("nail_25x50", "nail_38x100"))
    either.at("tumbler_1", LoadInput(one, product="tumbled_25x50"))
    happened(either, LoadInput(other), "tumbler_1")
    (reason,) = reasons(either.house, other)
    assert reason.endswith("is 2.5 x 50: sizes are not mixed.")
    either.closes()


# ---- what a drum takes


def test_more_than_the_drum_takes_is_refused_unless_it_is_in(either: Shop) -> None:
    pans = [lies(either, "nail_25x50", amount) for amount in (900_000, 600_000, 1_000)]
    either.at("tumbler_1", LoadInput(pans[0], product="tumbled_25x50"))
    either.at("tumbler_1", LoadInput(pans[1]))  # just full
    said = refusal(either, LoadInput(pans[2]), "tumbler_1")
    assert said.startswith("Tumbler drum 1 takes 1 500 kg at most; with ")
    assert said.endswith(" it would hold 1 501 kg.")
    happened(either, LoadInput(pans[2]), "tumbler_1")
    assert reasons(either.house, pans[2]) == [f"Done already: {said}"]
    either.closes()


def test_what_came_out_leaves_room_for_more(shop: Shop) -> None:
    pans = [lies(shop, "nail_25x50", amount) for amount in (1_400_000, 500_000)]
    shop.at("tumbler_1", LoadInput(pans[0], product="tumbled_25x50"))
    refusal(shop, LoadInput(pans[1]), "tumbler_1")
    shop.at("tumbler_1", MakeOutput(weight=700_000))
    assert shop.at("tumbler_1", LoadInput(pans[1])).verdict == "accepted"


# ---- how long it takes


def test_what_comes_out_too_soon_is_asked_about_once_and_noted(patient: Shop) -> None:
    pan = lies(patient, "nail_25x50", 600_000)
    run = patient.at("tumbler_1", LoadInput(pan, product="tumbled_25x50")).numbers[1]
    made = MakeOutput(weight=290_000)
    asked = patient.question(made, "tumbler_1")
    assert plain(asked.what) == f"{SOON} Is it done?"
    assert patient.asked(made, "yes", "tumbler_1").verdict == "accepted"
    assert patient.at("tumbler_1", made).verdict == "accepted"  # the second pan of the same load
    patient.at("tumbler_1", CloseRun())
    notes = [plain(mark.words) for mark in patient.house.ask(find_run, run).marks if mark.kind == "note"]
    assert notes == [f"agreed to: {SOON}"]


def test_where_the_plant_gives_no_time_none_is_asked_for(shop: Shop) -> None:
    pan = lies(shop, "nail_25x50", 600_000)
    shop.at("tumbler_1", LoadInput(pan, product="tumbled_25x50"))
    assert shop.at("tumbler_1", MakeOutput(weight=590_000)).verdict == "accepted"
