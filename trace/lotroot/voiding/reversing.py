"""Which facts take back a fact?

History is never edited: a void records new facts that undo the old ones. First what happened in runs is
taken back, then links and amounts of those runs are worked out anew, then goods go back to where they
stood, then what was born is void.
"""

from collections.abc import Iterable
from functools import singledispatch
from typing import Any

from lotroot import reserved
from lotroot.counting import facts as counting
from lotroot.dies import facts as dies
from lotroot.dispatch import facts as dispatch
from lotroot.genealogy import events as genealogy
from lotroot.ledger.events import Recorded
from lotroot.moving.units import SSCC
from lotroot.production import bin_facts as bins
from lotroot.production import block_facts
from lotroot.production import facts as production
from lotroot.quality import facts as quality
from lotroot.questions import TAKEN_BACK, Questioned, QuestionReopened, QuestionSettled
from lotroot.stock import events as stock


@singledispatch
def in_runs(_event: Any, _recorded: Recorded) -> Iterable[Any]:
    """The facts that take back what happened in a run."""
    return ()


@in_runs.register
def _(event: production.OutputMade, _recorded: Recorded) -> Iterable[Any]:
    yield production.OutputTakenBack(event.run, event.seq)


@in_runs.register
def _(event: production.ContentJoined, _recorded: Recorded) -> Iterable[Any]:
    yield production.JoinTakenBack(event.run, event.child, event.parent)


@in_runs.register
def _(event: production.InputLoaded, _recorded: Recorded) -> Iterable[Any]:
    yield production.LoadTakenBack(event.run, event.load)


@in_runs.register
def _(event: production.InputEnded, _recorded: Recorded) -> Iterable[Any]:
    yield production.EndCorrected(event.run, event.load, 0)


@in_runs.register
def _(event: production.InputUnloaded, _recorded: Recorded) -> Iterable[Any]:
    yield production.UnloadTakenBack(event.run, event.load)


@in_runs.register
def _(event: production.Scrapped, recorded: Recorded) -> Iterable[Any]:
    yield production.ScrapTakenBack(event.run, recorded.id)


@in_runs.register
def _(event: bins.BinWeighed, recorded: Recorded) -> Iterable[Any]:
    yield bins.BinWeighingTakenBack(event.bin, recorded.id)


@in_runs.register
def _(event: production.RunMarked, recorded: Recorded) -> Iterable[Any]:
    yield production.MarkTakenBack(event.run, recorded.id)


@in_runs.register
def _(event: production.ResourceUsed, _recorded: Recorded) -> Iterable[Any]:
    yield production.ResourceCorrected(event.run, event.thing, "")


@in_runs.register
def _(event: production.RunClosed, _recorded: Recorded) -> Iterable[Any]:
    yield production.RunReopened(event.run)


@in_runs.register
def _(event: block_facts.BlockPrinted, recorded: Recorded) -> Iterable[Any]:
    yield block_facts.BlockTakenBack(event.run, event.lot, recorded.id)


@in_runs.register
def _(event: block_facts.ItemsSpoiled, recorded: Recorded) -> Iterable[Any]:
    yield block_facts.BlockTakenBack(event.run, event.lot, recorded.id)


@in_runs.register
def _(event: block_facts.LabelsReturned, recorded: Recorded) -> Iterable[Any]:
    yield block_facts.BlockTakenBack(event.run, event.lot, recorded.id)


@singledispatch
def of_goods(_event: Any, _recorded: Recorded) -> Iterable[Any]:
    """The facts that bring goods and carriers back to where they stood."""
    return ()


@of_goods.register
def _(event: stock.Moved, _recorded: Recorded) -> Iterable[Any]:
    yield stock.Moved(
        tuple(
            stock.Move(
                one.lot, one.target, one.source, one.amount, one.first, one.last, one.run, "taken back"
            )
            for one in reversed(event.moves)
        )
    )


@of_goods.register
def _(event: stock.CarrierMoved, _recorded: Recorded) -> Iterable[Any]:
    yield stock.CarrierMoved(event.number, event.was, event.spot)


@of_goods.register
def _(event: stock.CarrierChanged, _recorded: Recorded) -> Iterable[Any]:
    yield stock.CarrierChanged(event.number, event.was, event.state)


@of_goods.register
def _(event: stock.CarrierTared, recorded: Recorded) -> Iterable[Any]:
    yield stock.TareTakenBack(event.number, recorded.id)


@of_goods.register
def _(event: dispatch.ShipmentLoaded, _recorded: Recorded) -> Iterable[Any]:
    carriers = sorted({line.carrier for line in event.lines if line.carrier})
    for carrier in carriers:
        yield dispatch.ShipmentUnloaded(event.shipment, carrier)
    for line in event.lines:
        if not line.carrier:
            yield dispatch.ShipmentUnloaded(event.shipment, "", line.lot, line.first, line.last)


