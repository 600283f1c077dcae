"""How does a test keep a pad at a station, and enter a form of it?

labels = pad(house, "N", "packing")
page = catching_up(house, "packing")
"""

from datetime import datetime
from zoneinfo import ZoneInfo

from floor_work import at
from houses import House
from lotroot.receiving.commands import ReserveNumbers
from lotroot.work import MICROSECONDS
from terminals import Terminal


def pad(house: House, letter: str = "R", station: str = "draw_1", count: int = 6) -> tuple[str, ...]:
    keeper = house.thing("station", station)
    return house.post(ReserveNumbers(letter=letter, count=count, keeper=keeper), "supervisor").numbers


def moment(text: str) -> int:
    local = datetime.fromisoformat(text).replace(tzinfo=ZoneInfo("America/Port_of_Spain"))
    return int(local.timestamp()) * MICROSECONDS


def catching_up(house: House, station: str = "draw_1") -> Terminal:
    return at(house, station).on("catchup")
