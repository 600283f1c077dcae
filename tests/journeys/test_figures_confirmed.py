"""Does a named person's word make a figure count, for the text they read and from then on?"""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import plants
import pytest
from houses import House, a_house
from lotroot.adoption import AdoptPlant
from lotroot.confirmed.figures import figure_of
from lotroot.confirmed.standing import decisions_on, in_force, standing
from lotroot.errors import LotrootError, NotAllowed, Refused, Unknown, Unreadable
from lotroot.plant.adopted import current_plant
from lotroot.plant.figures import LIMITS, LOSSES, limit_figure, loss_in_force
from lotroot.processes.adoption import resolve
from lotroot.production.history import streams_of
from lotroot.production.loading import EndInput
from lotroot.production.marking import CloseRun, ScrapInput
from lotroot.production.runs import find_run
from lotroot.quality.checks import checks_of
from lotroot.quality.confirming import ConfirmFigure, OverrideFigure, WithdrawFigure
from lotroot.quality.handling import RecordCheck
from lotroot.reconciliation.balances import known_balance
from lotroot.reconciliation.closing import loss_permille
from lotroot.reference import row as published
from lotroot.voiding.handling import Void
from shop import Shop

DIAMETER = "wire_diameter | wire_25 | mm"
NAIL = "metric round |  | 60.00"
R87, SHARE = "oiml_r87_td", "mass or volume | g or ml | 15000"
APART = ("shank_mm=2.6", "shank_in=0.0984")
BOTH = ("td_percent_of_qn=2", "td_absolute=200")
A510 = "ASTM A510/A510M-18, open on my desk"


@pytest.fixture
def shop(database_url: str) -> Iterator[Shop]:
    opened = Shop(a_house(database_url))
    yield opened
    opened.house.database.close()


def checked(shop: Shop, lot: str, *readings: str) -> Any:
    """The latest check of a lot's wire diameter."""
    shop.at("draw_1", RecordCheck(lot, "wire_diameter", readings))
    return shop.house.ask(checks_of, lot)[-1]


def limits(row: Any) -> tuple[str, str, int]:
    return row.low, row.high, row.confirmed


def adopt(house: House, old: str, new: str) -> None:
    """Adopt the plant with one text in it changed."""
    text = plants.demo_text()
    assert old in text
    house.post(AdoptPlant(resolve(text.replace(old, new))))


# ---------------------------------------------------------------- limits of plant.toml


def test_a_confirmed_limit_counts_from_then_on_and_earlier_checks_keep_what_they_had(shop: Shop) -> None:
    lot = shop.drawn(shop.coil(), 500_000)[0]
    assert limits(checked(shop, lot, "2.50")) == ("2.45", "2.55", 0)
    said = shop.house.post(ConfirmFigure(LIMITS, DIAMETER, A510), "manager")
    assert said.say == "Wire diameter, Drawn wire 2.50 mm is confirmed: low 2.45, high 2.55 mm."
    answer = shop.at("draw_1", RecordCheck(lot, "wire_diameter", ("2.51",)))
    assert answer.say.endswith("wire diameter passed.")
    before, after = shop.house.ask(checks_of, lot)
    assert (limits(before), before.stood_by) == (("2.45", "2.55", 0), None)
    assert (limits(after), after.stood_by) == (("2.45", "2.55", 1), shop.house.people["manager"])
    assert after.overridden == 0
    shop.closes()


def test_an_override_judges_by_its_own_values_and_keeps_its_reason(shop: Shop) -> None:
    lot = shop.drawn(shop.coil(), 500_000)[0]
    wider = OverrideFigure(LIMITS, DIAMETER, ("low=2,40", "high=2.60"), "our nail machine takes 0.1 mm")
    assert shop.house.post(wider, "manager").say.endswith("is overridden: low 2.40, high 2.60 mm.")
    row = checked(shop, lot, "2.58")
    assert (limits(row), row.verdict, row.confidence) == (("2.40", "2.60", 1), "pass", "overridden")
    assert (row.source, row.overridden) == ("our nail machine takes 0.1 mm", 1)
    assert row.stood_by == shop.house.people["manager"]
    shop.house.post(WithdrawFigure(LIMITS, DIAMETER, "the machine is gone"), "manager")
    assert limits(checked(shop, lot, "2.50")) == ("2.45", "2.55", 0)
    assert limits(shop.house.ask(checks_of, lot)[0]) == ("2.40", "2.60", 1), "history stays"
    shop.closes()


