"""When was it, by the day and time that somebody wrote on paper by the plant's clocks?

On a numeric key pad: 0230 is a time, 28 0230 or 280230 the time on the 28th. Without a day it is the time
nearest to the row before, or else the last such time there was; with one, the last such day.
"""

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from lotroot.errors import Unreadable
from lotroot.work import MICROSECONDS

AHEAD = timedelta(minutes=2)
"""How far the wall's clock may be ahead of the server's, as for any time that is told (posting.door)."""
DAYS = 62
"""A day of the month is looked for so far back: each comes twice in it, but for the 31st."""

_WITH_DAY = re.compile(r"(\d{1,2})(?:[ /-]+|\.\s*)(\d{1,2})[:.]?(\d{2})|(\d{2})(\d{2})(\d{2})")
_TIME = re.compile(r"(\d{1,2})[:.]?(\d{2})")


def paper_time(text: str, zone: str, now: int, before: int = 0) -> int:
    """The moment in microseconds UTC. `before` is that of the row before, 0 for none. Raises Unreadable.

    An hour that a clock shows twice, when it is put back, is the first of the two.
    """
    plain, place, latest = text.strip(), ZoneInfo(zone), _at(now) + AHEAD
    if alone := _TIME.fullmatch(plain):
        hour, minute = _clock(text, alone[1], alone[2])
        return _nearest(text, (hour, minute), place, latest, _at(before) if before else latest)
    both = _WITH_DAY.fullmatch(plain)
    if both is None:
        raise _unfit(text)
    day, hours, minutes = both.group(1, 2, 3) if both[1] else both.group(4, 5, 6)
    return _of_day(text, int(day), _clock(text, hours, minutes), place, latest)


def _at(moment: int) -> datetime:
    return datetime.fromtimestamp(moment / MICROSECONDS, UTC)


def _clock(text: str, hour: str, minute: str) -> tuple[int, int]:
    if int(hour) > 23 or int(minute) > 59:
        raise _unfit(text)
    return int(hour), int(minute)


def _nearest(text: str, clock: tuple[int, int], place: ZoneInfo, latest: datetime, to: datetime) -> int:
    """That time on the day of `to` or a day beside it, whichever is nearest and not in the future."""
    days = [to.astimezone(place).date() + timedelta(days=one) for one in (-1, 0, 1)]
    found = [moment for day in days if (moment := _moment(day, clock, place)) and moment <= latest]
    if not found:
        raise _unfit(text)
    return _whole(min(found, key=lambda moment: abs(moment - to)))


def _of_day(text: str, day: int, clock: tuple[int, int], place: ZoneInfo, latest: datetime) -> int:
    today = latest.astimezone(place).date()
    for back in range(DAYS):
        one = today - timedelta(days=back)
        moment = _moment(one, clock, place) if one.day == day else latest + AHEAD
        if moment is None:
            break
        if moment <= latest:
            return _whole(moment)
    raise _unfit(text)


def _moment(day: date, clock: tuple[int, int], place: ZoneInfo) -> datetime | None:
    """A time of the clocks; None where they were put forward over it."""
    local = datetime(day.year, day.month, day.day, *clock, tzinfo=place)
    there = local.astimezone(UTC)
    return there if there.astimezone(place).replace(tzinfo=None) == local.replace(tzinfo=None) else None


def _whole(moment: datetime) -> int:
    return int(moment.timestamp()) * MICROSECONDS


def _unfit(text: str) -> Unreadable:
    return Unreadable(
        f"“{text.strip()[:20]}” is no time that was.",
        value=text[:40],
        expected="Hours and minutes, 0230, or with the day of the month before them: 28 0230.",
        next_step="Type the time of the row.",
    )
