"""Can a supervisor see which die is due, an operator record a recut one, and anybody have a row proposed?"""

import csv
import io
from pathlib import Path

import plants
import pytest
from houses import House, a_house
from lotroot.dies.handling import RecutDie
from lotroot.production.loading import LoadInput
from lotroot.production.making import MakeOutput
from lotroot.production.marking import ChangeTool
from offices import an_office_house, office, sent
from shop import Shop
from terminals import Terminal

ROW = "Dies 4.89 4.36 3.91 3.53 3.21 2.94 2.71 2.50: drafts 15 to 21 %, 79 % in all, "


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def thing(house: House) -> str:
    """A set that has drawn a tonne."""
    shop, number = Shop(house), house.thing("resource", "dies_25_a")
    shop.at("draw_1", LoadInput(shop.coil(), product="wire_25", end="outer"))
    shop.at("draw_1", ChangeTool(number))
    for weight in (480_000, 520_000):
        house.clock.forward(minutes=10)
        shop.at("draw_1", MakeOutput(weight=weight))
    return number


def test_a_manager_finds_what_went_through_each_die(house: House, thing: str) -> None:
    client = office(house, "manager").client
    assert 'href="/dies"' in client.get("/plant").text
    page = client.get("/dies").text
    assert "Die set 2.50 A" in page
    assert ">1.000<" in page
    assert ">26.0<" in page  # km at 2.50 mm
    assert "too few readings, no reading since it came in; 5 are needed" in page
    assert f'href="/dies/{thing}"' in page


def test_the_files_have_every_die_in_base_units(house: House, thing: str) -> None:
    client = office(house, "manager").client
    text = client.get("/dies?format=csv").data.decode("utf-8-sig")
    rows = [row for row in csv.DictReader(io.StringIO(text)) if row["thing"] == thing]
    assert [(row["place"], row["size_mm"], row["through_g"]) for row in rows][-1] == ("8", "2.50", "1000000")
    assert client.get("/dies?format=json").get_json()["dies"][0]["through_g"] == 1_000_000
    [run] = client.get(f"/dies/{thing}?format=json").get_json()["runs"]
    assert (run["set"], run["mass_g"]) == ("dies_25_a", 1_000_000)


def test_a_set_leads_to_its_runs(house: House, thing: str) -> None:
    client = office(house, "manager").client
    [run] = client.get(f"/dies/{thing}?format=json").get_json()["runs"]
    assert f'href="/lots/{run["run"]}"' in client.get(f"/dies/{thing}").text
    assert client.get(f"/lots/{run['run']}").status_code == 200


def test_a_recut_die_is_recorded_by_form_and_has_its_history(house: House, thing: str) -> None:
    supervisor = office(house, "supervisor")
    page = f"/dies/{thing}"
    told = {"place": "8", "size": "2,54", "how": "recut", "words": "scored"}
    shows = sent(supervisor, f"{page}/recut", page, **told)
    assert "Die set 2.50 A, die 8: 2.54 mm from now on, 2.50 mm before." in shows
    assert "scored" in shows
    assert "The supervisor" in shows
    assert ">0.000<" in shows


def test_a_wrong_size_is_told_where_it_was_typed_with_what_would_fit(house: House, thing: str) -> None:
    supervisor = office(house, "supervisor")
    page = f"/dies/{thing}"
    shows = sent(supervisor, f"{page}/recut", page, place="8", size="2.90", how="recut", words="")
    assert "Die 8 cannot be 2.90 mm. Expected less than 2.71 mm, the die before it." in shows
    assert 'value="2.90"' in shows
    shows = sent(supervisor, f"{page}/recut", page, place="x", size="2.52", how="recut", words="")
    assert "This is no whole number." in shows


def test_who_may_not_recut_sees_no_form(house: House, thing: str) -> None:
    assert "Record the die" not in office(house, "manager").client.get(f"/dies/{thing}").text
    assert office(house, "manager").client.get("/dies/T2600000000").status_code == 404


@pytest.mark.parametrize(
    ("taper", "first"),
    [("equal", "4.984"), ("tapered", "4.930")],
)
def test_a_row_is_proposed_within_the_most_that_one_draft_may_take(
    house: House, taper: str, first: str
) -> None:
    page = office(house, "manager").client.get(f"/dies?rod=5.5&wire=2.5&most=20&taper={taper}")
    assert page.status_code == 200
    assert "Dies from 5.5 mm to 2.5 mm" in page.text
    assert f">{first}<" in page.text
    assert ">2.500<" in page.text
    assert "79.3 % in all" in page.text


