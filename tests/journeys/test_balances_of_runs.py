"""Does a run add up when it is closed, again after each correction, and never by stopping the next one?"""

from collections.abc import Iterator
from typing import Any

import pytest
from floor_work import at, ok
from houses import a_house
from lotroot.balance.reconciling import BEYOND, WITHIN_SCALES, WITHIN_TOLERANCE
from lotroot.errors import Refused, Unreadable
from lotroot.holds.handling import SettleQuestion
from lotroot.identity import Command
from lotroot.identity.showing import shown
from lotroot.production.correcting_inputs import CorrectInput
from lotroot.production.correcting_outputs import CorrectOutput, CorrectUse
from lotroot.production.loading import EndInput, LoadInput, UnloadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.production.opening import OpenRun
from lotroot.questions import open_questions
from lotroot.receiving.commands import CorrectReceipt
from lotroot.reconciliation.balances import balance_history, known_balance
from lotroot.reconciliation.facts import ScrapBalance, SourceBalance, StreamBalance
from lotroot.reconciliation.yields import GROUPINGS, Asked, yields
from lotroot.voiding.handling import Undo, Void
from lotroot.work import Answer
from query_plans import plans, read_whole
from shop import Shop
from sqlalchemy import event


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    """A plant at work, whose accounts close when the test is over."""
    house = a_house(database_url)
    yield Shop(house)
    Shop(house).closes()
    house.database.close()


def drawn(shop: Shop, *weights: int, scrap: int = 0) -> tuple[Answer, str]:
    """A coil of 2,000 kg drawn to strippers of these weights until it ran out: the closing, and the run."""
    shop.drawn(shop.coil(), *weights)
    if scrap:
        shop.at("draw_1", ScrapInput(scrap, "ends"))
    shop.at("draw_1", EndInput())
    closed = shop.at("draw_1", CloseRun())
    return closed, closed.numbers[0]


def balance_of(shop: Shop, run: str) -> StreamBalance:
    """The one stream of a run of steel."""
    (only,) = shop.house.ask(known_balance, run)
    return only


def in_question(shop: Shop) -> list[str]:
    """What is in question, in the order it was raised."""
    return [str(row.subject) for row in shop.house.ask(open_questions)]


def test_what_went_in_is_what_came_out_scrap_loss_and_a_shown_difference(shop: Shop) -> None:
    """Scale is 8 thousandths of the rod; a stripper is off by 0.5 kg, the coil by 5: 5.1 kg for four."""
    closed, run = drawn(shop, 490_000, 490_000, 490_000, 480_000, scrap=30_000)
    one = balance_of(shop, run)
    assert (one.loaded, one.returned, one.good, one.by_product) == (2_000_000, 0, 1_950_000, 0)
    assert (one.scrap, one.loss, one.difference, one.spread) == (30_000, 16_000, 4_000, 5_100)
    assert (one.tolerance, one.basis, one.verdict) == (40_000, "weighed", WITHIN_SCALES)
    assert one.thrown == (ScrapBalance("ends", "weighed", 30_000),)
    assert one.sources == (
        SourceBalance("rod", "nordhavn", "A100", 2_000_000, taken=1_950_000, scrap=30_000, difference=20_000),
    )
    assert "4 kg missing of 2 000 kg (0.20 %), within the scales." in closed.say.replace("\u202f", " ")
    assert in_question(shop) == []


@pytest.mark.parametrize(
    ("last", "difference", "verdict"),
    [
        (484_000, 0, WITHIN_SCALES),
        (500_000, -16_000, WITHIN_TOLERANCE),
        (444_000, 40_000, WITHIN_TOLERANCE),
        (443_999, 40_001, BEYOND),
        (540_001, -56_001, BEYOND),
    ],
)
def test_a_difference_of_either_sign_is_judged(shop: Shop, last: int, difference: int, verdict: str) -> None:
    shop.drawn(shop.coil(), 500_000, 500_000, 500_000)
    shop.at("draw_1", MakeOutput(weight=last), answers={f"amount-{last}": "yes"})
    shop.at("draw_1", EndInput())
    run = shop.at("draw_1", CloseRun()).numbers[0]
    one = balance_of(shop, run)
    assert (one.difference, one.verdict) == (difference, verdict)
    assert one.loaded == one.good + one.scrap + one.loss + one.difference


