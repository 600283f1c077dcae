"""Is the weight of a bundle asked about once where its sheets' length says otherwise, and never else?"""

from collections.abc import Iterator

import pytest
from cut_plants import cut_text
from floor_work import at, lay, ok, plain, run_at
from goods_by_hand import by_hand
from houses import House, a_house
from lotroot.factors.facts import factor
from lotroot.ledger.book import head
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.questions import open_questions
from shop import Shop
from sqlalchemy import insert
from terminals import Terminal

TWO = "24x3.6 12x2.4"
"""115.2 m at 3.925 kg a metre: 452.16 kg. 20 in a thousand of tolerance, and 0.03 of 0.40 mm: 9.5 percent."""


def reasons(house: House) -> list[str]:
    return [plain(row.reason) for row in house.ask(open_questions)]


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    with by_hand():
        opened = a_house(database_url, cut_text("cut", "weight"))
        yield opened
        opened.database.close()


@pytest.fixture
def former(house: House) -> Terminal:
    terminal = at(house, "roll_1")
    terminal.answer(lay(house, "coil_40x1250", 5_000_000, "coil_yard", mass=None), "sheet_cut")
    return terminal


def test_a_weight_that_the_cut_list_speaks_against_is_asked_about_once(
    house: House, former: Terminal
) -> None:
    before = house.ask(head)
    told = former.scan(f"{TWO} = 544.8")
    assert (told["verdict"], house.ask(head)) == ("ask", before)
    said = "544.8 kg of Trapezoidal sheet 35/1000, cut to order is 138.802 m; the cut list says 115.2 m."
    assert plain(told["question"]["text"]) == f"{said} Is the number right?"
    former.answer(f"{TWO} = 544.8", "yes")
    made = run_at(house, "roll_1").outputs[-1]
    assert (made.own, made.amount) == (36, 544_800)
    assert reasons(house) == [f"Item 1: {said}"]


@pytest.mark.parametrize(
    ("weight", "asks"),
    [
        ("452.2", False),
        ("494", False),  # within what thickness and tolerance explain
        ("496.5", True),
        ("410", False),
        ("408", True),
        ("45.2", True),  # a decimal point gone astray
    ],
)
def test_only_what_tolerance_and_thickness_do_not_explain_is_asked_about(
    former: Terminal, weight: str, asks: bool
) -> None:
    told = former.scan(f"{TWO} = {weight}")
    assert (told["verdict"] == "ask") == asks, told
    assert asks or ok(told)


def test_the_answer_goes_for_its_number_alone(house: House, former: Terminal) -> None:
    former.answer(f"{TWO} = 544.8", "yes")
    told = former.scan(f"{TWO} = 554.8")
    assert told["verdict"] == "ask"
    assert "554.8" in told["question"]["text"]


def test_a_plants_own_factor_counts(house: House, former: Terminal) -> None:
    told = {"product": "sheet_cut", "theory_mg": 3_925_000, "factor_ppm": 1_200_000, "rolls": 9}
    spread = {"smallest_ppm": 1_190_000, "largest_ppm": 1_210_000, "deviation_ppm": 4_000, "upto": 1}
    who = {"event": 1, "person": house.people["qa"], "at": 1, "withdrawn_by": "", "why": ""}
    with house.database.writing() as connection:
        connection.execute(insert(factor), [{**told, **spread, **who}])
    ok(former.scan(f"{TWO} = 544.8"))
    assert former.scan(f"{TWO} = 452.2")["verdict"] == "ask"


@pytest.mark.parametrize(
    ("weight", "asks"), [(706_500, False), (770_000, False), (800_000, True), (70_650, True)]
)
def test_a_bundle_of_a_fixed_length_is_judged_by_its_pieces(
    database_url: str, weight: int, asks: bool
) -> None:
    with by_hand():
        house = a_house(database_url, cut_text("count", "weight"))
        shop = Shop(house)
        shop.at("roll_1", LoadInput(lay(house, "coil_40x1250", 5_000_000, "coil_yard"), product="sheet_t35"))
        made = MakeOutput(count=1, weight=weight)
        if not asks:
            shop.at("roll_1", made)
        else:
            what = plain(shop.question(made, "roll_1").what)
            assert "of Trapezoidal sheet 35/1000, 0.40 mm, 3.6 m is " in what
            assert "50 pcs were counted" in what
        house.database.close()


def test_a_bundle_that_nobody_weighed_is_not_doubted(database_url: str) -> None:
    with by_hand():
        house = a_house(database_url, cut_text("cut"))
        former = at(house, "roll_1")
        former.answer(lay(house, "coil_40x1250", 5_000_000, "coil_yard", mass=None), "sheet_cut")
        ok(former.scan(TWO))
        assert reasons(house) == []
        house.database.close()