def test_one_side_of_an_override_leaves_the_other_as_it_is(shop: Shop) -> None:
    lot = shop.drawn(shop.coil(), 500_000)[0]
    shop.house.post(OverrideFigure(LIMITS, DIAMETER, ("high=2.60",), "agreed"), "manager")
    assert limits(checked(shop, lot, "2.58")) == ("2.45", "2.60", 1)
    shop.house.post(OverrideFigure(LIMITS, DIAMETER, ("low=",), "agreed"), "manager")
    assert limits(checked(shop, lot, "2.10")) == (None, "2.55", 1), "the last override alone counts"


def test_a_limit_that_changes_in_plant_toml_is_not_confirmed_any_more(shop: Shop) -> None:
    lot = shop.drawn(shop.coil(), 500_000)[0]
    shop.house.post(ConfirmFigure(LIMITS, DIAMETER, A510), "manager")
    adopt(shop.house, '"2.45"', '"2.46"')
    assert limits(checked(shop, lot, "2.50")) == ("2.46", "2.55", 0)
    shop.house.post(AdoptPlant(resolve(plants.demo_text())))
    assert limits(checked(shop, lot, "2.50")) == ("2.45", "2.55", 1), "the text that was confirmed is back"
    shop.closes()


def test_a_confirmation_holds_for_no_other_limit(shop: Shop) -> None:
    shop.house.post(ConfirmFigure(LIMITS, DIAMETER, A510), "manager")
    with shop.house.reading() as connection:
        other = limit_figure(current_plant(connection), "wire_diameter", "wire_38")
        assert not standing(connection, other).counts


# ---------------------------------------------------------------- losses, and rows of published tables


def test_a_loss_of_the_plant_is_confirmed_by_name(shop: Shop) -> None:
    def drawing() -> Any:
        with shop.house.reading() as connection:
            return loss_in_force(connection, current_plant(connection), "wire_drawing")

    assert (drawing().number("loss_permille"), drawing().by_name, drawing().counts) == (8, False, True)
    shop.house.post(ConfirmFigure(LOSSES, "wire_drawing | scale", "weighed scale of May"), "manager")
    assert (drawing().by_name, drawing().person) == (True, shop.house.people["manager"])
    wet = OverrideFigure(LOSSES, "wire_drawing | scale", ("loss_permille=0",), "pickled rod has no scale")
    shop.house.post(wet, "manager")
    assert (drawing().number("loss_permille"), drawing().overridden) == (0, True)
    shop.closes()


def test_a_run_is_balanced_with_the_loss_in_force_when_it_was_opened(shop: Shop) -> None:
    def lost(run: str) -> int:
        (one,) = shop.house.ask(known_balance, run)
        return int(one.loss)

    def drawn() -> str:
        shop.drawn(shop.coil(), 490_000, 490_000, 490_000, 480_000)
        shop.at("draw_1", ScrapInput(30_000, "ends"))
        shop.at("draw_1", EndInput())
        return shop.at("draw_1", CloseRun()).numbers[0]

    before = drawn()
    assert lost(before) == 16_000  # 8 thousandths of 2,000 kg
    dry = OverrideFigure(LOSSES, "wire_drawing | scale", ("loss_permille=5",), "weighed scale of May")
    shop.house.post(dry, "manager")
    after = drawn()
    assert lost(after) == 10_000
    with shop.house.reading() as connection:
        seen = streams_of(connection, find_run(connection, before))
        assert loss_permille(connection, seen, find_run(connection, before)) == 8
        assert loss_permille(connection, seen, find_run(connection, after)) == 5
    shop.house.post(WithdrawFigure(LOSSES, "wire_drawing | scale", "the scale was dirty"), "manager")
    with shop.house.reading() as connection:
        assert loss_permille(connection, seen, find_run(connection, after)) == 5, "as it stood then"
    assert lost(drawn()) == 16_000
    shop.closes()


