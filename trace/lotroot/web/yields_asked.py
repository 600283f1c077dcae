"""Which yields does an address ask for, and what is the address of some others?

?by= a grouping, ?from= and ?to= production days (or the last ?days=, today's among them), ?known= a time of
the plant's clocks, and a value for any grouping, which narrows it to that; (none) is what is not known.
"""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any, NamedTuple
from urllib.parse import urlencode

from flask import request
from sqlalchemy import Connection

from lotroot.errors import Unreadable
from lotroot.processes.definition import Plant
from lotroot.production.opening import shift_of
from lotroot.reconciliation.knowing import NOW, Then
from lotroot.reconciliation.origins import SEVERAL
from lotroot.reconciliation.yields import GROUPINGS, Asked
from lotroot.tracing.words import Words
from lotroot.web.filled import time_of
from lotroot.web.gaps import DAYS, days_of
from lotroot.web.yields_known import check_known

NONE = "(none)"
NAMES: Mapping[str, str] = {
    "process": "Process",
    "product": "Product",
    "station": "Station",
    "shift": "Shift",
    "supplier": "Supplier",
    "heat": "Heat",
}
_NOT_KNOWN = {
    "product": "no product named",
    "shift": "no shift",
    "supplier": "supplier not known",
    "heat": "heat not known",
}
_SEVERAL = {"supplier": "several suppliers", "heat": "several heats"}
_FIRST_YEAR, _LAST_YEAR = 2000, 2999
WAYS = (
    ("Yields", "/yields"),
    ("Scrap by reason", "/yields/scrap"),
    ("Where mass went missing", "/yields/missing"),
    ("Closed months", "/yields/months"),
)
"""The pages about yields; what is asked goes along from one to the next."""


class Question(NamedTuple):
    """What is asked: the grouping, the balances, the production day it is, and the words of ?known=."""

    by: str
    asked: Asked
    today: str
    known: str

    @property
    def past(self) -> bool:
        """Whether it is asked as known before now."""
        return self.asked.then != NOW


def question(connection: Connection, plant: Plant, now: int) -> Question:
    """What this request asks. Raises Unreadable, naming the field."""
    today = shift_of(plant, now).partition(" ")[0]
    first, last = _days(today)
    only = {
        name: _value(request.args[name].strip()) for name in GROUPINGS if request.args.get(name, "").strip()
    }
    known = request.args.get("known", "").strip()
    by = request.args.get("by", "").strip() or "process"
    if by not in NAMES:
        raise Unreadable(
            "Yields are not sorted by that.",
            value=by[:40],
            expected=f"One of: {', '.join(NAMES)}.",
            next_step="Choose one of them.",
        )
    check_known(connection, plant, only)
    then = Then(at=time_of(known, plant)) if known else NOW
    return Question(by, Asked(first, last, only, then), today, known)


def _days(today: str) -> tuple[str, str]:
    """The production days asked for, the last thirty unless told."""
    first, last = (request.args.get(name, "").strip() for name in ("from", "to"))
    if not first and not last:
        back = days_of(request.args.get("days", "").strip() or str(DAYS))
        return str(date.fromisoformat(today) - timedelta(days=back - 1)), today
    begins, ends = _day("from", first or last), _day("to", last or today)
    if ends < begins:
        raise Unreadable(
            "The range ends before it begins.",
            value=f"{begins} to {ends}",
            expected="The earlier day first.",
            next_step="Change the two days round.",
        )
    return begins, ends


def day_or_none(text: str) -> date | None:
    """A day of a plant that was typed; None for what is none, or of no century it works in."""
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return None
    return found if _FIRST_YEAR <= found.year <= _LAST_YEAR else None


def _day(name: str, text: str) -> str:
    found = day_or_none(text)
    if found is None:
        raise Unreadable(
            f"The day in “{name}” is none.",
            value=text[:20],
            expected="A day such as 2026-11-24.",
            next_step="Correct it, or leave both days empty for the last thirty.",
        )
    return str(found)


