"""Is what is made of two paint batches, whose colours may differ?

Asked where the process says so (`one_paint_batch`), and never refused: the sheets are cut. Known batches
only; a coil whose tag named none asks nothing.
"""

from lotroot.genealogy.known_above import PAINT_BATCH, Part, known_as_above
from lotroot.production.facts import RunMarked
from lotroot.production.runs import Run
from lotroot.work import Work

BOTH, ONE = "both", "one"


def ask_paint(work: Work, run: Run, part: Part) -> None:
    """Ask once where what was just made is of two paint batches by the run's links, which stand already.

    Links share out the output at a weld by weight: only who stood there knows whether a new one was begun
    with the new coil. Kept as one, it is in question; else the run keeps what was said.
    """
    if not work.plant.process(run.row.process).one_paint_batch:
        return
    found = sorted(known_as_above(work.connection, part, PAINT_BATCH))
    if len(found) < 2:
        return
    number, first, last = part
    batches = f"paint batches {' and '.join(found)}"
    text = f"This is of {batches}: colours may differ. Keep it as one?"
    choices = {BOTH: "Yes, both are in it", ONE: "It was begun with the new coil"}
    which = f"Item {first}" if first else "It"
    if last > first:
        text = f"These are of {batches}: colours may differ. Does one of them hold both?"
        choices = {BOTH: "Yes, one holds both", ONE: "No, each holds one"}
        which = f"One of the items {first} to {last}"
    if work.ask("paint-batches", text, choices) == BOTH:
        work.put_in_question(number, f"{which} is of {batches}: colours may differ.")
    else:
        begun = f"items {first} to {last}" if last > first else which.lower()
        words = f"begun anew at the change of {batches}: {begun}"
        work.record(RunMarked(run.number, "note", words=words))


def other_paint(work: Work, run: Run, lot: str) -> str:
    """What to say of a coil just loaded whose paint batch is not that of the one before it, or nothing."""
    if not work.plant.process(run.row.process).one_paint_batch or not run.inputs:
        return ""
    before, now = (
        known_as_above(work.connection, (number, 0, 0), PAINT_BATCH) for number in (run.inputs[-1].lot, lot)
    )
    if not before or not now or before == now:
        return ""
    was, is_now = (" and ".join(sorted(some)) for some in (before, now))
    return f" Paint batch {is_now} now, {was} before: begin a new bundle with it."
