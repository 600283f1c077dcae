"""After a restore, is any number given a second time, whatever was given since the backup?"""

from collections.abc import Mapping
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lotroot.archive.gaps import DAY, LEAST, gaps, levels_of
from lotroot.errors import Unreadable
from lotroot.identity import Family, make
from lotroot.ledger.numbering import LARGEST
from lotroot.reserved import Gap

TAKEN = int(datetime(2026, 12, 28, 12, tzinfo=UTC).timestamp()) * 1_000_000
LETTERS = st.sampled_from([family.value for family in Family])
Series = tuple[str, int]


def covered(found: tuple[Gap, ...], series: Series) -> range:
    return next(
        (range(gap.first, gap.last + 1) for gap in found if (gap.letter, gap.year) == series), range(0)
    )


@given(
    days=st.integers(0, 9),
    busiest=st.dictionaries(LETTERS, st.integers(0, 3000)),
    known=st.dictionaries(st.tuples(LETTERS, st.just(2026)), st.integers(1, 500_000)),
    start=st.integers(1, 5000),
    load=st.data(),
)
def test_no_day_as_busy_as_the_busiest_outruns_the_gap(
    days: int, busiest: Mapping[str, int], known: Mapping[Series, int], start: int, load: st.DataObject
) -> None:
    """The rest of the day of the backup, every day since, and today: any of them may be that busy."""
    now = TAKEN + days * DAY + load.draw(st.integers(0, DAY - 1))
    found = gaps(busiest, known, start, (TAKEN, now), [])
    letter, year = load.draw(LETTERS), load.draw(st.sampled_from(sorted({2026, year_of(now)})))
    most = max(busiest.get(letter, 0) * (days + 1), LEAST)
    given_since = load.draw(st.integers(0, most))
    last_known = known.get((letter, year), start - 1)
    assert set(range(last_known + 1, last_known + given_since + 1)) <= set(covered(found, (letter, year)))


@given(known=st.dictionaries(st.tuples(LETTERS, st.just(2026)), st.integers(1, LARGEST)))
def test_every_letter_skips_in_every_year_since_the_backup(known: Mapping[Series, int]) -> None:
    """A family whose first number was given after the backup must not begin at 1 again."""
    found = gaps({}, known, 1, (TAKEN, TAKEN + 7 * DAY), [])
    for family in Family:
        for year in (2026, 2027):
            before = known.get((family.value, year), 0)
            expected = range(before + 1, min(before + LEAST, LARGEST) + 1)
            assert covered(found, (family.value, year)) == expected


@given(
    high_water=st.dictionaries(st.tuples(LETTERS, st.just(2026)), st.integers(1, LARGEST)),
    newest=st.lists(st.builds(make, LETTERS, st.just(26), st.integers(1, LARGEST))),
)
def test_what_is_known_from_elsewhere_is_skipped_too(high_water: Mapping[Series, int], newest: list) -> None:
    found = gaps({}, {}, 1, (TAKEN, TAKEN), [high_water, levels_of(newest)])
    for series, last in high_water.items():
        assert last in covered(found, series)
    for number in newest:
        assert number.running in covered(found, (number.letter, 2026))


def test_a_clock_that_stands_before_the_backup_is_refused() -> None:
    with pytest.raises(Unreadable, match="clock"):
        gaps({}, {}, 1, (TAKEN, TAKEN - 1), [])


def year_of(at: int) -> int:
    return datetime.fromtimestamp(at / 1_000_000, UTC).year
