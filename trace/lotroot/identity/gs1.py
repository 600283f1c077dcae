"""Which GS1 numbers are these, and which of them may stand together on one label?

The check digit is mod 10 (gs1.org, "How to calculate a check digit manually"). Readers and writers of symbols
do not look at the pairings: a lot number alone is no legal element string, so the rules are held here.
"""

import re
from collections.abc import Iterable

from lotroot.errors import Unreadable
from lotroot.identity.checks import gs1_digit_for, has_right_gs1_digit
from lotroot.identity.gs1_identifiers import IDENTIFIERS, MEASURES, MOST_DECIMALS, Identifier

Part = tuple[str, str]
"""An application identifier and its value: ("10", "N2600001424")."""

LONGEST_BARS = 48
"""Data characters of one GS1-128, identifiers and separators included (GS1 General Specifications)."""
SHORTEST_PREFIX, LONGEST_PREFIX = 4, 12
"""Digits of a company prefix: least from the dictionary's change log; most from memory."""

_DIGITS = re.compile("[0-9]+")
# GS1 character set 82: no space (General Specifications, figure 7.11-1, from memory). Its two brackets are
# refused as well: in the bracketed form, which writers of symbols take, they would begin another part.
_SET_82 = re.compile(r"[!\"%&'*+,\-./0-9:;<=>?A-Z_a-z]+")


def prefix_of(text: str) -> str:
    """A company prefix as licensed. Raises Unreadable."""
    if not _DIGITS.fullmatch(text) or not SHORTEST_PREFIX <= len(text) <= LONGEST_PREFIX:
        raise _unusable("This is no GS1 company prefix.", text, "4 to 12 digits, as on the licence")
    return text


def sscc(prefix: str, extension: int, serial: int) -> str:
    """The number of a logistic unit: extension digit, company prefix, serial reference, check digit.

    Raises Unreadable for a prefix or digit that cannot be, or where the prefix's numbers are all given.
    """
    room = 16 - len(prefix_of(prefix))
    if not 0 <= extension <= 9:
        raise _unusable("This is no extension digit.", str(extension), "one digit, 0 to 9")
    if not 1 <= serial < 10**room:
        raise _unusable(
            f"No number of a logistic unit is left under extension digit {extension}.",
            str(serial),
            f"a serial reference of at most {room} digits behind prefix {prefix}",
            "Set another extension digit in plant.toml and adopt it.",
        )
    body = f"{extension}{prefix}{serial:0{room}d}"
    return body + gs1_digit_for(body)


def gtin(text: str) -> str:
    """A GTIN of 8, 12, 13 or 14 digits as the 14 that symbols carry. Raises Unreadable."""
    return _key(text, (8, 12, 13, 14), "GTIN").zfill(14)


def gln(text: str) -> str:
    """The number of a location, 13 digits. Raises Unreadable."""
    return _key(text, (13,), "GLN")


def is_sscc(text: str) -> bool:
    """Whether a text is a number of a logistic unit that proves itself."""
    return len(text) == 18 and has_right_gs1_digit(text)