def test_a_loss_from_memory_is_booked_once_it_is_confirmed(shop: Shop) -> None:
    unsure = 'loss_source = "a guess"\nloss_confidence = "memory"\n'
    text = resolve(plants.demo_text())
    start = text.index("[process.wire_drawing]")
    here = text.index("loss_source", start)
    end = text.index("\n", text.index("loss_confidence", here)) + 1
    shop.house.post(AdoptPlant(text[:here] + unsure + text[end:]))
    with shop.house.reading() as connection:
        assert not loss_in_force(connection, current_plant(connection), "wire_drawing").counts
    shop.house.post(ConfirmFigure(LOSSES, "wire_drawing | scale", "weighed scale of May"), "manager")
    with shop.house.reading() as connection:
        assert loss_in_force(connection, current_plant(connection), "wire_drawing").counts


def test_a_row_from_memory_counts_once_it_is_confirmed(shop: Shop) -> None:
    def sixty() -> Any:
        return shop.house.ask(in_force, "nails", length_mm="60.00")

    assert (sixty().counts, sixty().values["shank_mm"]) == (False, "2.500")
    shop.house.post(ConfirmFigure("nails", NAIL, "drawing 14 of our own"), "manager")
    assert (sixty().counts, sixty().at > 0, sixty().reason) == (True, True, "drawing 14 of our own")
    shop.house.post(OverrideFigure("nails", NAIL, ("shank_mm=2.6",), "drawing 15"), "manager")
    assert sixty().number("shank_mm") == Decimal("2.6")
    assert sixty().values["cylinder_count_per_kg"] == "433"
    history = shop.house.ask(decisions_on, figure_of(published("nails", length_mm="60.00")))
    assert [(one.overridden, one.reason) for one in history] == [
        (0, "drawing 14 of our own"),
        (1, "drawing 15"),
    ]
    shop.closes()


def test_withdrawing_brings_no_older_word_to_light(shop: Shop) -> None:
    shop.house.post(OverrideFigure("nails", NAIL, ("shank_mm=2.6",), "drawing 15"), "manager")
    shop.house.post(ConfirmFigure("nails", NAIL, "drawing 14"), "manager")
    said = shop.house.post(WithdrawFigure("nails", NAIL, "wrong drawing"), "manager")
    assert said.say.endswith(", from memory and not confirmed.")
    assert not shop.house.ask(in_force, "nails", length_mm="60.00").counts
    shop.closes()


# ---------------------------------------------------------------- what is refused, and changes nothing

OVERRIDE = OverrideFigure(LIMITS, DIAMETER, ("low=2.40",), "agreed")


