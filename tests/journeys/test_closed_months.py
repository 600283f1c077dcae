"""Does a closed month keep its figures, and show whatever is entered later as a change to it?"""

import re
from pathlib import Path

import pytest
from houses import House
from lotroot.errors import NotAllowed, Refused, Unreadable
from lotroot.ledger.book import head
from lotroot.production.correcting_outputs import CorrectOutput
from lotroot.production.loading import UnloadInput
from lotroot.production.marking import CloseRun
from lotroot.production.tables import run
from lotroot.reconciliation.months import CloseMonth, find_month, of_month
from lotroot.reconciliation.tables import closed_month
from lotroot.reconciliation.yields import yields
from offices import an_office_house, office, sent
from shop import Shop


@pytest.fixture
def house(tmp_path: Path) -> House:
    return an_office_house(tmp_path)


@pytest.fixture
def shop(house: House) -> Shop:
    return Shop(house)


def drawn(shop: Shop) -> str:
    """A run that made 500 kg and lost 20 kg."""
    shop.drawn(shop.coil(), 500_000)
    shop.at("draw_1", UnloadInput(remainder=1_480_000, how="weighed"))
    shop.at("draw_1", CloseRun())
    return str(shop.house.rows(run)[-1]["number"])


def test_a_month_keeps_the_event_it_was_closed_at(house: House, shop: Shop) -> None:
    drawn(shop)
    house.clock.forward(days=30)
    with house.reading() as connection:
        last = head(connection)
    house.post(CloseMonth("2026-11"), "manager")
    [row] = house.rows(closed_month)
    assert (row["month"], row["events"], row["hash"]) == ("2026-11", last.count, last.hash)
    assert row["person"] == house.people["manager"]
    shop.closes()


@pytest.mark.parametrize(
    ("days", "hours", "month", "said"),
    [
        (0, 0, "2026-11", "November 2026 has not ended"),
        (0, 0, "2026-12", "December 2026 has not ended"),
        (
            28,
            19,
            "2026-11",
            "November 2026 has not ended",
        ),  # 1 December, one at night
        (30, 0, "2026-11", ""),
        (0, 0, "2026-10", ""),
        (0, 0, "2026-13", "That is no month"),
        (0, 0, "October", "That is no month"),
        (0, 0, "", "That is no month"),
    ],
)
def test_a_month_closes_when_its_last_production_day_is_over(
    house: House, days: int, hours: int, month: str, said: str
) -> None:
    house.clock.forward(days=days, hours=hours)
    before = house.status()
    if not said:
        assert "is closed" in house.post(CloseMonth(month), "manager").say
        return
    with pytest.raises((Refused, Unreadable), match=said):
        house.post(CloseMonth(month), "manager")
    assert house.status() == before


def test_a_month_is_closed_once_and_by_the_manager(house: House) -> None:
    house.post(CloseMonth("2026-10"), "manager")
    with pytest.raises(Refused, match="closed already"):
        house.post(CloseMonth("2026-10"), "manager")
    with pytest.raises(NotAllowed):
        house.post(CloseMonth("2026-09"), "operator")


def test_later_entries_stand_beside_the_figures_as_closed(house: House, shop: Shop) -> None:
    changed, stays = drawn(shop), drawn(shop)
    house.clock.forward(days=30)
    client = office(house, "administrator")
    page = sent(client, "/yields/months", "/yields/months", month="2026-11")
    assert "November 2026 is closed" in page
    assert "nothing" in page
    station = house.thing("station", "draw_1")
    house.post(CorrectOutput(changed, 1, 460_000), "supervisor", station=station)
    listed = plain(client.client.get("/yields/months").text)
    assert "1 run changed" in listed
    assert "steel 96.2 %" in listed  # as closed: 1 000 of 1 040 kg
    month = plain(client.client.get("/yields/months/2026-11").text)
    assert "goods 500 kg" in month
    assert "goods 460 kg" in month
    assert "1000 kg → <br>960 kg" in month.replace("1 000", "1000")
    assert f"/lots/{changed}" in month
    assert f"/lots/{stays}" not in month
    rows = client.client.get("/yields/months/2026-11?format=json").get_json()["changes"]
    assert [(row["run"], row["good_then"], row["good_now"]) for row in rows] == [(changed, 500_000, 460_000)]
    asked = house.ask(lambda connection: of_month(find_month(connection, "2026-11")))
    [one] = house.ask(yields, asked, "process")
    assert one.figures.good == 1_000_000


def test_a_month_that_was_not_closed_is_told_so(house: House) -> None:
    client = office(house, "manager").client
    assert client.get("/yields/months/2026-11").status_code == 404
    assert "No month was closed yet" in client.get("/yields/months").text


def plain(page: str) -> str:
    """A page with plain blanks between figures and units."""
    return re.sub("[\u00a0\u2009\u202f]", " ", page)
