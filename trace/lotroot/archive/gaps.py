"""How far must each series skip ahead, so that no number given since a backup is given again?

RULES 22: to the highest of what the backup knew plus the busiest day for every day since, at least a
thousand; the high-water file beside the database; the newest labels scanned.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime

from sqlalchemy import Connection, func, select

from lotroot.errors import Unreadable
from lotroot.identity import Family, Number
from lotroot.ledger.numbering import LARGEST, Levels
from lotroot.ledger.tables import event, mention, posting
from lotroot.reserved import Gap

LEAST = 1000
DAY = 86_400 * 1_000_000
CENTURY = 2000

_first_named = select(mention.c.number, func.min(mention.c.event).label("event")).group_by(mention.c.number)
_given = _first_named.subquery()
_when_given = (
    select(_given.c.number, posting.c.entered)
    .join(event, event.c.id == _given.c.event)
    .join(posting, posting.c.id == event.c.posting)
    .execution_options(yield_per=1000)
)


def gaps(
    busiest: Mapping[str, int],
    known: Levels,
    start: int,
    between: tuple[int, int],
    seen: Iterable[Levels],
) -> tuple[Gap, ...]:
    """What each series skips, from the first number the backup does not know.

    `busiest` is the most numbers of a letter given in a day, `known` what the backup knew, `start` the
    plant's first number, `between` when the backup was taken and now, in microseconds UTC; `seen` are
    numbers known from elsewhere. Raises Unreadable where the clock stands before the backup.
    """
    taken, now = between
    if now < taken:
        raise _clock_behind(taken, now)
    days = (now - taken) // DAY + 1
    highest: dict[tuple[str, int], int] = {}
    for year in range(_year(taken), _year(now) + 1):
        for letter in Family:
            base = known.get((letter.value, year), start - 1)
            highest[letter.value, year] = base + max(busiest.get(letter.value, 0) * days, LEAST)
    for levels in seen:
        for series, last in levels.items():
            highest[series] = max(highest.get(series, 0), last)
    return tuple(_skipped(highest, known, start))


def _skipped(highest: Levels, known: Levels, start: int) -> Iterable[Gap]:
    for (letter, year), last in sorted(highest.items()):
        first = known.get((letter, year), start - 1) + 1
        if first <= min(last, LARGEST):
            yield Gap(letter, year, first, min(last, LARGEST))


def busiest_days(connection: Connection) -> Mapping[str, int]:
    """The most numbers of each letter that were given in one day (UTC)."""
    days: Counter[tuple[str, int]] = Counter()
    for row in connection.execute(_when_given):
        days[row.number[0], row.entered // DAY] += 1
    busiest: Counter[str] = Counter()
    for (letter, _), count in days.items():
        busiest[letter] = max(busiest[letter], count)
    return busiest


def levels_of(numbers: Iterable[Number]) -> dict[tuple[str, int], int]:
    """The series levels that follow from labels somebody scanned."""
    levels: dict[tuple[str, int], int] = {}
    for number in numbers:
        series = (number.letter, CENTURY + number.year)
        levels[series] = max(levels.get(series, 0), number.running)
    return levels


def _year(at: int) -> int:
    return datetime.fromtimestamp(at / 1_000_000, UTC).year


def _clock_behind(taken: int, now: int) -> Unreadable:
    moments = [str(datetime.fromtimestamp(at // 1_000_000, UTC)) for at in (now, taken)]
    return Unreadable(
        "The clock of this computer stands before the moment the backup was taken.",
        value=moments[0],
        expected=f"Later than {moments[1]}: the days since then decide which numbers are skipped.",
        next_step="Set the clock, then restore again; nothing was changed.",
    )