@pytest.mark.parametrize(
    ("command", "kind", "says"),
    [
        (ConfirmFigure("nail", NAIL, A510), Unknown, "no reference table 'nail'"),
        (ConfirmFigure("nails", "metric round |  | 61.00", A510), Unknown, "no row"),
        (ConfirmFigure("nails", NAIL, " "), Unreadable, "What it was compared with is missing."),
        (ConfirmFigure("nails", NAIL, "x" * 201), Unreadable, "too long"),
        (ConfirmFigure("nails", NAIL, A510, "0" * 64), Refused, "has changed since you read it"),
        (ConfirmFigure("cautions", "label_decides", A510), Refused, "holds sentences and no figures"),
        (ConfirmFigure(LIMITS, "nail_bend |  | % of length", A510), LotrootError, "not from memory"),
        (OverrideFigure("wire_gauges", "BWG | 12", ("diameter_mm=2.8",), "ours"), Refused, "in mm instead"),
        (OverrideFigure(LIMITS, DIAMETER, (), "agreed"), Unreadable, "No other value was given."),
        (OverrideFigure(LIMITS, DIAMETER, ("low=2.4",), ""), Unreadable, "The reason is missing."),
        (OverrideFigure(LIMITS, DIAMETER, ("unit=in",), "agreed"), Unreadable, "has no value 'unit'"),
        (OverrideFigure(LIMITS, DIAMETER, ("low",), "agreed"), Unreadable, "has no value 'low'"),
        (OverrideFigure(LIMITS, DIAMETER, ("low=2.6",), "agreed"), Unreadable, "low 2.6 is above high 2.55."),
        (OverrideFigure(LIMITS, DIAMETER, ("low=", "high="), "agreed"), Unreadable, "no limit at all"),
        (OverrideFigure(LIMITS, DIAMETER, ("low=-1",), "agreed"), Unreadable, "-1 is negative."),
        (OverrideFigure(LIMITS, DIAMETER, ("low=NaN",), "agreed"), Unreadable, "not written in digits"),
        (OverrideFigure(LIMITS, DIAMETER, ("low=2.4 mm",), "agreed"), Unreadable, "is no number"),
        (OverrideFigure(LIMITS, DIAMETER, ("high=1000000000",), "agreed"), Unreadable, "cannot be"),
        (OverrideFigure("nails", NAIL, ("shank_mm=0",), "agreed"), Unreadable, "shank_mm: 0 cannot be."),
        (OverrideFigure("nails", NAIL, ("shank_mm=",), "agreed"), Unreadable, "No number was typed."),
        (OverrideFigure(LOSSES, "wire_drawing | scale", ("loss_permille=7.5",), "x"), Unreadable, "no whole"),
        (OverrideFigure(LOSSES, "wire_drawing | scale", ("loss_permille=1001",), "x"), Unreadable, "than"),
        (OverrideFigure(LIMITS, DIAMETER, ("low=2.45",), "agreed"), Refused, "says so already"),
        (OverrideFigure("nails", NAIL, APART, "ours"), Unreadable, "shank 2.6 mm is 0.1024 in; 0.0984"),
        (OverrideFigure("nails", NAIL, ("length_in=2.5",), "ours"), Unreadable, "this row is for 60.00."),
        (OverrideFigure(R87, SHARE, ("qn_up_to=",), "ours"), Unreadable, "is what this row is for"),
        (OverrideFigure(R87, SHARE, ("td_absolute=NaN",), "ours"), Unreadable, "not written in digits"),
        (OverrideFigure(R87, SHARE, ("td_absolute=",), "ours"), Unreadable, "cannot be both empty"),
        (OverrideFigure(R87, SHARE, BOTH, "ours"), Unreadable, "cannot be both given"),
        (WithdrawFigure(LIMITS, DIAMETER, "no"), Refused, "Nobody has confirmed or overridden"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_and_records_nothing(
    shop: Shop, command: Any, kind: type[LotrootError], says: str
) -> None:
    before = shop.house.status()
    with pytest.raises(kind) as refusal:
        shop.house.post(command, "manager")
    assert says in str(refusal.value)
    assert refusal.value.expected
    assert shop.house.status() == before


def test_a_figure_is_confirmed_once(shop: Shop) -> None:
    shop.house.post(ConfirmFigure(LIMITS, DIAMETER, A510), "manager")
    with pytest.raises(Refused, match="was confirmed already, by H26-"):
        shop.house.post(ConfirmFigure(LIMITS, DIAMETER, A510), "manager")


def test_a_word_is_withdrawn_and_not_taken_back_in_passing(shop: Shop) -> None:
    made = shop.house.post(ConfirmFigure(LIMITS, DIAMETER, A510), "manager")
    with pytest.raises(Refused, match="Withdraw it, on the page of tables"):
        shop.house.post(Void(made.posting), "supervisor")


@pytest.mark.parametrize("who", ["operator", "qa", "supervisor"])
@pytest.mark.parametrize("command", [ConfirmFigure(LIMITS, DIAMETER, A510), OVERRIDE])
def test_only_who_answers_for_the_figures_may_decide_them(shop: Shop, who: str, command: Any) -> None:
    with pytest.raises(NotAllowed):
        shop.house.post(command, who)
