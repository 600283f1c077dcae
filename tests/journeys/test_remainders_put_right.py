"""Can what was left of a part coil be put right at any later time, and does all that came of it follow?"""

import re
from collections.abc import Iterator

import pytest
from floor_work import plain
from houses import a_house
from lotroot.counting.commands import CountGoods, FinishCount, SettleDifference, StartCount
from lotroot.counting.counts import differences_of
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.errors import Question, Refused, Unreadable
from lotroot.genealogy.lots import find_lot, links_of
from lotroot.identity.showing import shown
from lotroot.ledger.book import events_naming, head
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.loading import EndInput, LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.production.runs import find_run
from lotroot.questions import open_questions
from lotroot.receiving.commands import OpenStock
from lotroot.reconciliation.balances import balance_history, known_balance
from lotroot.reconciliation.facts import StreamBalance
from lotroot.reconciliation.knowing import Then
from lotroot.reconciliation.yields import Asked, yields
from lotroot.stock.standing import standings
from lotroot.tracing import story
from lotroot.verify import verify
from lotroot.voiding.handling import Void
from offices import PIN, office, sent
from shop import Shop

TOLD, RIGHT = 1_460_000, 1_480_000
"""What was typed of a coil of 2,000 kg of which 500 kg were drawn, and what it was."""


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    """A plant at work, whose accounts close when the test is over."""
    house = a_house(database_url, pin=PIN)
    yield Shop(house)
    Shop(house).closes()
    assert str(verify(house.database)).startswith("ok ")
    house.database.close()


def came_off(shop: Shop, told: int = TOLD) -> tuple[str, str]:
    """A coil that was drawn from and came off with what was told, its run closed: the coil, and the run."""
    coil = shop.coil()
    lot = shop.drawn(coil, 500_000)[0]
    shop.at("draw_1", UnloadInput(remainder=told, how="weighed", typed_by="hand"))
    shop.at("draw_1", CloseRun())
    return coil, str(shop.house.ask(find_lot, lot).run)


def put_right(shop: Shop, run: str, own: int = RIGHT, how: str = "weighed") -> str:
    return shop.house.post(CorrectInput(run, 1, remainder=own, how=how, typed_by="scale"), "supervisor").say


def stands(shop: Shop, coil: str) -> int:
    return sum(row.amount for row in shop.house.ask(standings, coil))


def balance_of(shop: Shop, run: str) -> StreamBalance:
    (only,) = shop.house.ask(known_balance, run)
    return only


def reasons(shop: Shop, subject: str) -> list[str]:
    return [row.reason for row in shop.house.ask(open_questions) if row.subject == subject]


# ---- it still stands where it came off


@pytest.mark.parametrize("right", [RIGHT, 1_440_000])
def test_what_stands_and_the_closed_run_follow_and_both_figures_stay_readable(shop: Shop, right: int) -> None:
    coil, run = came_off(shop)
    then = Then(head=shop.house.ask(head).count)
    said = plain(put_right(shop, run, right)).replace(" ", "")
    assert f"with{right // 1000}kg,nolonger1460kg" in said
    assert stands(shop, coil) == right
    one = balance_of(shop, run)
    assert one.returned == right
    assert one.loaded - one.returned == one.good + one.scrap + one.loss + one.difference
    assert [one.returned for one in shop.house.ask(balance_history, run)] == [TOLD, right]
    november = Asked("2026-11-01", "2026-11-30")
    [[before], [now]] = [
        shop.house.ask(yields, asked, "process") for asked in (november._replace(then=then), november)
    ]
    assert (before.figures.used, now.figures.used) == (2_000_000 - TOLD, 2_000_000 - right)
    told = [one.sentence for one in shop.house.ask(story, coil).told if one.correction]
    assert any("weighed, off the scale, not 1" in sentence for sentence in told), told
    (load,) = shop.house.ask(find_run, run).inputs
    assert (load.left_how, load.typed_by) == ("weighed", "scale")


def test_how_it_is_known_is_put_right_without_another_amount(shop: Shop) -> None:
    coil, run = came_off(shop)
    put_right(shop, run, TOLD, "estimated")
    (load,) = shop.house.ask(find_run, run).inputs
    assert (load.left_how, load.typed_by, stands(shop, coil)) == ("estimated", "", TOLD)


def test_nothing_was_left_of_what_was_told_as_a_remainder(shop: Shop) -> None:
    coil = shop.coil(amount=520_000)
    run = str(shop.house.ask(find_lot, shop.drawn(coil, 500_000)[0]).run)
    shop.at("draw_1", UnloadInput(remainder=20_000, how="weighed"))
    put_right(shop, run, 0)
    assert stands(shop, coil) == 0
    put_right(shop, run, 15_000)
    (row,) = shop.house.ask(standings, coil)
    assert (row.amount, row.spot[0]) == (15_000, "T")
    assert any("to be counted" in reason for reason in reasons(shop, coil))


