"""How is a scanner set, by what arrived of a test code: keyboard, Caps Lock, suffix, prefix, losses, speed?

Pure: what arrived goes in, findings in plain words come out. The test codes hold the characters that differ
between keyboards. Whether the program would read such a scan all the same is asked of its own reader, with a
number of ours sent through the same faults.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from lotroot.errors import Unreadable
from lotroot.identity.keyboards import CAPS_LOCK, Way
from lotroot.identity.numbers import make
from lotroot.identity.reading import read
from lotroot.identity.scanner_codes import BODY, Match, match

ENTER, TAB, NONE = "enter", "tab", "none"
SUFFIXES = (ENTER, TAB, NONE)
SLOWEST = 15
"""Characters a second: slower looks typed, since hardly anybody types so fast (our own choice)."""
BURST = 20
"""Characters a second from which the scan field takes a scanner's Tab for Enter (static/field.js)."""
_SAMPLE = str(make("R", 2026, 123))
_IDENTIFIER = "]C0"


@dataclass(frozen=True)
class Arrived:
    """One scan as the page took it: its text, the key after it, and milliseconds from first to last key."""

    text: str
    suffix: str = ENTER
    milliseconds: int = 0


@dataclass(frozen=True)
class Finding:
    """One thing that was found: a word for it, whether it is as it should be, what was seen, what to set."""

    kind: str
    well: bool
    seen: str
    to_set: str = ""


@dataclass(frozen=True)
class Checked:
    """What came of one scan: the test code (empty: none), the findings, whether it would be read anyway."""

    code: str
    findings: tuple[Finding, ...]
    reads: bool = False

    @property
    def well(self) -> bool:
        """Whether nothing needs to be set."""
        return bool(self.code) and all(one.well for one in self.findings)


def check(arrived: Arrived) -> Checked:
    """What one scan of the test sheet says of the scanner."""
    found = match(arrived.text)
    if found is None:
        return Checked("", (_no_code(arrived),))
    findings = (
        *_keyboard(found),
        *_lock(found),
        *_added(found),
        *_edits(found),
        _suffix(arrived),
        *_speed(arrived),
    )
    return Checked(found.code, findings, _reads(found, arrived))


def per_second(arrived: Arrived) -> int:
    """Characters a second, 0 where no time was taken."""
    return (len(arrived.text) - 1) * 1000 // arrived.milliseconds if arrived.milliseconds > 0 else 0


def _keyboard(found: Match) -> Iterator[Finding]:
    way = found.way
    if way.reader == way.computer:
        yield Finding("keyboard", True, "The keyboard of the scanner is that of the computer.")
        return
    meant, came = _example(way)
    seen = f"The scanner types as on a {way.reader} keyboard, this computer expects a {way.computer} one: "
    yield Finding(
        "keyboard",
        False,
        f"{seen}{meant} came out as {came}.",
        f"Set the scanner's country or keyboard to {way.computer}, the same as the computer.",
    )


def _example(way: Way) -> tuple[str, str]:
    """Some characters that change, and what they become."""
    changed = [(one, made) for one in BODY if (made := Way(way.reader, way.computer).arrives(one)) != one]
    few = changed[:4]
    return " ".join(one for one, _ in few), " ".join(made for _, made in few)


def _lock(found: Match) -> Iterator[Finding]:
    if not found.way.lock:
        yield Finding("caps", True, "Caps Lock is off.")
        return
    what = (
        "capital and small letters are exchanged" if found.way.lock == CAPS_LOCK else "every key is shifted"
    )
    yield Finding(
        "caps",
        False,
        f"Caps Lock is on: {what}.",
        "Press Caps Lock on the computer's keyboard, or set the scanner's Caps Lock to off.",
    )


def _added(found: Match) -> Iterator[Finding]:
    if found.before == found.way.arrives(_IDENTIFIER) or _is_identifier(found):
        yield Finding(
            "prefix",
            False,
            f"The scanner sends the kind of code first: {found.before}.",
            "Switch off the symbology identifier (AIM ID) in the scanner.",
        )
    elif found.before:
        yield Finding(
            "prefix",
            False,
            f"The scanner sends {found.before} before each code.",
            "Clear the scanner's prefix.",
        )
    if found.behind:
        yield Finding(
            "behind",
            False,
            f"The scanner sends {found.behind} after each code.",
            "Clear the scanner's suffix, then set it to Enter alone.",
        )


def _is_identifier(found: Match) -> bool:
    """`]`, a letter and a digit or letter, however they arrive (ISO/IEC 15424 has ]C0 and ]Q1)."""
    kinds = [f"]{letter}{digit}" for letter in "CQdez" for digit in "0123456789"]
    return found.before in {found.way.arrives(kind) for kind in kinds}


def _edits(found: Match) -> Iterator[Finding]:
    lost = [wanted for wanted, seen in reversed(found.edits) if not seen]
    doubled = [wanted for wanted, seen in reversed(found.edits) if wanted and seen == wanted * 2]
    other = [edit for edit in found.edits if edit[1] and edit[1] != edit[0] * 2]
    slower = "Set a delay between characters (5 to 10 ms), or use another cable or port."
    if lost:
        yield Finding("lost", False, f"Characters were lost: {' '.join(lost)}.", slower)
    if doubled:
        yield Finding("doubled", False, f"Characters came twice: {' '.join(doubled)}.", slower)
    if other:
        seen = " ".join(f"{wanted or 'nothing'} as {came}" for wanted, came in reversed(other))
        yield Finding(
            "changed",
            False,
            f"Characters were changed: {seen}.",
            "Set the scanner's country or keyboard to that of the computer; if it is, try another cable.",
        )


def _suffix(arrived: Arrived) -> Finding:
    if arrived.suffix == ENTER:
        return Finding("suffix", True, "Enter follows each code.")
    if arrived.suffix == TAB:
        return Finding("suffix", False, "Tab follows each code.", "Set the scanner's suffix to Enter.")
    return Finding("suffix", False, "Nothing follows the code.", "Set the scanner's suffix to Enter.")


def _speed(arrived: Arrived) -> Iterator[Finding]:
    speed = per_second(arrived)
    if not speed:
        return
    if speed < SLOWEST:
        yield Finding(
            "speed",
            False,
            f"{speed} characters a second: that looks typed by hand.",
            "If it was scanned: set the delay between characters to 0.",
        )
    else:
        yield Finding("speed", True, f"{speed} characters a second.")


def _reads(found: Match, arrived: Arrived) -> bool:
    """Whether a number of ours is read through the same faults, and its end is seen."""
    speed = per_second(arrived)
    ended = arrived.suffix == ENTER or (arrived.suffix == TAB and (not speed or speed >= BURST))
    if found.edits or not ended:
        return False
    try:
        value = read(found.before + found.way.arrives(_SAMPLE) + found.behind).value
    except Unreadable:
        return False
    return str(value) == _SAMPLE


def _no_code(arrived: Arrived) -> Finding:
    if not arrived.text.strip():
        return Finding("nothing", False, "Nothing arrived.", "Scan the first code of the sheet.")
    return Finding(
        "unknown",
        False,
        f"This is no code of the test sheet: {arrived.text.strip()[:40]}",
        "Scan a code of the sheet. If it was one, the scanner changes more than can be told: reset it first.",
    )
