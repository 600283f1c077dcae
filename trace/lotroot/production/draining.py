"""Can what went into the cylinder and did not drain back be in the wood?"""

from lotroot.processes.definition import Output, Process
from lotroot.production.runs import Run
from lotroot.work import Work


def ask_drained(work: Work, run: Run, output: Output, amount: int) -> None:
    """Ask once where more stays away, after so many ml drained back, than the wood takes up room."""
    process = work.plant.process(run.row.process)
    if output not in _drains(process):
        return
    away = _away(run, output.stream) - amount
    if away <= _wood(run, process):
        return
    work.ask(
        f"drained-{amount}",
        f"{work.show(amount, 'ml')} drained back, {work.show(away, 'ml')} did not: more than "
        f"{_wood_words(work, run, process)} can hold. Is the number right?",
        {"yes": "Yes, record it"},
    )
    work.put_in_question(run.number, "Less drained back than the wood leaves over.")


def ask_nothing_drained(work: Work, run: Run, process: Process) -> None:
    """Ask once where a run ends with nothing drained back of more than its wood can hold."""
    for output in _drains(process):
        away = _away(run, output.stream)
        made = any(one.stream == output.stream for one in run.outputs)
        if made or away <= _wood(run, process):
            continue
        work.ask(
            "nothing-drained",
            f"{work.show(away, 'ml')} went in, more than {_wood_words(work, run, process)} can hold, and "
            "nothing drained back by the record. Leave this and scan NEXT for what did.",
            {"none": "Nothing drained back"},
        )
        work.put_in_question(run.number, "Nothing drained back.")


def _drains(process: Process) -> list[Output]:
    """The by-products that bring a liquid back of which the wood keeps the rest."""
    units = process.streams
    wood = any(units[one.stream] == "cm3" for one in process.outputs if not one.by_product)
    return [one for one in process.outputs if wood and one.by_product and units[one.stream] == "ml"]


def _away(run: Run, stream: str) -> int:
    into = sum(int(one.amount - one.remainder) for one in run.inputs if one.stream == stream)
    return into - sum(int(one.amount) for one in run.outputs if one.stream == stream)


def _wood(run: Run, process: Process) -> int:
    """The volume of all wood in the run, cm3, each of which takes up less than a ml.

    Its air space is 1 - G (0.667 + MC / 100) of it, with G the specific gravity and MC the moisture in %
    (Siau's form, from memory): below one for any wood, so that no plant has to know more than the volume.
    """
    return sum(
        one.amount for one in run.inputs if process.streams[one.stream] == "cm3" and one.unloaded_at is None
    )


def _wood_words(work: Work, run: Run, process: Process) -> str:
    return f"{work.show(_wood(run, process), 'cm3')} of wood"
