"""Does a loss count in a balance only where somebody stands behind it, and does the run say who?"""

import html
import re
from pathlib import Path

import plants
import pytest
from houses import House, a_house
from lotroot.errors import Unreadable
from lotroot.plant.figures import LOSSES
from lotroot.production.loading import EndInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.quality.confirming import ConfirmFigure, OverrideFigure, WithdrawFigure
from lotroot.reconciliation.balances import known_balance
from lotroot.reconciliation.facts import StreamBalance
from offices import office
from shop import Shop

OWN = "loss_permille = 4\n"
DOUBTFUL = OWN + 'loss_source = "common practice"\nloss_confidence = "memory"\n'
ROW = "nail_making | dust"


def a_doubtful_house(where: Path | str) -> House:
    """A plant whose nail machines lose 4 in a thousand, from memory."""
    text = plants.demo_text()
    assert text.count(OWN) == 1
    return a_house(where, text.replace(OWN, DOUBTFUL), pin="4711")


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(a_doubtful_house(tmp_path))


def strippers(shop: Shop) -> list[str]:
    """Three of 500 kg."""
    return shop.drawn(shop.coil(), 500_000, 500_000, 500_000)


def nailed(shop: Shop, stripper: str, pan: str) -> str:
    """A run that made nails of a stripper until it ran out."""
    shop.nails(stripper, 490_000, pan)
    shop.at("nail_1", EndInput())
    return shop.at("nail_1", CloseRun()).numbers[0]


def balance(shop: Shop, run: str) -> StreamBalance:
    (only,) = shop.house.ask(known_balance, run)
    return only


def line(shop: Shop, run: str) -> str:
    """The line of the named loss on a run's page, without tags."""
    page = office(shop.house, "manager").client.get(f"/lots/{run}").text
    found = re.search(r"<tr[^>]*>(?:(?!</tr>).)*?>Loss: .*?</tr>", page, re.DOTALL)
    return " ".join(html.unescape(re.sub("<[^>]+>", " ", found[0])).split()) if found else ""


def test_a_loss_from_memory_counts_from_the_day_a_person_confirmed_it(database_url: str) -> None:
    shop = Shop(a_doubtful_house(database_url))
    first, second, third = strippers(shop)
    before = nailed(shop, first, "pan_17")
    shop.house.post(ConfirmFigure(LOSSES, ROW, "swept for a week in May"), "manager")
    after = nailed(shop, second, "pan_18")
    shop.house.post(OverrideFigure(LOSSES, ROW, ("loss_permille=7",), "swept again"), "manager")
    last = nailed(shop, third, "pan_19")
    found = [(one.loss, one.difference) for one in (balance(shop, run) for run in (before, after, last))]
    assert found == [(0, 10_000), (2_000, 8_000), (3_500, 6_500)]
    shop.closes()
    shop.house.database.close()


def test_the_run_says_whose_figure_it_is_as_it_was_then(shop: Shop) -> None:
    first, second, _ = strippers(shop)
    before = nailed(shop, first, "pan_17")
    shop.house.post(ConfirmFigure(LOSSES, ROW, "swept for a week in May"), "manager")
    after = nailed(shop, second, "pan_18")
    shop.house.post(WithdrawFigure(LOSSES, ROW, "new machine"), "manager")
    assert line(shop, before).endswith("4 in a thousand, from memory, not confirmed: not counted")
    assert "4 in a thousand: confirmed by The manager on" in line(shop, after)


def test_what_is_published_or_the_plants_own_counts_and_says_so(tmp_path: Path) -> None:
    shop = Shop(a_house(tmp_path))
    run = nailed(shop, strippers(shop)[0], "pan_17")
    assert line(shop, run).endswith("4 in a thousand: the plant’s own figure")
    shop.at("draw_1", MakeOutput(weight=500_000))
    shop.at("draw_1", EndInput())
    drawing = shop.at("draw_1", CloseRun()).numbers[0]
    assert "8 in a thousand: " in line(shop, drawing)
    assert line(shop, drawing).endswith("(published)")


@pytest.mark.parametrize("value", ["1001", "7.5", "-1", "NaN", "1000000000", "8 kg", ""])
def test_no_more_than_all_of_it_is_lost(shop: Shop, value: str) -> None:
    before = shop.house.status()
    with pytest.raises(Unreadable, match="loss_permille"):
        shop.house.post(OverrideFigure(LOSSES, ROW, (f"loss_permille={value}",), "ours"), "manager")
    assert shop.house.status() == before


def test_losses_are_listed_for_confirming(shop: Shop) -> None:
    page = office(shop.house, "manager").client.get("/tables/plant-losses").text
    assert "Nail making" in page
    assert "not confirmed" in page
