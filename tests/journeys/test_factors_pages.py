"""Can a supervisor see what weighed rolls say of theory, set the factor, and does the run then name it?"""

import csv
import io
from pathlib import Path

import pytest
from houses import House
from offices import an_office_house, office, sent
from shop import Shop
from weighed_rolls import rolls

PAGE = "/factors/barbed_25_20"
HEAVY = (24_400, 24_420, 24_440, 24_460, 24_380)


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


def plain(text: str) -> str:
    return text.replace("\u202f", " ")


def test_the_list_shows_rolls_and_what_they_give(house: House) -> None:
    rolls(Shop(house), *HEAVY)
    page = office(house, "manager").client.get("/factors").text
    assert ">23.62<" in page
    assert ">1.034<" in page
    assert "theory alone" in page
    assert "too few" in page, "of chain link none was weighed"


def test_a_supervisor_sets_it_with_a_pin_and_withdraws_it_with_a_reason(house: House) -> None:
    shop = Shop(house)
    rolls(shop, *HEAVY)
    supervisor = office(house, "supervisor")
    seen = {"upto": "999999999", "factor_ppm": "1033870"}
    page = sent(supervisor, f"{PAGE}/set", PAGE, **seen)
    assert "It goes by theory × 1.034, fitted by The supervisor from 5 weighed rolls on" in page
    assert "Go by what these rolls give" not in page, "it is so already"
    run = rolls(shop, *HEAVY)
    assert (
        "By theory is theory × 1.034, fitted by The supervisor" in supervisor.client.get(f"/lots/{run}").text
    )
    page = sent(supervisor, f"{PAGE}/withdraw", PAGE, why="new machine")
    assert "It goes by theory alone." in page
    assert "new machine" in page
    shop.closes()


def test_too_few_rolls_offer_no_button(house: House) -> None:
    rolls(Shop(house), *HEAVY[:4])
    page = office(house, "supervisor").client.get(PAGE).text
    assert "too few rolls; 5 are needed" in page
    assert "Go by what these rolls give" not in page


@pytest.mark.parametrize("who", ["operator", "qa"])
def test_who_may_not_sees_no_button(house: House, who: str) -> None:
    rolls(Shop(house), *HEAVY)
    page = office(house, who).client.get(PAGE).text
    assert "1.034" in page
    assert "Go by what these rolls give" not in page


@pytest.mark.parametrize(
    ("form", "says"),
    [
        ({"upto": "x", "factor_ppm": "1033870"}, "This is no whole number."),
        ({"upto": "-1", "factor_ppm": "1033870"}, "This is no whole number."),
        ({"upto": "999999999", "factor_ppm": "1000000"}, "the weighed rolls give 1.034 by now"),
        ({"upto": "0", "factor_ppm": "1033870"}, "0 weighed rolls are too few"),
    ],
)
def test_a_form_that_does_not_fit_says_so_and_records_nothing(
    house: House, form: dict[str, str], says: str
) -> None:
    rolls(Shop(house), *HEAVY)
    supervisor = office(house, "supervisor")
    before = house.status()
    assert says in sent(supervisor, f"{PAGE}/set", PAGE, **form)
    assert house.status() == before


def test_the_files_have_decimal_text_and_base_units(house: House) -> None:
    rolls(Shop(house), *HEAVY)
    client = office(house, "manager").client
    [row] = [one for one in client.get("/factors?format=json").get_json()["factors"] if one["rolls"]]
    assert (row["product"], row["mean"], row["theory_g_per_roll"]) == ("barbed_25_20", "1.034", 23_620)
    told = csv.DictReader(io.StringIO(client.get("/factors?format=csv").data.decode("utf-8-sig")))
    assert [one["rolls"] for one in told] == ["5", "0", "0"]


def test_a_product_without_rolls_has_no_page(house: House) -> None:
    client = office(house, "manager").client
    assert client.get("/factors/wire_25").status_code == 404
    assert client.get("/factors/no_such").status_code == 404