@of_goods.register
def _(event: dispatch.ShipmentLeft, _recorded: Recorded) -> Iterable[Any]:
    yield dispatch.ShipmentReopened(event.shipment)


@singledispatch
def of_births(_event: Any, _recorded: Recorded) -> Iterable[Any]:
    """The facts that make void what was born; numbers stay given."""
    return ()


@of_births.register
def _(event: genealogy.LotBorn, _recorded: Recorded) -> Iterable[Any]:
    yield genealogy.LotVoided(event.number)


@of_births.register
def _(event: genealogy.LotGrew, _recorded: Recorded) -> Iterable[Any]:
    items = event.first - 1 if event.first else 0
    serials = (event.packed_first or event.first, event.packed_last or event.last)
    yield genealogy.LotShrunk(event.number, event.amount, event.mass, items, *serials)


@of_births.register
def _(event: genealogy.LinksWritten, _recorded: Recorded) -> Iterable[Any]:
    if not event.run:  # links of a run are worked out anew instead
        yield genealogy.LinksWritten(event.child, "", ())


@of_births.register
def _(event: quality.Checked, recorded: Recorded) -> Iterable[Any]:
    yield quality.CheckTakenBack(event.number, recorded.id)


@of_births.register
def _(event: genealogy.AliasGiven, _recorded: Recorded) -> Iterable[Any]:
    if event.scheme != SSCC:  # it is on a label, and no other pallet's for good
        yield genealogy.AliasTaken(event.scheme, event.value, event.number)


@of_births.register
def _(event: reserved.PadLabelAnswered, _recorded: Recorded) -> Iterable[Any]:
    yield reserved.PadLabelFreed(event.pad)


@of_births.register
def _(event: reserved.PadLabelDestroyed, _recorded: Recorded) -> Iterable[Any]:
    yield reserved.PadLabelFreed(event.pad)


@of_births.register
def _(event: stock.CarrierOpened, _recorded: Recorded) -> Iterable[Any]:
    yield stock.CarrierChanged(event.number, "void", "open")


@of_births.register
def _(event: dies.DieRecut, recorded: Recorded) -> Iterable[Any]:
    yield dies.DieRecutTakenBack(event.thing, recorded.id)


@of_births.register
def _(event: production.RunOpened, _recorded: Recorded) -> Iterable[Any]:
    yield production.RunVoided(event.run)


@of_births.register
def _(event: dispatch.ShipmentOpened, _recorded: Recorded) -> Iterable[Any]:
    yield dispatch.ShipmentCancelled(event.shipment)


@of_births.register
def _(event: Questioned, recorded: Recorded) -> Iterable[Any]:
    yield QuestionSettled(recorded.id, event.subject, TAKEN_BACK)


@of_births.register
def _(event: QuestionSettled, _recorded: Recorded) -> Iterable[Any]:
    yield QuestionReopened(event.question, event.subject)


@of_births.register
def _(event: counting.CountOpened, recorded: Recorded) -> Iterable[Any]:
    yield counting.CountTakenBack(recorded.id, event.place)


@of_births.register
def _(event: counting.GoodsCounted, recorded: Recorded) -> Iterable[Any]:
    yield counting.SightingTakenBack(event.count, event.place, event.number, recorded.id)


@of_births.register
def _(event: counting.CountFinished, _recorded: Recorded) -> Iterable[Any]:
    yield counting.CountReopened(event.count, event.place)


@of_births.register
def _(event: counting.DifferenceSettled, _recorded: Recorded) -> Iterable[Any]:
    which = (event.count, event.seq, event.place, event.lot, event.first, event.last, event.carrier)
    yield counting.SettlementTakenBack(*which, choice=event.was)


DERIVED = (
    "LinksWritten",
    "RanksRaised",
    "LoadsBooked",
    "RunBalanced",
    "LotReceived",
    "DeliveryReceived",
    "ItemsWeighed",
    "CutListMade",
    "HoldPlaced",
    "HoldRootAdded",
    "LabelAsked",
    "LabelDropped",
    "CustomerLabelAsked",
    "RunBalanced",
    "QuestionSettled",
)
"""Facts that follow others, or lead nowhere once what they tell of is void."""

TAKEN_BACK_BY = (in_runs, of_goods, of_births)


def can_be_taken_back(recorded: Recorded) -> bool:
    """Whether a fact is one that a void can undo."""
    if type(recorded.event).__name__ in DERIVED:
        return True
    base = [function.dispatch(object) for function in TAKEN_BACK_BY]
    kinds = [function.dispatch(type(recorded.event)) for function in TAKEN_BACK_BY]
    return any(kind is not plain for kind, plain in zip(kinds, base, strict=True))
