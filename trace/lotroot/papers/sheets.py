"""How do codes that are scanned from paper get onto A4: commands, badges, places, labels to practise on?

Every function is pure: the same entries give the same bytes. No sheet leaves before each of its codes was
read back from the finished page.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lotroot_printing.errors import PrintingError
from lotroot_printing.render import render_sheet
from lotroot_printing.sheets import Card, Section, Sheet

from lotroot.errors import Unreadable
from lotroot.identity import Command
from lotroot.identity.commands import ANSWERS
from lotroot.identity.showing import shown

_DEMO = "DEMO"


@dataclass(frozen=True)
class Entry:
    """One code on a sheet: what a scanner sends, what it is called, and a note below that."""

    code: str
    caption: str
    note: str = ""


@dataclass(frozen=True)
class Group:
    """Entries under one heading."""

    heading: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class Paper:
    """A sheet: one PDF, its pages as PNG, and the codes as read back, in page order."""

    pdf: bytes
    pages: tuple[bytes, ...]
    codes: tuple[str, ...]


def command_sheet(*, demo: bool = False) -> Paper:
    """The commands a person can scan, most used first; to be laminated and hung at each station."""
    answers = (Command.YES, Command.NO, *ANSWERS, Command.LEAVE_IT)
    groups = (
        Group("", tuple(_entry(one) for one in Command if one not in answers)),
        Group("Answers to a question", tuple(_entry(one) for one in answers)),
    )
    note = "Scan a command instead of pressing its button. The words can be typed as well."
    return _sheet("Commands to scan", groups, note, demo)


def _entry(command: Command) -> Entry:
    return Entry(command.code, command.word, command.meaning)


def badge_sheet(badges: Iterable[tuple[str, str, str]], *, demo: bool = False) -> Paper:
    """Badges to cut out: (badge text, name, roles) of each person. Whoever holds one can sign in."""
    entries = tuple(Entry(code, name, roles) for code, name, roles in badges)
    note = "Scan a badge to say who works here. Keep this sheet locked away: a badge is a key."
    return _sheet("Badges", (Group("", entries),), note, demo)


def place_sheet(groups: Sequence[Group], *, demo: bool = False) -> Paper:
    """Stations, payoffs, places, carriers and the like, to cut out and put up where they are."""
    note = "Cut out and fix where it belongs. A place is scanned before what is put there."
    return _sheet("Places and things", groups, note, demo)


def scan_sheet(labels: Iterable[tuple[str, str]], *, title: str = "", demo: bool = False) -> Paper:
    """Labels to scan from paper: (number, caption) of each, in the order given."""
    entries = tuple(Entry(number, caption) for number, caption in labels)
    note = "Scan these codes as if they were on the goods, or type the number below the bars."
    return _sheet(title or "Labels to scan", (Group("", entries),), note, demo)


def groups_sheet(title: str, note: str, groups: Sequence[Group], *, demo: bool = False) -> Paper:
    """Any codes under headings on one sheet: the errands of the demo."""
    return _sheet(title, groups, note, demo)


def _sheet(title: str, groups: Sequence[Group], note: str, demo: bool) -> Paper:
    sections = tuple(Section(group.heading, tuple(map(_card, group.entries))) for group in groups)
    try:
        made = render_sheet(Sheet(title, sections, note, demo=_DEMO if demo else ""))
    except PrintingError as error:
        raise Unreadable(
            error.what, value=error.value, expected=error.expected, next_step=error.next_step
        ) from error
    return Paper(made.pdf, made.pages, tuple(dict.fromkeys(symbol.text for symbol in made.symbols)))


def _card(entry: Entry) -> Card:
    """Numbers are shown in groups; what is no number of ours stands as it is scanned."""
    try:
        words = shown(entry.code)
    except Unreadable:
        words = entry.code  # a badge
    return Card(entry.code, entry.caption, entry.note, words)
