"""Is a time that was written on paper read as the moment it was, with few keys and over midnight too?"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from lotroot.errors import Unreadable
from lotroot.web.paper_time import paper_time
from lotroot.work import MICROSECONDS

PORT_OF_SPAIN, BERLIN = "America/Port_of_Spain", "Europe/Berlin"


def moment(text: str, zone: str = PORT_OF_SPAIN) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone)).timestamp()) * MICROSECONDS


NOW = moment("2026-11-28T07:10")


@pytest.mark.parametrize(
    ("text", "before", "expected"),
    [
        # a time alone: the last one there was
        ("0230", "", "2026-11-28T02:30"),
        ("230", "", "2026-11-28T02:30"),
        ("02:30", "", "2026-11-28T02:30"),
        ("2.30", "", "2026-11-28T02:30"),
        ("2230", "", "2026-11-27T22:30"),
        ("0711", "", "2026-11-28T07:11"),  # the clock on the wall goes a minute ahead
        ("0715", "", "2026-11-27T07:15"),
        # a time alone, after another row: nearest to it
        ("2350", "2026-11-26T23:10", "2026-11-26T23:50"),
        ("0010", "2026-11-26T23:50", "2026-11-27T00:10"),
        ("2340", "2026-11-27T00:10", "2026-11-26T23:40"),
        ("0600", "2026-11-28T07:00", "2026-11-28T06:00"),
        ("0800", "2026-11-28T07:00", "2026-11-27T08:00"),  # today it is still to come
        # with its day of the month
        ("28 0230", "", "2026-11-28T02:30"),
        ("280230", "", "2026-11-28T02:30"),
        ("28.0230", "", "2026-11-28T02:30"),
        ("28/2:30", "", "2026-11-28T02:30"),
        ("28-02.30", "", "2026-11-28T02:30"),
        ("28. 02:30", "", "2026-11-28T02:30"),
        ("27 2230", "2026-11-28T02:00", "2026-11-27T22:30"),
        ("28 0900", "", "2026-10-28T09:00"),
        ("29 0230", "", "2026-10-29T02:30"),
        ("31 0230", "", "2026-10-31T02:30"),
    ],
)
def test_what_was_written_is_the_moment_it_was(text: str, before: str, expected: str) -> None:
    found = paper_time(text, PORT_OF_SPAIN, NOW, moment(before) if before else 0)
    assert datetime.fromtimestamp(found / MICROSECONDS, UTC) == datetime.fromtimestamp(
        moment(expected) / MICROSECONDS, UTC
    )


@pytest.mark.parametrize(
    "text", ["", "25", "2460", "2400", "32 0230", "0 0230", "12345", "x", "28.11.2026 02:30"]
)
def test_what_is_no_time_is_sent_back(text: str) -> None:
    with pytest.raises(Unreadable, match="is no time that was"):
        paper_time(text, PORT_OF_SPAIN, NOW)


def test_an_hour_the_clocks_skipped_was_not_and_one_they_showed_twice_is_the_first() -> None:
    spring, autumn = moment("2026-03-29T08:00", BERLIN), moment("2026-10-25T08:00", BERLIN)
    with pytest.raises(Unreadable):
        paper_time("29 0230", BERLIN, moment("2026-03-29T08:00", BERLIN))
    assert paper_time("0230", BERLIN, spring) == moment("2026-03-28T02:30", BERLIN)
    assert paper_time("0230", BERLIN, autumn) == autumn - 6.5 * 3600 * MICROSECONDS
