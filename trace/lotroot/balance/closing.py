"""What stands on each load now, and what has to be booked as its difference, and when?

For each load: amount = taken by links + scrapped + differences + standing (RULES.md 3). The difference of
a load is label − taken − remainder, of either sign, and changes no link (RULES.md 6): booked at once where
a remainder was weighed at unloading, and where it ended when the margin has passed (RULES.md 7) or the
run is closed.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from lotroot.balance.feeds import FEEDS, SHARP, Feed, walked
from lotroot.balance.happenings import (
    Closed,
    Difference,
    Ended,
    FeedName,
    Happening,
    Load,
    Margin,
    Scrapped,
    Unloaded,
)


@dataclass(slots=True)
class _Account:
    load: Load
    standing: int
    remainder: int | None = None
    ended: bool = False
    rest: int | None = None
    """With so much standing nothing is due any more: the remainder, or nothing once it has ended."""

    def due(self, feed: Feed, closed: bool) -> int:
        """What has to be booked now, 0 if nothing."""
        if self.remainder is not None:
            return self.standing - self.remainder
        if self.ended and (closed or feed.settled(self.load.seq)):
            return self.standing
        return min(0, self.standing) if closed else 0


def differences(
    feed: FeedName, happenings: Iterable[Happening], margin: Margin = SHARP
) -> tuple[Difference, ...]:
    """The signed differences of each load, in the order they are booked.

    What an output takes from a load already booked gives a further line with that output.
    """
    found: list[Difference] = []
    _closing(feed, happenings, margin, found)
    return tuple(found)


def standing(feed: FeedName, happenings: Iterable[Happening], margin: Margin = SHARP) -> dict[int, int]:
    """What stands on each load, by its `seq`, after the last happening.

    Below zero only while the load is on, or has ended and its margin has not passed.
    """
    accounts = _closing(feed, happenings, margin, [])
    return {seq: account.standing for seq, account in accounts.items()}


def _closing(
    feed_name: FeedName, happenings: Iterable[Happening], margin: Margin, found: list[Difference]
) -> dict[int, _Account]:
    """Keep the accounts of all loads, adding the differences to `found` as they fall due."""
    feed = FEEDS[feed_name](margin)
    accounts: dict[int, _Account] = {}
    closed = False
    for place, (happening, parts) in enumerate(walked(feed, happenings)):
        closed = closed or isinstance(happening, Closed)
        _post(accounts, happening)
        for part in parts:
            accounts[part.load.seq].standing -= part.given
        # What is at rest is not asked again: most loads of a long run.
        moving = [account for account in accounts.values() if account.standing != account.rest]
        found.extend(_book(feed, moving, closed, place))
    return accounts


def _post(accounts: dict[int, _Account], happening: Happening) -> None:
    match happening:
        case Load():
            accounts[happening.seq] = _Account(happening, happening.amount)
        case Ended() if happening.load in accounts:
            account = accounts[happening.load]
            account.ended, account.rest = True, account.rest or 0
        case Unloaded() if happening.load in accounts:
            account = accounts[happening.load]
            account.remainder = account.rest = happening.remainder
        case Scrapped() if happening.load in accounts:
            accounts[happening.load].standing -= happening.amount
        case _:
            pass


def _book(feed: Feed, accounts: Iterable[_Account], closed: bool, place: int) -> list[Difference]:
    lines: list[Difference] = []
    for account in accounts:
        amount = account.due(feed, closed)
        if amount:
            account.standing -= amount
            lines.append(Difference(account.load.seq, account.load.lot, amount, place))
    return lines
