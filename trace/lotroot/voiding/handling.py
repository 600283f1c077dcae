"""How is the last act, or any posting nobody has built upon, taken back (RULES 16-17)?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from lotroot.counting.taking_back import refuse_counted
from lotroot.errors import Refused, Unknown
from lotroot.identity.showing import shown
from lotroot.ledger.book import events_naming, events_of, posting_by_id, recent
from lotroot.ledger.canonical import parse
from lotroot.ledger.events import Posting, Recorded
from lotroot.ledger.tables import posting
from lotroot.production.facts import RemainderCorrected
from lotroot.production.opening import shift_of
from lotroot.production.relinking import relink
from lotroot.production.runs import find_run
from lotroot.voiding.reversing import DERIVED, can_be_taken_back, in_runs, of_births, of_goods
from lotroot.work import MICROSECONDS, Answer, Handler, Work

OF_LABELS = ("PrintAgain", "PrintNow", "SendElsewhere", "SayPrinted", "DropLabel", "RecordPrinted")
PASSED_BY = (*OF_LABELS, "RecordFailed", "ProveLabel", "AddPerson", "Undo", "Void")
"""Postings that build upon nothing, so that they stand in no void's way."""

OF_COUNTS = ("StartCount", "CountGoods", "FinishCount")
"""What was only seen is not built upon either: a count says what stood there, whatever came before."""

OF_BINS = ("WeighBin", "CorrectBin")
"""Postings that name every lot of which scrap lay in a bin; upon goods that only moved they build nothing."""

BUILT_UPON_BIN = ("BinWeighed", "LoadCorrected")
"""Facts in the way of taking back a bin's weighing: another weighing, or that a load was another lot."""

TOOK_OFF = ("InputUnloaded", "InputEnded")
"""Facts after which nothing of a load stands on its run any more."""

PASSED_BY_ALL = (*PASSED_BY, *OF_COUNTS, *OF_BINS)

BORN = {
    "LotBorn": "number",
    "LotGrew": "number",
    "CarrierOpened": "number",
    "RunOpened": "run",
    "ShipmentOpened": "shipment",
}
"""Which field of which fact names what a posting made."""

NOT_BY_UNDO = {
    "PlaceHold": "Ask QA to release what it holds, or to end it, on the page of holds.",
    "ReleaseHold": "Place the hold again, on the page of holds.",
    "EndHold": "Place the hold again, on the page of holds.",
    "ConfirmFigure": "Withdraw it, on the page of tables.",
    "OverrideFigure": "Withdraw it, on the page of tables.",
    "WithdrawFigure": "Confirm or override it again, on the page of tables.",
}
"""What to do about holds and figures: they are for those who may decide them, not taken back in passing."""

DAY = 24 * 3600 * MICROSECONDS


@dataclass(frozen=True)
class Void:
    """Take back a whole posting that nothing later names."""

    posting: int


@dataclass(frozen=True)
class Undo:
    """Take back this person's last act at this station in this shift."""


def void(work: Work, command: Void) -> Answer:
    """Take back one posting."""
    found = posting_by_id(work.connection, command.posting)
    if found is None:
        raise Unknown(
            f"No posting {command.posting} is recorded.",
            value=str(command.posting),
            expected="The number of a posting.",
            next_step="Look it up on the lot's page.",
        )
    return take_back(work, found)


def undo(work: Work, _command: Undo) -> Answer:
    """Take back the last act of the person at the station; a second UNDO first shows what it is."""
    mine = _mine_today(work)
    standing = (one for one in mine if one.command not in ("Undo", "Void"))
    last = next((one for one in standing if not _is_back(work.connection, one)), None)
    if last is None:
        raise Refused(
            "There is nothing of yours to take back here in this shift.",
            word="already",
            expected="Something you recorded at this station.",
            next_step="Older entries are corrected on the lot's page.",
        )
    if mine and mine[0].command in ("Undo", "Void"):
        work.ask(
            f"undo-{last.id}",
            f"Take back as well: “{said(last)}”?",
            {"yes": "Yes, take it back", "no": "No"},
        )
        if work.answers.get(f"undo-{last.id}") == "no":
            raise Refused("Nothing was taken back.", word="already", next_step="Go on.")
    return take_back(work, last)


def said(made: Posting) -> str:
    """What a posting was answered with."""
    return str(parse(made.answer)["say"])


def take_back(work: Work, made: Posting) -> Answer:
    """Record the facts that undo a posting. Raises Refused, naming what stands in the way."""
    facts = events_of(work.connection, made.id)
    _refuse_wrong(work, made, facts)
    work.take_back(made.id)
    for one in reversed(facts):
        for fact in in_runs(one.event, one):
            work.record(fact)
    for run in _runs_of(facts):
        relink(work, run)
    for reverse in (of_goods, of_births):
        for one in reversed(facts):
            for fact in reverse(one.event, one):
                work.record(fact)
    return Answer(f"Taken back: “{said(made)}”", tuple(born_by(facts)))


def born_by(facts: Sequence[Recorded]) -> list[str]:
    """The numbers of what a posting made, growing lots among them."""
    names = [(type(one.event).__name__, one.event) for one in facts]
    return [str(getattr(event, BORN[name])) for name, event in names if name in BORN]