# ---- it was used again


def test_on_a_machine_again_that_load_is_of_as_much_more_and_its_links_stay(shop: Shop) -> None:
    coil, run = came_off(shop)
    stripper = shop.drawn(coil, 480_000)[0]
    put_right(shop, run)
    then = shop.house.ask(find_run, shop.house.ask(find_lot, stripper).run)
    assert then.load(1).own == RIGHT
    assert stands(shop, coil) == RIGHT - 480_000
    shop.at("draw_1", UnloadInput(remainder=995_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    assert balance_of(shop, then.number).loaded == RIGHT
    assert [link.parent_number for link in shop.house.ask(lambda c: links_of(c, find_lot(c, stripper).id))]


def test_a_later_run_that_is_closed_adds_up_anew_and_what_was_weighed_of_it_stays(shop: Shop) -> None:
    coil, run = came_off(shop)
    stripper = shop.drawn(coil, 480_000)[0]
    shop.at("draw_1", UnloadInput(remainder=995_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    later = str(shop.house.ask(find_lot, stripper).run)
    before = balance_of(shop, later)
    with pytest.raises(Refused, match="was closed since"):
        shop.house.post(Void(unloading(shop, run)), "supervisor")
    put_right(shop, run)
    now = balance_of(shop, later)
    assert (now.loaded, now.returned, stands(shop, coil)) == (RIGHT, 995_000, 995_000)
    assert now.difference + now.loss == before.difference + before.loss + RIGHT - TOLD


def test_what_was_reckoned_to_be_left_of_a_later_run_follows(shop: Shop) -> None:
    coil, run = came_off(shop)
    shop.drawn(coil, 480_000)
    shop.at("draw_1", UnloadInput())
    shop.at("draw_1", CloseRun())
    assert stands(shop, coil) == TOLD - 480_000
    put_right(shop, run)
    assert stands(shop, coil) == RIGHT - 480_000


def test_what_was_told_as_less_than_was_used_later_is_in_question(shop: Shop) -> None:
    coil, run = came_off(shop)
    shop.drawn(coil, 480_000, 480_000)
    shop.at("draw_1", UnloadInput(remainder=490_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    put_right(shop, run, 1_400_000)
    assert any("More of it was used in run" in reason for reason in reasons(shop, coil))
    assert stands(shop, coil) == 490_000


def test_parts_that_were_put_on_as_somebody_said_stay_and_the_rest_follows(shop: Shop) -> None:
    coil, run = came_off(shop)
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer", amount=600_000))
    shop.at("draw_1", MakeOutput(weight=590_000))
    shop.at("draw_1", EndInput())
    shop.at("draw_1", CloseRun())
    put_right(shop, run)
    assert stands(shop, coil) == RIGHT - 600_000
    assert put_right(shop, run, 500_000)  # less than was used of it: asked nothing, shown as a difference
    assert stands(shop, coil) == 0
    assert "What was left of it was corrected after it was used." in reasons(shop, coil)


def test_what_a_count_has_settled_since_stays_as_it_was_counted(shop: Shop) -> None:
    coil, run = came_off(shop)
    (row,) = shop.house.ask(standings, coil)
    count = int(shop.at("receiving", StartCount(row.spot), "receiver").numbers[0])
    shop.at("receiving", CountGoods(count, coil, amount=RIGHT, typed_by="hand"), "receiver")
    shop.asked(FinishCount(count), "yes", "receiving", who="receiver")
    (found,) = [one for one in shop.house.ask(differences_of, count) if one.lot == coil]
    shop.at("laboratory", SettleDifference(count, found.seq, "corrected"), "supervisor")
    assert stands(shop, coil) == RIGHT
    difference = shop.account(coil).get("difference", 0)
    put_right(shop, run)
    assert stands(shop, coil) == RIGHT
    assert shop.account(coil).get("difference", 0) == difference
    assert "What was left of it was corrected after it was counted." in reasons(shop, coil)


def test_a_part_coil_that_was_sold_went_with_what_it_really_weighed(shop: Shop) -> None:
    coil, run = came_off(shop)
    shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, coil), "dispatcher")
    shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
    put_right(shop, run)
    (row,) = shop.house.ask(standings, coil)
    assert (row.spot, row.amount) == (shipment, RIGHT)


@pytest.mark.parametrize("right", [37, 42])
def test_goods_told_in_pieces_close_to_the_piece_although_the_run_closes_in_grams(
    shop: Shop, right: int
) -> None:
    opened = OpenStock(product="blank_tile", amount=101, place=shop.place("tile_floor"))
    blanks = shop.at("receiving", opened, "supervisor").numbers[0]
    runs = []
    for left in (40, 9):
        shop.at("tile_press", LoadInput(blanks))
        made = MakeOutput(count=60 if left == 40 else 30, product="tile_wave")
        try:
            shop.at("tile_press", made)
        except Question as asked:
            shop.at("tile_press", made, answers={asked.identifier: "yes"})
        shop.at("tile_press", UnloadInput(remainder=left, how="weighed"))
        runs.append(shop.at("tile_press", CloseRun()).numbers[0])
    put_right(shop, runs[0], right)
    first, second = (shop.house.ask(find_run, run).load(1) for run in runs)
    assert (first.taken, first.difference) == (60, 101 - 60 - right)
    assert (second.own, second.taken, second.difference) == (right, 30, right - 30 - 9)
    assert stands(shop, blanks) == 9


# ---- what cannot be


@pytest.mark.parametrize(
    ("own", "how", "error", "said"),
    [
        (TOLD, "weighed", Refused, "already"),
        (-1, "weighed", Unreadable, "Less than nothing"),
        (10**15, "weighed", Unreadable, "more than can be"),
        (RIGHT, "guessed", Unreadable, "known in another way"),
        (2_100_000, "weighed", Question, "loaded with less than that"),
        (90_000, "weighed", Question, "should be left"),
    ],
)
def test_what_cannot_be_left_is_refused_or_asked_about(
    shop: Shop, own: int, how: str, error: type[Exception], said: str
) -> None:
    _, run = came_off(shop)
    before = shop.house.status()
    with pytest.raises(error, match=said):
        put_right(shop, run, own, how)
    assert shop.house.status() == before


def test_a_load_that_is_on_or_ran_out_left_nothing_to_put_right(shop: Shop) -> None:
    run = shop.house.ask(find_lot, shop.drawn(shop.coil(), 500_000)[0]).run
    for act in (None, EndInput()):
        if act is not None:
            shop.at("draw_1", act)
        with pytest.raises(Refused, match="Nothing is recorded as left"):
            put_right(shop, run)


def test_of_what_was_put_on_again_something_was_left(shop: Shop) -> None:
    coil, run = came_off(shop)
    later = shop.house.ask(find_lot, shop.drawn(coil, 480_000)[0]).run
    with pytest.raises(Refused, match=f"put on again in run {shown(later)}"):
        put_right(shop, run, 0)


@pytest.mark.parametrize("both", [True, False])
def test_one_thing_is_corrected_at_a_time(shop: Shop, both: bool) -> None:
    coil, run = came_off(shop)
    command = CorrectInput(run, 1, coil, RIGHT) if both else CorrectInput(run, 1)
    with pytest.raises(Unreadable, match="One thing"):
        shop.house.post(command, "supervisor")


def test_an_unloading_that_was_put_right_is_not_taken_back(shop: Shop) -> None:
    coil = shop.coil(amount=500_000)
    run = shop.house.ask(find_lot, shop.drawn(coil, 500_000)[0]).run
    shop.at("draw_1", UnloadInput(remainder=0, how="weighed"))
    put_right(shop, run, 8_000)
    assert stands(shop, coil) == 8_000
    with pytest.raises(Refused, match="was put right since"):
        shop.house.post(Void(unloading(shop, run)), "supervisor")


def unloading(shop: Shop, run: str) -> int:
    """The posting that took the load off."""
    found = shop.house.ask(events_naming, run)
    return int(next(one.posting.id for one in found if type(one.event).__name__ == "InputUnloaded"))


# ---- on the page


def test_a_supervisor_puts_it_right_on_the_page_of_the_run_that_the_coil_leads_to(shop: Shop) -> None:
    coil, run = came_off(shop)
    shop.nails(shop.drawn(coil, 480_000)[0], 300_000)
    terminal = office(shop.house, "supervisor")
    leads = terminal.client.get(f"/lots/{coil}/correct").text
    assert f'href="/lots/{run}/correct#remainder"' in leads
    page = f"/lots/{run}/correct"
    assert re.search(r"<option[^>]*>1: [^<]+ left, weighed, [^<]+<", terminal.client.get(page).text)
    for typed, said in (("", "What was really left is missing"), ("two", "two"), ("0", "something was left")):
        shows = sent(terminal, f"{page}/remainder", page, remainder_load="1", remainder=typed)
        assert "<title>Error: " in shows
        assert said in shows
    form = {"remainder_load": "1", "remainder": "1480", "remainder_how": "weighed"}
    shows = sent(terminal, f"{page}/remainder", page, **form)
    assert "Recorded." in shows
    assert "Put right later" in shows
    (load,) = shop.house.ask(find_run, run).inputs
    assert (load.remainder, load.typed_by) == (RIGHT, "hand")


def test_an_operator_is_not_offered_to_put_it_right(shop: Shop) -> None:
    _, run = came_off(shop)
    page = office(shop.house, "operator").client.get(f"/lots/{run}/correct").text
    assert 'id="remainder"' not in page
