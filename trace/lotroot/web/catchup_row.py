"""Which row of an emergency form is being entered, how far is it, and may its label be used?"""

from typing import Any, NamedTuple

from lotroot.errors import Refused
from lotroot.genealogy.lots import lot_or_none
from lotroot.identity import Number, number_from
from lotroot.identity.showing import shown
from lotroot.pads.listing import letters_at
from lotroot.posting.door import answer_from
from lotroot.posting.recent import recent
from lotroot.processes.definition import Station
from lotroot.reserved import DESTROYED, range_of, spent_label, stands_for
from lotroot.web.emergency_words import keeper_words
from lotroot.web.frame import local, when
from lotroot.web.scene import Context, Say, Scene
from lotroot.web.station_bins import bin_of
from lotroot.web.wording import spot_name

PARTS = ("OpenRun", "LoadInput", "ScrapInput", "ChangeTool", "MarkRun")
"""What a row records before its amount; UNDO takes it back."""
UNDONE_BY_CORRECTING = ("MakeOutput", "ReceiveLot")


class Begun(NamedTuple):
    """What is known of the row: its label, its time (us UTC), and what was scanned for its amount.

    `last` is the time of the row before. Empty and 0 for what is not known yet. A `bin` that was weighed has
    no label of a row; `scrap` is then why it is scrap.
    """

    number: str = ""
    at: int = 0
    carrier: str = ""
    payoff: str = ""
    of: str = ""
    scrap: str = ""
    bin: str = ""
    last: int = 0

    @property
    def context(self) -> Context:
        """What the page keeps of it."""
        return {name: value for name, value in self._asdict().items() if value}

    @property
    def bare(self) -> bool:
        """Whether nothing was scanned after label and time."""
        return not (self.carrier or self.payoff or self.of or self.scrap)

    @property
    def begun(self) -> bool:
        """Whether there is anything in hand: a row, or a bin."""
        return bool(self.number or self.bin)

    def called(self, scene: Scene) -> str:
        """What is in hand, by its number or name."""
        return spot_name(scene.connection, scene.plant, self.bin) if self.bin else shown(self.number)

    def plain(self) -> "Begun":
        """Label and time alone."""
        return Begun(self.number, self.at, last=self.last)

    def after(self) -> Context:
        """What is kept for the next row: the time of this one."""
        return Begun(last=self.at or self.last).context

    def timed(self) -> "Begun":
        """Itself, with label and time. Raises Refused."""
        if not self.number:
            raise Refused(
                "No row is begun.",
                expected="The label of a row.",
                next_step="Scan the bars at the head of the row first.",
            )
        if not self.at:
            raise Refused(
                f"When was {shown(self.number)} made?",
                expected="Its time as written: 0230, or with the day 28 0230.",
                next_step="Type the time, then scan this again.",
            )
        return self

    def takes(self, scene: Scene, number: str) -> bool:
        """Whether a lot's number is that of goods for this row: it has its time, they are known.

        What was made here under a label of this station's own pad is another row, and does not go in here.
        """
        if not self.at or number == self.number:
            return False
        pad = range_of(scene.connection, number_from(number))
        if pad is not None and pad.station == scene.station:
            return False
        return lot_or_none(scene.connection, number) is not None or on_goods(scene, number) != number


def day_and_time(scene: Scene, at: int) -> str:
    """A time with its day, today's too: a wrong day is then seen."""
    return f"{local(scene.plant, at):%a %-d %b, %H:%M}"


def begun(scene: Scene) -> Begun:
    """The row as the page keeps it; what could not come from the page counts as not told."""
    kept: dict[str, Any] = {}
    for name, usual in Begun._field_defaults.items():
        value = scene.context.get(name, usual)
        fits = type(value) is type(usual) and (isinstance(value, str) or 0 <= value <= scene.now)
        kept[name] = value if fits else usual
    row = Begun(**kept)
    row = row if row.scrap in scene.plant.reasons else row._replace(scrap="")
    return row if row.scrap and bin_of(scene, row.bin) else row._replace(bin="")


def on_goods(scene: Scene, number: str) -> str:
    """The goods that an emergency label is on; any other number as it is."""
    return stands_for(scene.connection, number)