def _value(text: str) -> str:
    return "" if text == NONE else text


def address(page: str, asked: Question, /, **changed: str | None) -> str:
    """The address of a page about the same question, with some of it changed; None leaves a part out."""
    told: dict[str, str | None] = {
        "by": asked.by if asked.by != "process" else None,
        "from": asked.asked.first,
        "to": asked.asked.last,
        **{name: value or NONE for name, value in asked.asked.only.items()},
        "known": asked.known or None,
    }
    told |= {name.rstrip("_"): value for name, value in changed.items()}
    return f"{page}?{urlencode({name: value for name, value in told.items() if value is not None})}"


def narrowed(page: str, asked: Question, by: str, value: str, /, **changed: str | None) -> str:
    """The address of a page about one value of a grouping."""
    return address(page, asked, **{by: value or NONE}, **changed)


def value_words(words: Words, by: str, value: str) -> str:
    """What people call a value of a grouping."""
    if value == SEVERAL:
        return _SEVERAL.get(by, value)
    if not value:
        return _NOT_KNOWN.get(by, "not known")
    if by == "shift":
        shifts = words.plant.shifts if words.plant else ()
        return next((one.name for one in shifts if one.code == value), value)
    called = {
        "process": words.process,
        "product": words.product,
        "station": words.called,
        "supplier": words.party,
    }
    return called[by](value) if by in called else value


def frame_of(asked: Question, words: Words, page: str, suppliers: Sequence[str] = ()) -> dict[str, Any]:
    """What every page about yields shows of its question: the form, quick ranges, what it is narrowed to."""
    return {
        "page": page,
        "asked": {"by": asked.by, "from": asked.asked.first, "to": asked.asked.last, "known": asked.known},
        "only": {name: value or NONE for name, value in asked.asked.only.items()},
        "said": said(asked, words),
        "quick": _quick(asked, page),
        "narrowed": [
            {
                "words": f"{NAMES[name]}: {value_words(words, name, value)}",
                "without": address(page, asked, **{name: None}),
            }
            for name, value in asked.asked.only.items()
        ],
        "groupings": list(NAMES.items()),
        "choices": _choices(asked, words, suppliers),
        "ways": [(name, address(way, asked), way == page) for name, way in WAYS],
    }


def said(asked: Question, words: Words) -> str:
    """The days and the time it was known, in words."""
    first, last = asked.asked.first, asked.asked.last
    days = f"Production day {first}" if first == last else f"Production days {first} to {last}"
    at = asked.asked.then.at
    return f"{days}, as known on {words.time(at)}." if at is not None else f"{days}, as known now."


def _quick(asked: Question, page: str) -> list[tuple[str, str]]:
    today = date.fromisoformat(asked.today)
    ranges = (
        ("Yesterday", today - timedelta(days=1), today - timedelta(days=1)),
        ("This week", today - timedelta(days=today.weekday()), today),
        ("This month", today.replace(day=1), today),
        ("Last 30 days", today - timedelta(days=DAYS - 1), today),
        ("Last 12 months", today - timedelta(days=364), today),
    )
    return [(name, address(page, asked, from_=str(first), to=str(last))) for name, first, last in ranges]


def _choices(asked: Question, words: Words, suppliers: Sequence[str]) -> dict[str, list[tuple[str, str]]]:
    """What can be chosen for each grouping; a heat is typed, and what was asked for is always among them."""
    plant = words.plant
    groups = {
        "process": plant.processes if plant else {},
        "product": plant.products if plant else {},
        "shift": [one.code for one in plant.shifts] if plant else [],
        "station": words.numbers_of("station"),
        "supplier": suppliers,
    }
    found = {}
    for by, codes in groups.items():
        named = sorted(((code, value_words(words, by, code)) for code in codes), key=lambda one: one[1])
        chosen = asked.asked.only.get(by)
        if chosen is not None and chosen not in codes:
            named.append((chosen or NONE, value_words(words, by, chosen)))
        found[by] = [("", "all"), *named]
    return found