def test_what_does_not_add_up_is_in_question_with_its_load_and_goods_and_stops_nothing(shop: Shop) -> None:
    coil = shop.coil()
    strippers = shop.drawn(coil, 490_000, 490_000, 490_000)
    shop.at("draw_1", EndInput())
    closed = shop.at("draw_1", CloseRun())
    run = closed.numbers[0]
    assert closed.verdict == "in_question"
    assert in_question(shop) == [run, coil, *strippers]
    assert shop.nails(strippers[0], 480_000)  # the next step goes on


def test_what_was_made_of_a_load_that_is_off_is_found_without_reading_every_link(shop: Shop) -> None:
    shop.drawn(shop.coil(), 490_000, 490_000, 490_000)
    shop.at("draw_1", EndInput())
    database, sent = shop.house.database, dict[str, Any]()
    event.listen(database.engine, "before_cursor_execute", lambda *args: sent.setdefault(args[2], args[3]))
    assert shop.at("draw_1", CloseRun()).verdict == "in_question"
    asked = {sql: values for sql, values in sent.items() if sql.startswith("SELECT") and " edge" in sql}
    with database.reading() as connection:
        lines = plans(
            connection, lambda: [connection.exec_driver_sql(sql, some) for sql, some in asked.items()]
        )
    assert [line for line in read_whole(lines) if "edge" in line] == []


def test_a_supervisor_settles_all_that_was_put_in_question_together(shop: Shop) -> None:
    _, run = drawn(shop, 490_000, 490_000, 490_000)
    first = shop.house.ask(open_questions)[0]
    shop.house.post(SettleQuestion(first.event, "Scrap not weighed"), "supervisor")
    assert in_question(shop) == []
    assert balance_of(shop, run).verdict == BEYOND  # the reason is given, the difference stays


@pytest.mark.parametrize(("words", "said"), [("x" * 201, "too long"), (" \n ", "Nobody has said")])
def test_what_was_found_is_said_in_words_that_fit_a_table(shop: Shop, words: str, said: str) -> None:
    drawn(shop, 490_000, 490_000, 490_000)
    first = shop.house.ask(open_questions)[0]
    with pytest.raises(Unreadable, match=said):
        shop.house.post(SettleQuestion(first.event, words), "supervisor")
    shop.house.post(SettleQuestion(first.event, "x" * 200), "supervisor")
    assert in_question(shop) == []


def test_only_the_load_that_is_off_is_in_question_and_what_was_made_of_it(shop: Shop) -> None:
    """An hour a stripper; 40 kg of the first coil are on the blocks when the second begins (RULES 7)."""
    good, short = shop.coil(), shop.coil(heat="B200")
    first = hourly(shop, good, 495_000, 495_000)
    shop.at("draw_1", UnloadInput(good, remainder=960_000, how="weighed"))
    second = hourly(shop, short, 480_000, 480_000, 480_000)
    shop.at("draw_1", EndInput())
    run = shop.at("draw_1", CloseRun()).numbers[0]
    assert in_question(shop) == [run, short, *second]
    assert not {good, *first} & set(in_question(shop))


def hourly(shop: Shop, coil: str, *weights: int) -> list[str]:
    """Strippers of a coil, each an hour's work; the run stays open."""
    shop.at("draw_1", LoadInput(coil, product="wire_25", end="outer"))
    made = []
    for weight in weights:
        shop.house.clock.forward(hours=1)
        made.append(shop.at("draw_1", MakeOutput(weight=weight)).numbers[0])
    return made


def test_what_came_off_again_was_not_used(shop: Shop) -> None:
    coil = shop.coil()
    shop.drawn(coil, 490_000, 490_000)
    shop.at("draw_1", UnloadInput(coil, remainder=1_000_000, how="weighed"))
    run = shop.at("draw_1", CloseRun()).numbers[0]
    one = balance_of(shop, run)
    assert (one.loaded, one.returned, one.loss, one.difference) == (2_000_000, 1_000_000, 8_000, 12_000)