def measured(ai: str, amount: int, decimals: int) -> Part:
    """A measure with its identifier: `amount` counts 1/10^decimals of the identifier's unit.

    measured("310", 12_500, 3), grams as kilograms, is ("3103", "012500"). Keeps as many decimals as six
    digits hold; what is left off is rounded half up. Raises Unreadable where even whole units are too many.
    """
    for kept in range(min(decimals, MOST_DECIMALS), -1, -1):
        step = 10 ** (decimals - kept)
        value = (amount + step // 2) // step
        if 0 <= value < 10**6:
            return f"{ai}{kept}", f"{value:06d}"
    raise _unusable(
        f"This {IDENTIFIERS[ai].meaning} does not fit a GS1 symbol.",
        f"{amount} with {decimals} decimals",
        "0 to 999,999 whole units",
        "Leave it off the symbol.",
    )


def element_string(parts: Iterable[Part]) -> str:
    """The parts as one bracketed element string, "(02)0952...(37)40(10)N26...", fixed lengths first.

    Raises Unreadable, naming what is wrong or missing, for a part that cannot be and for parts that may not
    stand together.
    """
    ordered = in_order(parts)
    return "".join(f"({ai}){value}" for ai, value in ordered)


def in_order(parts: Iterable[Part]) -> list[Part]:
    """The parts, each checked and all of them fit to stand together, those of fixed length first.

    The units' own key leads; else they keep the order they came in. Raises Unreadable.
    """
    given = list(parts)
    for ai, value in given:
        _check(ai, value)
    _check_together([_known(ai)[0] for ai, _ in given])
    return sorted(given, key=lambda part: (not _known(part[0])[1].fixed, part[0] != "00"))


def check_bars(parts: Iterable[Part]) -> None:
    """Refuse parts that are too long for one GS1-128. Raises Unreadable."""
    given = list(parts)
    length = sum(len(ai) + len(value) for ai, value in given)
    length += sum(not _known(ai)[1].fixed for ai, _ in given[:-1])
    if length > LONGEST_BARS:
        raise _unusable(
            "These are too many characters for one row of GS1 bars.",
            f"{length} characters",
            f"at most {LONGEST_BARS}, identifiers and separators included",
            "Put some of it into a second row, or into a square symbol.",
        )


def _known(ai: str) -> tuple[str, Identifier]:
    """The identifier's key in the table, and what may stand behind it. Raises Unreadable."""
    key = ai[:3] if len(ai) == 4 and ai[:3] in MEASURES and ai[3] in "012345" else ai
    if key not in IDENTIFIERS or (key == ai and ai in MEASURES):
        decimals = " and a digit for its decimals, 0 to 5" if ai[:3] in MEASURES else ""
        raise _unusable(
            "This application identifier is not used here.",
            f"({ai})",
            f"{ai[:3]}{decimals}" if decimals else "one of " + ", ".join(IDENTIFIERS),
        )
    return key, IDENTIFIERS[key]


def _check(ai: str, value: str) -> None:
    known = _known(ai)[1]
    length = f"{known.longest}" if known.fixed else f"1 to {known.longest}"
    kind = "digits" if known.digits else "letters, digits and signs, without a space or bracket"
    pattern = _DIGITS if known.digits else _SET_82
    short = len(value) < (known.longest if known.fixed else 1)
    if short or len(value) > known.longest or not pattern.fullmatch(value):
        raise _unusable(f"This is no {known.meaning}.", f"({ai}){value}", f"{length} {kind}")
    if known.key and not has_right_gs1_digit(value):
        raise _unusable(
            f"This {known.meaning} does not prove itself.",
            f"({ai}){value}",
            f"check digit {gs1_digit_for(value[:-1])} at its end",
        )
    if ai == "11" and not _is_day(value):
        raise _unusable("This is no production date.", f"(11){value}", "year, month and day, as 261124")


def _is_day(value: str) -> bool:
    """YYMMDD, where day 00 means the month alone."""
    return 1 <= int(value[2:4]) <= 12 and int(value[4:]) <= 31


def _check_together(keys: list[str]) -> None:
    present = set(keys)
    twice = sorted(key for key in present if keys.count(key) > 1)
    if twice:
        raise _unusable("The same identifier stands there twice.", f"({twice[0]})", "each of them once")
    for key in keys:
        known = IDENTIFIERS[key]
        clash = sorted(known.never & present)
        if clash:
            raise _unusable(
                f"({key}) and ({clash[0]}) may not stand on one label.",
                f"({key}) with ({clash[0]})",
                f"{known.meaning} without {IDENTIFIERS[clash[0]].meaning}",
            )
        if known.needs and not any(needed <= present for needed in known.needs):
            wanted = " or ".join(_named(needed) for needed in known.needs)
            raise _unusable(f"({key}), {known.meaning}, may not stand without {wanted}.", f"({key})", wanted)


def _named(keys: frozenset[str]) -> str:
    return " and ".join(f"({key}) {IDENTIFIERS[key].meaning}" for key in sorted(keys))


def _key(text: str, lengths: tuple[int, ...], name: str) -> str:
    if not _DIGITS.fullmatch(text) or len(text) not in lengths:
        told = " or ".join(map(str, lengths))
        raise _unusable(f"This is no {name}.", text, f"{told} digits")
    if not has_right_gs1_digit(text):
        expected = f"check digit {gs1_digit_for(text[:-1])} at its end"
        raise _unusable(f"This {name} does not prove itself.", text, expected)
    return text


def _unusable(
    what: str, value: str, expected: str, next_step: str = "Correct it and try again."
) -> Unreadable:
    return Unreadable(what, value=value, expected=f"Expected {expected}.", next_step=next_step)