def _refuse_wrong(work: Work, made: Posting, facts: Sequence[Recorded]) -> None:
    if _is_back(work.connection, made) or made.command in ("Undo", "Void"):
        raise Refused(
            f"“{said(made)}” was taken back already.",
            word="already",
            value=str(made.id),
            expected="A posting that stands.",
            next_step="Go on; nothing was recorded again.",
        )
    if all(type(one.event).__name__ in DERIVED for one in facts):
        raise Refused(
            f"“{said(made)}” stays: UNDO does not take it back.",
            value=made.command,
            expected="UNDO is for what moved, made or loaded goods.",
            next_step=NOT_BY_UNDO.get(made.command, "Go on; it changed no goods."),
        )
    fixed = [one for one in facts if not can_be_taken_back(one)]
    if fixed:
        raise Refused(
            f"“{said(made)}” cannot be taken back.",
            value=type(fixed[0].event).__name__,
            expected="Something that only moved, made or loaded goods.",
            next_step=NOT_BY_UNDO.get(made.command, "Correct it on the lot's page instead."),
        )
    refuse_counted(work.connection, facts)
    _refuse_closed(work, facts)
    for number in _built_upon(facts):
        named = events_naming(work.connection, number, facts[-1].id)
        later = [one for one in named if _builds(work, one, facts)]
        if later:
            raise Refused(
                f"{shown(number)} has been used since: “{said(later[0].posting)}”",
                value=number,
                expected="Something nothing was built upon.",
                next_step="Take that back first, or correct the amount or input instead.",
            )


def _refuse_closed(work: Work, facts: Sequence[Recorded]) -> None:
    """Nothing stands on a closed run: what took a load off goes back only after its closing, or with it."""
    kinds = [type(one.event).__name__ for one in facts]
    for one, kind in zip(facts, kinds, strict=True):
        if kind == "InputUnloaded":
            _refuse_put_right(work, one)
        if kind not in TOOK_OFF or "RunClosed" in kinds:
            continue
        run = find_run(work.connection, one.event.run)
        if run.row.closed is not None:
            raise Refused(
                f"Run {shown(run.number)} was closed since.",
                value=run.number,
                expected="A run that is still open.",
                next_step="Take its closing back first; close it again when this is put right.",
            )


def _refuse_put_right(work: Work, unloaded: Recorded) -> None:
    """What was left of a load, and was put right since, is no longer what its unloading moved."""
    which = (unloaded.event.run, unloaded.event.load)
    for one in events_naming(work.connection, unloaded.event.run, unloaded.id):
        if isinstance(one.event, RemainderCorrected) and (one.event.run, one.event.load) == which:
            raise Refused(
                f"What was left of {shown(one.event.lot)} was put right since.",
                value=one.event.lot,
                expected="A load that came off as it was recorded first.",
                next_step=f"Correct what was left of it on the page of run {shown(one.event.run)}.",
            )


def _built_upon(facts: Sequence[Recorded]) -> list[str]:
    """What must not be named later: what the posting made, else the goods it moved."""
    born = [number for number in born_by(facts) if not number.startswith("U")]
    loaded = [one.event.lot for one in facts if type(one.event).__name__ == "InputLoaded"]
    if born or loaded:
        return sorted({*born, *loaded})
    bins = [one.event.bin for one in facts if type(one.event).__name__ == "BinWeighed"]
    runs = [one.event.run for one in facts if type(one.event).__name__ == "Scrapped"] if bins else []
    moved = [move.lot for one in facts for move in getattr(one.event, "moves", ())]
    carriers = [
        one.event.number for one in facts if type(one.event).__name__ in ("CarrierMoved", "CarrierChanged")
    ]
    return sorted({*bins, *runs, *moved, *carriers})


def _builds(work: Work, later: Recorded, facts: Sequence[Recorded]) -> bool:
    kinds = {type(one.event).__name__ for one in facts}
    if "BinWeighed" in kinds and type(later.event).__name__ not in BUILT_UPON_BIN:
        return False
    passed = (*PASSED_BY, *OF_COUNTS) if kinds & {"InputLoaded", "BinWeighed"} else PASSED_BY_ALL
    return later.posting.command not in passed and not _is_back(work.connection, later.posting)


def _is_back(connection: Connection, made: Posting) -> bool:
    # A void comes after what it takes back: no more of the ledger is read than what came since.
    query = select(posting.c.id).where(posting.c.id > made.id, posting.c.voids == made.id)
    return connection.execute(query).first() is not None


def _mine_today(work: Work) -> list[Posting]:
    """This person's postings at this station in this shift, the latest first; the house's own pass by."""
    query = (
        select(recent.c.id)
        .where(recent.c.person == work.posting.person, recent.c.station == work.posting.station)
        .where(recent.c.entered > work.posting.entered - DAY)
        .where(recent.c.command.not_in([one for one in PASSED_BY if one not in ("Undo", "Void")]))
        .order_by(recent.c.id.desc())
    )
    shift = shift_of(work.plant, work.posting.entered)
    found = [posting_by_id(work.connection, row.id) for row in work.connection.execute(query).all()]
    return [one for one in found if one is not None and shift_of(work.plant, one.entered) == shift]


def _runs_of(facts: Sequence[Recorded]) -> Iterable[str]:
    runs: dict[str, Any] = {}
    for one in facts:
        run = getattr(one.event, "run", "")
        if run and any(True for _ in in_runs(one.event, one)):
            runs[run] = True
    return runs


HANDLERS: dict[type, Handler] = {Void: Handler(void), Undo: Handler(undo)}
