"""How does a pad of emergency labels get onto paper: the labels themselves, and the form that goes with them?

The labels are cut or peeled and stuck on goods while nothing can be printed; the form is written on then, in
the order of the labels, and scanned row by row when the program is back.
"""

from collections.abc import Callable
from dataclasses import dataclass

from lotroot_printing.errors import PrintingError
from lotroot_printing.forms import Cell, Form, Row
from lotroot_printing.render import RenderedSheet, render_form, render_sheet
from lotroot_printing.sheets import Card, Section, Sheet

from lotroot.errors import Unreadable
from lotroot.identity.showing import shown
from lotroot.papers.sheets import Paper

HOW_MUCH = "How much"

MADE = (
    Cell("Day and time", "28 02:30", 30),
    Cell("Made from", "numbers of what was loaded; same: a dash", 80),
    Cell("Pan, payoff", "if any", 30),
    Cell(HOW_MUCH, "", 34),
    Cell("Scrap, why", "", 30),
    Cell("Initials", "", 22),
)
RECEIVED = (
    Cell("Day and time", "28 02:30", 30),
    Cell("Supplier and the number on their tag", "heat, size", 96),
    Cell(HOW_MUCH, "", 34),
    Cell("Remark", "damage, place", 44),
    Cell("Initials", "", 22),
)


@dataclass(frozen=True)
class Pad:
    """The labels of one pad: their numbers in order, what they go on, the station, and what is asked there.

    `asked` names what is written under *How much*: kg net, pieces. `received`: the goods come from outside.
    """

    numbers: tuple[str, ...]
    what: str
    station: str
    asked: str
    given: str
    received: bool = False


def pad_labels(pad: Pad, *, demo: bool = False) -> Paper:
    """Cards to cut or to peel, one a number; cut apart, each still says what it is."""
    what = f"{pad.what}, {pad.station}"
    mark = "EMERGENCY LABEL, DEMO" if demo else "EMERGENCY LABEL"
    cards = tuple(Card(number, shown(number), what, mark) for number in pad.numbers)
    note = "Stick one on the goods, in order, and fill in its row of the form. Each is used once."
    title = f"Emergency labels: {pad.station}"
    sheet = Sheet(title, (Section("", cards),), note, demo="DEMO" if demo else "")
    return _paper(lambda: render_sheet(sheet))


def pad_form(pad: Pad, *, demo: bool = False) -> Paper:
    """The form: one row a number, in the order of the labels."""
    return _paper(lambda: render_form(_form(pad, demo)))


def _paper(rendered: Callable[[], RenderedSheet]) -> Paper:
    try:
        made = rendered()
    except PrintingError as error:
        raise Unreadable(
            error.what, value=error.value, expected=error.expected, next_step=error.next_step
        ) from error
    return Paper(made.pdf, made.pages, tuple(dict.fromkeys(symbol.text for symbol in made.symbols)))


def _form(pad: Pad, demo: bool) -> Form:
    cells = [
        one._replace(hint=pad.asked) if one.heading == HOW_MUCH else one
        for one in (RECEIVED if pad.received else MADE)
    ]
    done, then = ("comes in", "choose what it is") if pad.received else ("is made", "scan what went in")
    lines = (
        f"No network or no printer: stick the next label on what {done} and fill in its row at once, in pen.",
        "Write the time by the wall clock. Weigh or count as always. A label spoiled: cross out its row.",
        f"Later, on the page Catch up: scan the label of a row, type its time, {then}, type how much.",
        "Tick the row when the page says OK. Keep this sheet with the papers of the day.",
    )
    foot = f"Given {pad.given}. Labels {shown(pad.numbers[0])} to {shown(pad.numbers[-1])}."
    rows = tuple(Row(number, shown(number)) for number in pad.numbers)
    title = f"Emergency form: {pad.station}, {pad.what}"
    return Form(title, lines, tuple(cells), rows, foot, "DEMO" if demo else "")
