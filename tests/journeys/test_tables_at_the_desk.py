"""Can a manager see how sure each figure is, and confirm, override or withdraw it with a PIN?"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from houses import House
from lotroot.cli import main
from lotroot.confirmed.standing import in_force
from lotroot.plant.figures import LIMITS
from lotroot.quality.confirming import ConfirmFigure, OverrideFigure
from lotroot.quality.handling import RecordCheck
from offices import an_office_house, form, office, sent
from shop import Shop
from terminals import Terminal

NAILS = "/tables/nails"


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    made = an_office_house(tmp_path)
    yield made
    made.database.close()


@pytest.fixture
def desk(house: House) -> Terminal:
    return office(house, "manager")


def words(page: str) -> str:
    """What a page says, without its marks."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def address(desk: Terminal, name: str, row: str) -> str:
    """Where the figure of a row is, as the table's page links it."""
    page = desk.client.get(f"/tables/{name}").text
    found = re.search(rf'href="(/tables/{name}/\w+)">{re.escape(row)}<', page)
    assert found
    return found[1]


def test_the_list_counts_rows_by_how_sure_they_are(desk: Terminal) -> None:
    page = desk.client.get("/tables").text
    row = re.search(r"<tr role=\"row\">\s*<th[^>]*><a href=\"/tables/nails\">.*?</tr>", page, re.S)
    assert row
    assert words(row[0]) == "nails 56 21 23 12 21"
    assert all(f'href="/tables/{name}"' in page for name in ("plant-limits", "plant-losses", "wire_gauges"))
    assert '<a href="/tables/plant-limits">' in desk.client.get("/plant").text


def test_a_figure_is_confirmed_overridden_and_withdrawn_at_its_page(house: House, desk: Terminal) -> None:
    figure = address(desk, "nails", "metric round, 60.00")
    assert "from memory, not confirmed" in words(desk.client.get(NAILS).text)
    shows = sent(desk, f"{figure}/confirm", figure, against="drawing 14")
    assert "nails: metric round, 60.00 is confirmed: shank 2.500 mm" in words(shows)
    assert re.search(r"confirmed by The manager on \d+ Nov 2026 \d\d:\d\d", words(shows))
    assert re.search(r"from memory, confirmed by The manager on", words(desk.client.get(NAILS).text))
    shows = sent(desk, f"{figure}/override", figure, **{"value-shank_mm": "2,6", "reason": "drawing 15"})
    assert "overridden by The manager on" in words(shows)
    values = house.ask(in_force, "nails", length_mm="60.00").values
    assert (values["shank_mm"], values["shank_in"]) == ("2.6", "0.1024")
    shows = sent(desk, f"{figure}/withdraw", figure, why="wrong drawing")
    assert words(shows).count("withdrawn") == 2
    assert not house.ask(in_force, "nails", length_mm="60.00").by_name


def test_a_value_in_two_units_is_changed_in_both_and_shown_before_the_pin(
    house: House, desk: Terminal
) -> None:
    figure = address(desk, "nails", "metric round, 60.00")
    assert "What stands here in two units changes in both" in words(desk.client.get(figure).text)
    inches = {"value-shank_in": "0.102", "reason": "drawing 15"}
    asked = words(desk.client.get(form(desk, f"{figure}/override", figure, **inches).location).text)
    assert "To be recorded: nails: metric round, 60.00 is overridden: shank 2.591 mm, " in asked
    assert "shank 0.102 in" in asked
    sent(desk, f"{figure}/override", figure, **inches)
    # the form shows what is in force; only one of both is typed anew
    stands = {"value-shank_mm": "2.7", "value-shank_in": "0.102"}
    sent(desk, f"{figure}/override", figure, **stands, reason="drawing 16")
    values = house.ask(in_force, "nails", length_mm="60.00").values
    assert (values["shank_mm"], values["shank_in"]) == ("2.7", "0.1063")


@pytest.mark.parametrize(
    ("act", "typed", "says"),
    [
        ("confirm", {"against": ""}, "What it was compared with is missing."),
        ("override", {"value-shank_mm": "2.6", "reason": ""}, "The reason is missing."),
        ("override", {"reason": "drawing 15"}, "No other value was given."),
        ("override", {"value-shank_mm": "0", "reason": "drawing 15"}, "shank_mm: 0 cannot be."),
        ("override", {"value-shank_mm": "1e9", "reason": "drawing 15"}, "not written in digits"),
        ("withdraw", {"why": "no"}, "Nobody has confirmed or overridden"),
    ],
)
def test_what_does_not_fit_shows_the_form_again_with_what_was_typed(
    house: House, desk: Terminal, act: str, typed: dict[str, str], says: str
) -> None:
    figure = address(desk, "nails", "metric round, 60.00")
    shows = sent(desk, f"{figure}/{act}", figure, **typed)
    assert says in words(shows)
    assert all(f'value="{text}"' in shows for name, text in typed.items() if text and name != "why")
    assert not house.ask(in_force, "nails", length_mm="60.00").by_name


