"""Can QA, a supervisor or a manager ask what goods should weigh, send the answer on, see what it rests on?"""

import re
from pathlib import Path

import pytest
from houses import House
from lotroot.confirmed.facts import decided
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import CloseRun
from lotroot.quality.confirming import ConfirmFigure
from lotroot.reckoning.forms import FORMS
from lotroot.reconciliation.factors import SetFactor
from offices import an_office_house, office
from shop import Shop
from weighed_rolls import OFF, rolls

HEAVY = (24_400, 24_420, 24_440, 24_460, 24_380)
BARBED = "/reckon/barbed?product=barbed_25_20"


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def shows(house: House, address: str, who: str = "manager") -> str:
    page = office(house, who).client.get(address)
    assert page.status_code == 200, page.text
    return page.text.replace("\u202f", " ")


@pytest.mark.parametrize("who", ["qa", "supervisor", "manager"])
def test_every_form_stands_in_the_list_with_the_products_that_fill_it(house: House, who: str) -> None:
    page = shows(house, "/reckon", who)
    assert [code for code in FORMS if f'href="/reckon/{code}"' not in page] == []
    assert 'href="/reckon/nails?product=box_25x60"' in page
    assert 'href="/reckon"' in shows(house, "/plant", who)


@pytest.mark.parametrize("code", FORMS)
def test_every_form_opens_empty_without_an_answer(house: House, code: str) -> None:
    page = shows(house, f"/reckon/{code}")
    assert FORMS[code].name in page
    assert "By theory" not in page
    assert "No answer yet" not in page


def test_a_chosen_product_fills_its_sizes_and_its_record_stands_beside(house: House) -> None:
    page = shows(house, BARBED)
    for value in ("2.5", "2.0", "75", "200", "1.02", "120"):
        assert f'value="{value}"' in page
    assert ">23.61<" in page
    assert ">23.62<" in page, "plant.toml rounds the metre"
    assert "weighed ones averaged" not in page
    assert "plant.toml says" in page


def test_what_the_last_rolls_weighed_and_the_factor_stand_beside(house: House) -> None:
    shop = Shop(house)
    rolls(shop, *HEAVY)
    house.post(SetFactor("barbed_25_20", 10**9, 1_033_870), "supervisor")
    page = shows(house, BARBED)
    assert "The last 5 weighed ones averaged 24.42 kg." in page
    assert ">24.42<" in page
    assert "Factor: theory × 1.034, fitted by The supervisor from 5 weighed rolls" in page


def test_another_product_fills_in_anew_and_what_is_typed_stays(house: House) -> None:
    first = "/reckon/nails?product=nail_25x50"
    assert 'value="50"' in shows(house, first)
    typed = f"{first}&filled=nail_25x50&shank=2.5&length=55&box=25&scrap=0"
    assert 'value="55"' in shows(house, typed)
    other = typed.replace("product=nail_25x50", "product=nail_38x100")
    page = shows(house, other)
    assert 'value="100"' in page
    assert 'value="3.8"' in page


def test_a_product_that_lacks_a_size_fills_the_others_without_complaint(house: House) -> None:
    page = shows(house, "/reckon/slitting?product=coil_40x1250")
    assert 'value="1250"' in page
    assert "No answer yet" not in page


def test_what_is_from_memory_is_called_unconfirmed_until_somebody_stands_behind_it(house: House) -> None:
    asked = "/reckon/wire?wire=2.5"
    assert "steel density" in shows(house, asked)
    assert "Gere, Mechanics of Materials" in shows(house, asked)
    own = shows(house, "/reckon/nails?product=nail_25x60")
    assert "From memory: unconfirmed." in own
    house.post(ConfirmFigure("constants", "steel density", "Gere, on my desk"), "manager")
    assert "confirmed by The manager on" in shows(house, asked)
    assert house.rows(decided)


def test_a_gauge_shows_its_row_and_source(house: House) -> None:
    page = shows(house, "/reckon/wire?wire=12+BWG")
    assert "BWG, 12" in page
    assert ">47.26<" in page


