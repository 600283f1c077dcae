"""How are item labels printed in blocks before packing, used, spoiled and given back?

A block reserves serials on the run's growing lot. Packing scans the first and the last label used and
names the spoiled ones between; what is left over is returned, at the latest when the run is closed.
"""

from dataclasses import dataclass

from lotroot.errors import Refused, Unreadable
from lotroot.genealogy.events import LotGrew
from lotroot.identity.showing import shown
from lotroot.production.amounts import MOST_ITEMS, Amounts
from lotroot.production.block_facts import BlockPrinted, LabelsReturned
from lotroot.production.making import (
    Made,
    Making,
    bear,
    born_held,
    growing_lot,
    making,
)
from lotroot.production.opening import run_meant
from lotroot.production.runs import Run
from lotroot.production.serials import (
    block_account,
    block_of,
    blocks_of_run,
    in_words,
    last_given,
    row_of_labels,
    spans,
)
from lotroot.work import Answer, LabelRequest, Work

MANY = 200
"""More labels than this at once are asked about: a slip of the finger, by our own judgement."""


@dataclass(frozen=True)
class PrintBlock:
    """Print `count` labels of items that are still to be made in the open run."""

    count: int
    output: str = ""
    product: str = ""
    run: str = ""


@dataclass(frozen=True)
class ReturnLabels:
    """Labels `first` to `last` of a block (item numbers) are left over: they are destroyed."""

    first: str
    last: str = ""


def print_block(work: Work, command: PrintBlock) -> Answer:
    """Reserve serials and print their labels."""
    run = run_meant(work, command.run)
    what = making(work, run, command.output, command.product)
    _check_block(work, what, command.count)
    lot, first, last = _reserve(work, run, what, command.count)
    work.record(BlockPrinted(run.number, lot, what.output.code, first, last))
    work.label(LabelRequest(lot, first, last))
    return Answer(f"{shown(lot)}: labels {first} to {last}, {what.product.name}.", (lot, run.number))


def _check_block(work: Work, what: Making, count: int) -> None:
    if what.output.as_ != "item":
        raise Refused(
            f"{what.output.name} is labelled when it is made.",
            value=what.output.code,
            expected="An output that is told by items: boxes, rolls, bundles.",
            next_step="Make it, and its label is printed.",
        )
    if not 1 <= count <= MOST_ITEMS:
        raise Unreadable(
            "That is not a number of labels.",
            value=str(count),
            expected=f"1 to {MOST_ITEMS:,}.",
            next_step="Enter how many are needed.",
        )
    if count > MANY:
        work.ask(f"labels-{count}", f"Print {count} labels at once?", {"yes": f"Yes, print {count}"})


def _reserve(work: Work, run: Run, what: Making, count: int) -> tuple[str, int, int]:
    """Serials on the run's growing lot, or on a new one that is still empty."""
    growing = growing_lot(work, run, what)
    given = last_given(work.connection, growing) if growing is not None else 0
    if growing is not None and given + count <= MOST_ITEMS:
        first, last = given + 1, given + count
        work.record(LotGrew(growing.number, 0, None, first, last))
        return str(growing.number), first, last
    basis = "weighed" if "weight" in what.output.asks else "counted"
    lot = bear(work, run, what, Amounts(0, 0, 0 if what.kind.mass else None, count, basis))
    born_held(work, Made(what.output, lot, 1, count, 0, born=True))
    return lot, 1, count


def return_labels(work: Work, command: ReturnLabels) -> Answer:
    """Record labels left over; used and spoiled ones among them stay what they are."""
    number, serials = row_of_labels(command.first, command.last)
    left = block_account(work.connection, number).open & frozenset(serials)
    if not left:
        raise Refused(
            f"{shown(number)}: none of the labels {in_words(serials)} is left over.",
            word="already",
            value=in_words(serials),
            expected="Labels of a block, not used yet.",
            next_step="Go on; nothing was recorded again.",
        )
    run = block_of(work.connection, number, range(min(left), max(left) + 1)).run
    _give_back(work, run, number, left)
    return Answer(f"{shown(number)}: destroy the labels {in_words(left)}.", (number, run))


def _give_back(work: Work, run: str, lot: str, left: frozenset[int]) -> None:
    for first, last in spans(left):
        work.record(LabelsReturned(run, lot, first, last))


def return_unused(work: Work, run: str) -> str:
    """Return whatever labels of a run's blocks are in nobody's account; what to say, empty for none."""
    said = []
    for lot in sorted({block.lot for block in blocks_of_run(work.connection, run)}):
        left = block_account(work.connection, lot).open
        if left:
            _give_back(work, run, lot, left)
            said.append(f" Destroy the labels {in_words(left)} of {shown(lot)}.")
    return "".join(said)
