"""A coil is on a machine when its weight turns out to be another: what is left, what closes, what stands?"""

from pathlib import Path

import pytest
from houses import a_house
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.runs import find_run
from lotroot.receiving.commands import CompleteReceipt, CorrectAmount, ReceiveLot
from lotroot.verify import verify
from shop import Shop


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(a_house(tmp_path))


def run_of(shop: Shop, lot: str) -> str:
    """The run a lot was made in."""
    return str(shop.house.ask(find_lot, lot).run)


def left_on(shop: Shop, run: str) -> list[int]:
    """What stands on a run."""
    return [row["amount"] for row in shop.house.status()["standing"] if row["spot"] == run]


@pytest.mark.parametrize(
    ("right", "difference", "put_back"),
    [
        # more than was taken: the rest comes off the machine
        (900_000, 0, 400_000),
        (2_300_000, 0, 1_800_000),
        # less than was taken: the shortfall is a difference
        (420_000, -80_000, 0),
        (500_000, 0, 0),
    ],
)
def test_a_loaded_coil_weighed_again_closes(shop: Shop, right: int, difference: int, put_back: int) -> None:
    coil = shop.coil(amount=2_000_000)
    run = run_of(shop, shop.drawn(coil, 500_000)[0])
    shop.house.post(CorrectAmount(lot=coil, amount=right, why="weighed again"), "supervisor")
    [load] = shop.house.ask(find_run, run).inputs
    assert (load.own, load.amount, load.taken) == (right, right, 500_000)
    shop.asked(CloseRun(), "off", "draw_1") if put_back else shop.at("draw_1", CloseRun())
    assert left_on(shop, run) == []
    assert shop.account(coil).get("difference", 0) == difference
    assert sum(amount for *_, amount in shop.stands(coil)) == put_back
    assert str(verify(shop.house.database)).startswith("ok ")
    shop.closes()


def test_a_coil_loaded_before_it_was_weighed_is_told_later(shop: Shop) -> None:
    told = ReceiveLot(product="rod_55", supplier="nordhavn", emergency=True)
    coil = shop.at("receiving", told, "receiver").numbers[0]
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    stripper = shop.asked(MakeOutput(weight=500_000), "yes", "draw_1").numbers[0]
    run = run_of(shop, stripper)
    details = CompleteReceipt(lot=coil, product="rod_55", amount=1_500_000, heats=("A1",))
    shop.at("receiving", details, "receiver")
    shop.asked(CloseRun(), "off", "draw_1")
    assert (left_on(shop, run), shop.account(coil).get("difference", 0)) == ([], 0)
    assert sum(amount for *_, amount in shop.stands(coil)) == 1_000_000
    assert str(verify(shop.house.database)).startswith("ok ")


def test_what_a_coil_never_had_on_this_machine_is_its_difference_at_once(shop: Shop) -> None:
    coil = shop.coil(amount=2_000_000)
    run = run_of(shop, shop.drawn(coil, 1_500_000)[0])
    shop.asked(CloseRun(), "off", "draw_1")
    second = shop.at("draw_2", LoadInput(coil, product="wire_25", end="outer")).numbers
    shop.house.post(CorrectAmount(lot=coil, amount=1_000_000, why="weighed again"), "supervisor")
    [number] = {number for number in second if number.startswith("U")}
    [load] = shop.house.ask(find_run, number).inputs
    assert (load.own, number != run) == (0, True)
    assert shop.account(coil)["difference"] == -500_000
    shop.at("draw_2", CloseRun())
    assert str(verify(shop.house.database)).startswith("ok ")
    shop.closes()


def test_lots_in_a_tumbler_are_shared_by_what_they_really_were(shop: Shop) -> None:
    small, large = shop.coil(), shop.coil()
    lots = []
    for coil, pan in ((small, "pan_17"), (large, "pan_18")):
        stripper = shop.drawn(coil, 500_000)[0]
        shop.asked(CloseRun(), "off", "draw_1")
        lots.append(shop.nails(stripper, 100_000, pan))
        shop.asked(CloseRun(), "off", "nail_1")
    for lot in lots:
        shop.at("tumbler_1", LoadInput(lot, product="tumbled_25x50"))
    shop.house.post(CorrectAmount(lot=lots[0], amount=50_000, why="weighed again"), "supervisor")
    made = shop.at("tumbler_1", MakeOutput(weight=150_000, carrier=shop.pan("pan_19"))).numbers[0]
    links = shop.house.ask(lambda connection: links_of(connection, find_lot(connection, made).id))
    assert {link.parent_number: link.given for link in links} == {lots[0]: 50_000, lots[1]: 100_000}
    shop.at("tumbler_1", CloseRun())
    assert str(verify(shop.house.database)).startswith("ok ")