def test_common_practice_says_so_and_board_feet_are_never_for_retention(house: House) -> None:
    assert "common practice, no source" in shows(house, "/reckon/capping?product=cap_300")
    page = shows(house, "/reckon/lumber?product=lumber_2x4x12")
    assert "Board feet by nominal sizes, never for retention" in page
    assert ">2 352.0<" in page


def test_the_same_address_gives_a_colleague_the_same_answer_also_as_json(house: House) -> None:
    address = "/reckon/mesh?length=4.8&width=2400&long=6&long_pitch=200&cross=6&cross_pitch=200&sheets=40"
    assert ">1 022.8<" in shows(house, address, "qa")
    told = office(house, "manager").client.get(f"{address}&format=json").get_json()
    assert told["form"] == "mesh"
    assert told["figures"][1] == {
        "name": "Sheets together", "value": "1022.8", "unit": "kg",
        "by_factor": None, "recorded": None, "weighed_mean": None,
    }  # fmt: skip
    beside = office(house, "manager").client.get("/reckon/mesh?product=mesh_a142&format=json").get_json()
    assert (beside["product"], beside["figures"][0]["recorded"]) == ("mesh_a142", "25.569")


@pytest.mark.parametrize(
    ("address", "field", "says"),
    [
        ("wire?wire=0", "wire", "0 is no size"),
        ("wire?wire=-2.5", "wire", "negative"),
        ("wire?wire=NaN", "wire", "Wire diameter"),
        ("wire?wire=1000000000", "wire", "too large"),
        ("wire?wire=2.5+kg", "wire", "kg is no unit"),
        ("wire?wire=12+ga", "wire", "12 BWG is 2.77 mm"),
        ("mesh?length=4.8&width=2400&long=6&long_pitch=3000&cross=6&cross_pitch=200&sheets=1", "long_pitch",
         "Expected at most the sheet"),
        ("slitting?coil=1250&strips=4x412", "strips", "Expected at most the coil, 1250 mm."),
        ("posts?pieces=1&length=2.4", "middle", "cannot be left empty"),
        ("lumber?pieces=1&thick=38&wide=89", "length", "Length: No number was typed."),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_told_at_its_field_and_nothing_is_written(
    house: House, address: str, field: str, says: str
) -> None:
    before = house.status()
    client = office(house, "manager").client
    page = client.get(f"/reckon/{address}")
    assert page.status_code == 422
    told = re.search(rf'id="error-{field}">(?:(?!</p>).)*', page.text, re.DOTALL)
    assert told
    assert says in told[0]
    assert "By theory" not in page.text
    as_file = client.get(f"/reckon/{address}&format=json")
    assert as_file.status_code == 422
    assert as_file.get_json()["field"] == field
    assert house.status() == before


def test_an_allowance_that_was_typed_stands_for_the_factor(house: House) -> None:
    shop = Shop(house)
    for payoff in ("1", "2"):
        coil = shop.coil("galv_25", 800_000)
        shop.at("weaver_1", LoadInput(coil, payoff=payoff, product="chain_50x25"))
    shop.at("weaver_1", MakeOutput(weights=(58_000,) * 5))
    shop.at("weaver_1", CloseRun(), answers=OFF)
    house.post(SetFactor("chain_50x25", 10**9, 1_097_529), "supervisor")
    chosen = "/reckon/chain-link?product=chain_50x25"
    page = shows(house, chosen)
    assert "By its factor" in page
    assert ">58.00<" in page
    typed = f"{chosen}&filled=chain_50x25&wire=2.5&mesh=50&height=1800&length=20&allowance=1.1"
    page = shows(house, typed)
    assert "By its factor" not in page
    assert ">58.13<" in page


def test_a_program_that_asks_with_nothing_is_told_what_is_missing(house: House) -> None:
    answer = office(house, "manager").client.get("/reckon/wire?format=json")
    assert (answer.status_code, answer.get_json()["field"]) == (422, "wire")


def test_a_form_or_product_that_is_not_there(house: House) -> None:
    client = office(house, "manager").client
    assert client.get("/reckon/no_such").status_code == 404
    assert client.get("/reckon/nails?product=no_such").status_code == 404
    assert client.get("/reckon/nails?product=barbed_25_20").status_code == 404