def test_a_loss_is_not_counted_where_what_is_left_was_only_reckoned(shop: Shop) -> None:
    """What is left is what was loaded less what was taken: that adds up; 8 kg of scale would be too much."""
    coil = shop.coil()
    shop.drawn(coil, 490_000, 490_000)
    closed = shop.at("draw_1", CloseRun(), answers={"left-1": "off"})
    one = balance_of(shop, closed.numbers[0])
    assert (one.returned, one.reckoned, one.loss, one.difference) == (1_020_000, 1_020_000, 0, 0)
    assert "980 kg used, what is left was not weighed." in closed.say.replace("\u202f", " ")


def test_at_the_station_it_is_said_once_that_a_supervisor_will_look_at_it(shop: Shop) -> None:
    shop.drawn(shop.coil(), 490_000, 490_000, 490_000)
    shop.at("draw_1", EndInput())
    station = at(shop.house, "draw_1")
    closed = ok(station.scan(Command.DONE.code))
    assert "missing of" in closed["say"]
    told = f"{closed['say']} {closed['detail']}".lower()
    assert told.count("a supervisor will look at it") == 1


def test_what_is_made_of_nothing_is_too_much_and_in_question(shop: Shop) -> None:
    shop.at("draw_1", OpenRun("wire_drawing", "wire_25"))
    made = shop.at("draw_1", MakeOutput(weight=480_000), answers={"amount-480000": "yes"}).numbers[0]
    closed = shop.at("draw_1", CloseRun())
    run = closed.numbers[0]
    one = balance_of(shop, run)
    assert (one.loaded, one.good, one.loss, one.difference, one.verdict) == (0, 480_000, 0, -480_000, BEYOND)
    said = closed.say.replace("\u202f", " ")
    assert "480 kg too much, nothing used." in said
    asked = {row.subject for row in shop.house.ask(open_questions) if "nothing used" in row.reason}
    assert asked == {run, made}
    for by in GROUPINGS:
        [line] = shop.house.ask(yields, Asked("2026-01-01", "2026-12-31"), by)
        assert (line.figures.good, line.figures.difference) == (480_000, -480_000)
    shop.closes()


def test_what_was_made_though_all_came_off_again_is_too_much(shop: Shop) -> None:
    shop.drawn(shop.coil(), 480_000)
    shop.at("draw_1", UnloadInput(remainder=2_000_000, how="weighed"))
    run = shop.at("draw_1", CloseRun()).numbers[0]
    one = balance_of(shop, run)
    assert (one.loaded - one.returned, one.difference) == (0, -480_000)


def test_scrap_told_later_brings_the_difference_down_and_settles_its_question(shop: Shop) -> None:
    _, run = drawn(shop, 490_000, 490_000, 480_000, 460_000)
    assert balance_of(shop, run).verdict == BEYOND
    shop.at("draw_1", ScrapInput(50_000, "ends", run=run), "supervisor", basis="late")
    one = balance_of(shop, run)
    assert (one.scrap, one.difference, one.verdict) == (50_000, 14_000, WITHIN_TOLERANCE)
    assert in_question(shop) == []


def test_a_corrected_weight_adds_up_anew_and_the_older_balance_stays_readable(shop: Shop) -> None:
    _, run = drawn(shop, 490_000, 490_000, 490_000, 480_000)
    shop.at("draw_1", CorrectOutput(run, 4, 484_000), "supervisor")
    older, newer = shop.house.ask(balance_history, run)
    assert (older.good, older.difference) == (1_950_000, 34_000)
    assert (newer.good, newer.difference) == (1_954_000, 30_000)
    assert older.replaced == newer.known > older.known
    assert newer.replaced is None


def test_a_run_opened_again_by_undo_has_no_balance_until_it_is_closed(shop: Shop) -> None:
    _, run = drawn(shop, 490_000, 490_000, 490_000, 480_000)
    shop.at("draw_1", Undo())
    assert shop.house.ask(known_balance, run) == ()
    shop.at("draw_1", CloseRun())
    assert balance_of(shop, run).good == 1_950_000


@pytest.mark.parametrize("act", [EndInput(), UnloadInput(remainder=1_000_000, how="weighed")])
def test_what_took_a_load_off_is_not_taken_back_from_under_a_closed_run(
    shop: Shop, act: EndInput | UnloadInput
) -> None:
    shop.drawn(shop.coil(), 490_000, 490_000)
    off = shop.at("draw_1", act).posting
    closing = shop.at("draw_1", CloseRun()).posting
    with pytest.raises(Refused, match="was closed since"):
        shop.house.post(Void(off), "supervisor")
    for posting in (closing, off):
        shop.house.post(Void(posting), "supervisor")
    shop.closes()