def test_a_gauge_is_a_size_when_its_system_is_named(house: House) -> None:
    page = office(house, "manager").client.get("/dies?rod=5+SWG&wire=12+BWG&most=25&taper=equal")
    assert "Dies from 5.38 mm (5 SWG) to 2.77 mm (12 BWG)" in page.text


@pytest.mark.parametrize(
    ("asked", "field", "said"),
    [
        ("rod=0&wire=2.5&most=20", "rod", "Rod"),
        ("rod=-5.5&wire=2.5&most=20", "rod", "negative"),
        ("rod=5.5&wire=NaN&most=20", "wire", "Wire"),
        ("rod=5.5&wire=1000000000&most=20", "wire", "Wire"),
        ("rod=5.5&wire=2.5+kg&most=20", "wire", "kg is no unit"),
        (
            "rod=5.5&wire=12&most=20",
            "wire",
            "12 mm cannot be drawn from rod of 5.5 mm. Expected less than 5.5 mm",
        ),
        ("rod=5.5&wire=12+gauge&most=20", "wire", "does not say which gauge"),
        ("rod=5.5&wire=2.5&most=0", "most", "from 0.001 to 63.2 %"),
        ("rod=5.5&wire=2.5&most=x", "most", "above 0 and below 63.2"),
        ("rod=5.5&wire=2.5&most=99", "most", "from 0.001 to 63.2 %"),
        ("rod=5.5&wire=0.5&most=20", "wire", "90 % before the wire is annealed"),
        ("rod=5.5&wire=&most=20", "wire", "Wire"),
        ("rod=5.5&wire=2.5&most=20&taper=zigzag", "taper", "One of: equal, tapered."),
    ],
)
def test_what_cannot_be_drawn_is_told_at_its_field_with_what_would_fit(
    house: House, asked: str, field: str, said: str
) -> None:
    page = office(house, "manager").client.get(f"/dies?{asked}")
    assert page.status_code == 422
    assert f'id="error-{field}"' in page.text
    assert said in page.text
    assert "Dies from" not in page.text


def test_the_machines_page_tells_the_dies_and_how_long_the_last_stripper_is(house: House, thing: str) -> None:
    page = Terminal(house).at("draw_1").client.get("/station").text
    assert f"{ROW}1 m of rod gives 4.8 m of wire; 38.5 kg/km." in page
    assert "is 13\u202f494\u202fm of 2.50 mm wire by theory." in page  # 520 kg at 38.53 kg/km


def test_dies_that_do_not_fit_are_asked_about_at_the_machine_and_stay_on_its_page(house: House) -> None:
    shop = Shop(house)
    terminal = Terminal(house).at("draw_1")
    terminal.badge("operator")
    shop.at("draw_1", LoadInput(shop.coil(), product="wire_25", end="outer"))
    asked = terminal.scan(house.thing("resource", "dies_38_a"))
    assert "Run it?" in asked["say"]
    done = terminal.answer(house.thing("resource", "dies_38_a"), "yes")
    assert done["verdict"] == "asked_done"
    assert "no smaller than the rod, 5.50 mm (1 more)." in terminal.client.get("/station").text


def test_a_recut_die_is_typed_at_the_machine(house: House, thing: str) -> None:
    terminal = Terminal(house).at("draw_1")
    terminal.badge("operator")
    done = terminal.scan("die 8 2.53")
    assert done["say"] == "Die set 2.50 A, die 8: 2.53 mm from now on, 2.50 mm before."
    assert "2.71 2.53: drafts" in terminal.client.get("/station").text
    wrong = terminal.scan("DIE 8 2.9")
    assert wrong["verdict"] == "refused"
    bare = Terminal(house).at("draw_2")
    bare.badge("supervisor")
    assert "Scan the die set first" in str(bare.scan("die 8 2.53"))


@pytest.mark.parametrize(("worn", "verdict"), [("", "ask"), ('worn_percent = "5"', "accepted")])
def test_how_far_a_worn_die_still_draws_its_wire_is_the_plants_own(
    tmp_path: Path, worn: str, verdict: str
) -> None:
    told = 'checked = "wire_diameter"\n'
    assert told in plants.demo_text()
    house = a_house(tmp_path, plants.demo_text().replace(told, f"{told}{worn}\n", 1))
    number = house.thing("resource", "dies_25_a")
    Shop(house).at("draw_1", RecutDie(number, 8, "2.60"))
    terminal = Terminal(house).at("draw_1")
    terminal.badge("operator")
    assert terminal.scan(number)["verdict"] == verdict  # 2.60 is 3.8 % off 2.50
