"""Which production days are asked about, and where do they begin and end?"""

from datetime import date, datetime, time, timedelta
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy import BindParameter, bindparam

from lotroot.processes.definition import Plant
from lotroot.work import MICROSECONDS

FROM: BindParameter[str] = bindparam("first")
TO: BindParameter[str] = bindparam("after")
SINCE: BindParameter[int] = bindparam("since")
UNTIL: BindParameter[int] = bindparam("until")
"""The day, and the microsecond UTC, that some days begin with and that comes after them."""


class Days(NamedTuple):
    """Production days, both counted in."""

    first: date
    last: date

    def query(self, plant: Plant) -> dict[str, Any]:
        """As the statements here take them: texts of days, and microseconds UTC."""
        after = self.last + timedelta(days=1)
        return {
            "first": self.first.isoformat(),
            "after": after.isoformat(),
            "since": _begins(plant, self.first),
            "until": _begins(plant, after),
        }


def _begins(plant: Plant, day: date) -> int:
    local = datetime.combine(day, time.fromisoformat(plant.day_start), ZoneInfo(plant.zone))
    return int(local.timestamp()) * MICROSECONDS