def test_limits_that_are_no_memory_and_sentences_have_no_buttons(desk: Terminal) -> None:
    cautions = desk.client.get("/tables/cautions").text
    assert 'href="/tables/cautions/' not in cautions
    sourced = desk.client.get(address(desk, LIMITS, "Shank bend")).text
    assert "with my PIN" not in sourced
    gauge = desk.client.get(address(desk, "wire_gauges", "BWG, 12")).text
    assert ("Confirm it, with my PIN" in gauge, "Override it, with my PIN" in gauge) == (True, False)


def test_others_look_and_have_no_buttons(house: House) -> None:
    other = office(house, "qa")
    figure = address(other, "nails", "metric round, 60.00")
    shows = other.client.get(figure).text
    assert "common European ladder" in shows
    assert "with my PIN" not in shows
    answer = other.post(f"{figure}/confirm", key="0123456789abcdef", against="drawing 14")
    assert answer.status_code == 403
    assert not house.ask(in_force, "nails", length_mm="60.00").by_name


@pytest.mark.parametrize("where", ["/tables/nail", "/tables/nails/0123456789abcdef", "/tables/nails/0"])
def test_a_table_or_figure_that_is_not_there_is_not_found(desk: Terminal, where: str) -> None:
    assert desk.client.get(where).status_code == 404


def test_a_check_says_who_confirmed_its_limits(house: House, desk: Terminal) -> None:
    figure = address(desk, LIMITS, "Wire diameter, Drawn wire 2.50 mm")
    shop = Shop(house)
    lot = shop.drawn(shop.coil(), 500_000)[0]
    shop.at("draw_1", RecordCheck(lot, "wire_diameter", ("2.50",)))
    sent(desk, f"{figure}/confirm", figure, against="ASTM A510/A510M-18")
    shop.at("draw_1", RecordCheck(lot, "wire_diameter", ("2.51",)))
    typed = {"value-low": "2.40", "reason": "agreed with nail making"}
    sent(desk, f"{figure}/override", figure, **typed)
    shop.at("draw_1", RecordCheck(lot, "wire_diameter", ("2.43",)))
    told = words(desk.client.get(f"/lots/{lot}").text)
    memory = "2.45 to 2.55 mm ASTM A510, +/-0.002 in, from memory"
    assert f"{memory} (not confirmed)" in told
    assert f"{memory} (confirmed by The manager on 2 Nov 2026" in told
    assert "2.40 to 2.55 mm agreed with nail making (overridden by The manager on 2 Nov 2026" in told


# ---------------------------------------------------------------- the command line


def said(capsys: pytest.CaptureFixture[str], *line: str) -> tuple[int, str, str]:
    capsys.readouterr()
    code = main(["tables", *line])
    return code, *capsys.readouterr()


@pytest.fixture
def elsewhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A folder without a database."""
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    monkeypatch.chdir(folder)
    monkeypatch.delenv("LOTROOT_DATABASE", raising=False)


@pytest.mark.usefixtures("elsewhere")
def test_tables_are_listed_without_any_database(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = said(capsys)
    assert (code, err) == (0, "")
    assert re.search(r"^nails +56  23 sourced, 12 cross-checked, 21 memory$", out, re.M)
    assert "plant-limits" not in out
    code, out, _ = said(capsys, "wire_gauges")
    assert code == 0
    assert "BWG, 12: diameter 0.109 in, diameter 2.7686 mm" in out
    assert "    cross-checked: comparative table of wire gauges" in out


@pytest.mark.usefixtures("elsewhere")
@pytest.mark.parametrize("name", ["nail", "plant-limits", "../shared/nails"])
def test_a_table_that_is_not_there_ends_with_2_and_one_line(
    capsys: pytest.CaptureFixture[str], name: str
) -> None:
    code, out, err = said(capsys, name)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert name in err


@pytest.mark.usefixtures("elsewhere")
def test_a_database_that_is_not_there_ends_with_3(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = said(capsys, "nails", "--database", "gone.db")
    assert (code, out, err.count("\n")) == (3, "", 1)


def test_with_a_database_it_says_who_confirmed_what_when(
    house: House, capsys: pytest.CaptureFixture[str]
) -> None:
    house.post(ConfirmFigure("nails", "metric round |  | 60.00", "drawing 14"), "manager")
    row = "wire_diameter | wire_25 | mm"
    house.post(OverrideFigure(LIMITS, row, ("low=2.40",), "agreed"), "manager")
    url = str(house.database.path)
    code, out, _ = said(capsys, "nails", "--database", url)
    assert code == 0
    assert re.search(r"^    confirmed by The manager on \d+ Nov 2026 \d\d:\d\d: drawing 14$", out, re.M)
    _, out, _ = said(capsys, LIMITS, "--database", url)
    assert "Wire diameter, Drawn wire 2.50 mm: low 2.40, high 2.55 mm" in out
    assert re.search(r"^    overridden by The manager on .*: agreed$", out, re.M)
    _, out, _ = said(capsys, "--database", url)
    assert re.search(r"^nails .*; 1 confirmed or overridden by name$", out, re.M)
    assert re.search(r"^plant-losses ", out, re.M)