def begin(scene: Scene, row: Begun, value: Number) -> Say:
    """Begin the row of a label. Raises Refused where it was entered, or is not of this station's pad."""
    number = str(value)
    if number == row.number:
        raise Refused(f"{value.shown} is the row in hand.", word="already", next_step=_then(row))
    _refuse_entered(scene, value)
    _refuse_spent(scene, value)
    _refuse_foreign(scene, value)
    left = f" {row.called(scene)} is left for later." if row.begun else ""
    fresh = Begun(number, last=row.at or row.last)
    return Say(f"{value.shown}.{left}", word="Then", detail=_then(fresh), context=fresh.context)


def _then(row: Begun) -> str:
    if row.at:
        return "Scan what went in, or type how much came out."
    return "Type its time as written: 0230, or 28 0230."


def _refuse_entered(scene: Scene, value: Number) -> None:
    lot = lot_or_none(scene.connection, str(value))
    if lot is None:
        return
    if range_of(scene.connection, value) is None:
        raise Refused(
            f"{value.shown} is no emergency label: goods got it {when(scene.plant, lot.born_at)}.",
            value=str(value),
            expected="The label of a row.",
            next_step="Scan the bars at the head of a row of the form.",
        )
    if lot.voided:
        raise Refused(
            f"{value.shown} was entered and taken back: it is never used again.",
            value=str(value),
            expected="A row that is still to be entered.",
            next_step="Put a new label on the goods and enter it in place of this one.",
        )
    raise Refused(
        f"{value.shown} is entered: {scene.amount(lot.amount, lot.unit)}, {when(scene.plant, lot.born_at)}.",
        word="already",
        value=str(value),
        expected="A row that is still to be entered.",
        next_step="Scan the next row. If this one is wrong, put it right on its own page.",
    )


def _refuse_spent(scene: Scene, value: Number) -> None:
    spent = spent_label(scene.connection, str(value))
    if spent is None:
        return
    at = when(scene.plant, spent.at)
    if spent.state == DESTROYED:
        raise Refused(
            f"{value.shown} was recorded as destroyed, {at}: {spent.reason}.",
            value=str(value),
            expected="A row whose label was used.",
            next_step="If the label is on goods all the same, call the supervisor.",
        )
    raise Refused(
        f"{value.shown} is on {shown(spent.goods)} since {at}.",
        word="already",
        value=str(value),
        expected="A row that is still to be entered.",
        next_step="Scan the next row.",
    )


def _refuse_foreign(scene: Scene, value: Number) -> None:
    pad = range_of(scene.connection, value)
    if pad is None:
        raise Refused(
            f"{value.shown} was never set aside.",
            value=str(value),
            expected="A label of a pad made here.",
            next_step="Record these goods at their station: they get a new number and a new label.",
        )
    at = _station(scene)
    if pad.station and pad.station != scene.station:
        raise Refused(
            f"{value.shown} is from another pad, {keeper_words(scene.connection, pad.station)}.",
            value=str(value),
            expected=f"A label from the pad of {at.name}.",
            next_step="Scan that station's own label to enter its form here, then this label again.",
        )
    letters = letters_at(scene.plant, at)
    if value.letter not in letters:
        raise Refused(
            f"{at.name} makes nothing with the letter {value.letter}.",
            value=str(value),
            expected=f"A number beginning with {' or '.join(letters) or 'no letter'}.",
            next_step="Scan the label of the station that made it, then this one again.",
        )


def _station(scene: Scene) -> Station:
    if scene.at is None:
        raise Refused("This terminal stands at no station.", next_step="Scan the station's own label.")
    return scene.at


def was_of_row(scene: Scene, row: Begun) -> bool:
    """Whether the last thing recorded here is a part of the row in hand: a load, a tool, scrap, its run."""
    made = next(iter(recent(scene.connection, scene.station)), None)
    mine = made is not None and made.person == scene.person and made.happened == row.at
    return mine and made is not None and made.command in PARTS


def refuse_undo(scene: Scene) -> None:
    """What was entered under a label is put right, not taken back: its goods carry that number for good."""
    made = next(iter(recent(scene.connection, scene.station)), None)
    if made is None or made.command not in UNDONE_BY_CORRECTING or made.person != scene.person:
        return
    number = next(iter(answer_from(made).numbers), "")
    if number and range_of(scene.connection, number_from(number)) is not None:
        raise Refused(
            f"{shown(number)} is on the goods: taken back, its label could never be used again.",
            value=number,
            expected="What was entered wrongly, put right.",
            next_step="Open its page and put it right there: amount, input, time or product.",
        )