def test_a_run_of_two_streams_is_not_added_up_anew_where_nothing_changed(shop: Shop) -> None:
    """A coater has steel before PVC, which no sorting by name does."""
    shop.at("coater", LoadInput(shop.coil("galv_25", 100_000), payoff="W1", product="coated_25"))
    shop.at("coater", LoadInput(shop.coil("pvc_green", 12_000), payoff="H1"))
    shop.at("coater", MakeOutput(weight=100_000, carrier=shop.pan("spool_01")))
    run = shop.at("coater", CloseRun(), answers={"left-1": "ended", "left-2": "ended"}).numbers[0]
    assert len(shop.house.ask(known_balance, run)) == 2
    worker = shop.house.people["supervisor"]
    shop.at("coater", CorrectUse(run, worker=worker), "supervisor")
    assert len(shop.house.ask(balance_history, run)) == 2, "who worked it changes no sum"
    shop.at("coater", ScrapInput(1_000, "ends", run=run), basis="late")
    assert [one.replaced is None for one in shop.house.ask(balance_history, run)] == [False] * 2 + [True] * 2


def origin(shop: Shop, run: str) -> tuple[str, str]:
    """The supplier and heat of all a run used."""
    (one,) = balance_of(shop, run).sources
    return one.supplier, one.heat


def nailed(shop: Shop) -> tuple[str, str, str]:
    """A coil drawn, and its wire made into nails: the coil and both runs, closed."""
    coil = shop.coil()
    (stripper,) = shop.drawn(coil, 500_000)
    shop.at("draw_1", UnloadInput(remainder=1_492_000, how="weighed"))
    drawing = shop.at("draw_1", CloseRun()).numbers[0]
    shop.nails(stripper, 480_000)
    return coil, drawing, shop.at("nail_1", CloseRun(), answers={"left-1": "ended"}).numbers[0]


def test_what_a_supplier_is_told_to_be_later_moves_every_closed_run_to_it(shop: Shop) -> None:
    coil, drawing, nailing = nailed(shop)
    assert origin(shop, drawing) == origin(shop, nailing) == ("nordhavn", "A100")
    shop.at("receiving", CorrectReceipt(lot=coil, supplier="bellmead", heats=("B7",)), "supervisor")
    assert origin(shop, drawing) == origin(shop, nailing) == ("bellmead", "B7")
    assert [one.replaced is None for one in shop.house.ask(balance_history, nailing)] == [False, True]
    shop.at("receiving", CorrectReceipt(lot=coil, supplier_number="17"), "supervisor")
    assert len(shop.house.ask(balance_history, nailing)) == 2, "a number of theirs moves nothing"


def test_an_input_put_right_moves_what_was_used_of_its_product_later(shop: Shop) -> None:
    _, drawing, nailing = nailed(shop)
    shop.at("draw_1", CorrectInput(drawing, 1, shop.coil(heat="B7")), "supervisor")
    assert origin(shop, drawing) == origin(shop, nailing) == ("nordhavn", "B7")


@pytest.mark.parametrize(
    ("weighed", "asks"),
    [
        pytest.param(0, True, id="nothing, where half a coil should be"),
        pytest.param(300_000, True, id="less than a third"),
        pytest.param(400_000, False, id="less, as scrap and scale explain"),
        pytest.param(1_010_000, False, id="what should be left"),
    ],
)
def test_far_less_left_than_was_taken_is_asked_about_once(shop: Shop, weighed: int, asks: bool) -> None:
    coil = shop.coil()
    shop.drawn(coil, 490_000, 490_000)
    command = UnloadInput(coil, remainder=weighed, how="weighed")
    if not asks:
        assert shop.at("draw_1", command).verdict == "accepted"
        return
    question = shop.question(command, "draw_1")
    assert question.what.replace("\u202f", " ").startswith(f"1 020 kg should be left of {shown(coil)}")
    answer = shop.at("draw_1", command, answers={question.identifier: "yes"})
    assert answer.verdict == "in_question"
    assert coil in in_question(shop)
