"""When is a run added up, and what follows where it does not add up (RULES 3, 5 and 6)?

In the posting that closes it, and again in every later one that changes its sums. A difference stops nothing:
beyond the tolerance the run, the loads that are off and what was made of them are in question.
"""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection, select

from lotroot.balance.reconciling import BEYOND, WITHIN_SCALES, difference, named_loss, verdict
from lotroot.genealogy.tables import LIVE, edge, lot
from lotroot.identity.showing import shown
from lotroot.plant.figures import loss_in_force
from lotroot.processes.definition import Process
from lotroot.production.facts import RunClosed
from lotroot.production.history import Streams
from lotroot.production.opening import shift_of
from lotroot.production.runs import Run, find_run
from lotroot.questions import TAKEN_BACK, QuestionSettled, open_questions, questions_of
from lotroot.reconciliation.balances import known_balance
from lotroot.reconciliation.facts import RunBalanced, StreamBalance
from lotroot.reconciliation.sides import Told, told
from lotroot.reconciliation.told_anew import told_anew
from lotroot.work import Work

ADDS_UP, OTHERWISE = "It adds up now.", "It is otherwise by now."
BY_ITSELF = (ADDS_UP, OTHERWISE, TAKEN_BACK)
"""What settles a question about a difference without anybody's reason."""


def balance(work: Work) -> str:
    """Add up every closed run that this posting touched, where its sums changed; says so of one it closed."""
    said = ""
    closed = {fact.run for fact in work.events if isinstance(fact, RunClosed)}
    for number in sorted({*touched(work.events), *told_anew(work.connection, work.events)}):
        run = find_run(work.connection, number)
        if run.row.closed is None or run.row.voided:
            continue
        before = known_balance(work.connection, number)
        now = balanced(work, run)
        if set(now.streams) != set(before):  # a process tells its streams in an order of its own
            work.record(now)
            _question(work, run, now, {one.stream: one.verdict for one in before})
            said += _said(work, now) if number in closed else ""
    return said


def touched(events: Iterable[Any]) -> list[str]:
    """The numbers of the runs that facts speak of."""
    found = {str(getattr(fact, "run", "")) for fact in events} - {""}
    return sorted(found)


def balanced(work: Work, run: Run) -> RunBalanced:
    """How a closed run adds up now."""
    streams, found = told(work.connection, run)
    shift = shift_of(streams.plant, run.row.closed)
    lost = loss_permille(work.connection, streams, run)
    return RunBalanced(
        run.number, shift, tuple(_of_stream(streams.process, name, one, lost) for name, one in found.items())
    )


def loss_permille(connection: Connection, streams: Streams, run: Run) -> int:
    """The part of what is used that a run loses, where somebody stood behind the figure when it was opened;
    else 0.
    """
    said = loss_in_force(connection, streams.plant, streams.process.code, run.row.opened_event)
    return int(said.number("loss_permille")) if said.counts else 0


def _of_stream(process: Process, stream: str, one: Told, lost: int) -> StreamBalance:
    sides = one.sides
    main = next(output for output in process.outputs if not output.by_product)
    # What was used of a load whose remainder was reckoned adds up by itself: no loss can be seen there.
    loss = named_loss(sides.used - one.unseen, lost) if stream == main.stream else 0
    if process.is_aid(stream):
        loss = sides.used - sides.scrap
    left_over = difference(sides, loss)
    tolerance = max(sides.used, 0) * process.tolerance_permille // 1000
    return StreamBalance(
        stream,
        process.streams[stream],
        *sides,
        loss,
        left_over,
        one.spread,
        tolerance,
        one.best.basis,
        verdict(left_over, one.spread, tolerance),
        one.other.amount if one.other else 0,
        one.other.spread if one.other else 0,
        one.reckoned,
        one.sources,
        one.thrown,
    )


def _question(work: Work, run: Run, now: RunBalanced, before: dict[str, str]) -> None:
    """Ask about what is beyond the tolerance, by the figures of now, unless somebody has given a reason.

    What adds up again, since scrap was weighed or something corrected, needs nobody's reason any more.
    """
    begins = _begins(run)
    waiting = [row for row in open_questions(work.connection) if row.reason.startswith(begins)]
    beyond = [one for one in now.streams if one.verdict == BEYOND]
    if _answered(work.connection, run):
        beyond = [one for one in beyond if before.get(one.stream) != BEYOND]
    asks = {f"{begins}{words(work, one)}": one for one in beyond}
    for row in waiting:
        if row.reason not in asks:
            work.record(QuestionSettled(row.event, row.subject, OTHERWISE if asks else ADDS_UP))
    for reason, one in asks.items():
        if reason not in {row.reason for row in waiting}:
            for subject in (run.number, *_off(work.connection, run, one)):
                work.put_in_question(subject, reason)


def _answered(connection: Connection, run: Run) -> bool:
    """Whether what was asked last about a run's difference was settled by somebody."""
    asked = [row for row in questions_of(connection, run.number) if row.reason.startswith(_begins(run))]
    if not asked or any(row.settled is None for row in asked):
        return False
    return max(asked, key=lambda row: row.settled).settlement not in BY_ITSELF


def _begins(run: Run) -> str:
    """How the reason of every question about a run's difference begins."""
    return f"Run {shown(run.number)}: "


def _off(connection: Connection, run: Run, one: StreamBalance) -> list[str]:
    """The lots of loads whose own difference is beyond the tolerance's part of them, and what is of them;
    all that was made where nothing was loaded.
    """
    used = max(one.loaded - one.returned, 1)
    mine = [load for load in run.inputs if load.stream == one.stream]
    if not mine:
        return list(dict.fromkeys(made.lot for made in run.outputs))
    loads = [load for load in mine if abs(load.difference) * used > one.tolerance * load.own]
    of_loads = (
        select(lot.c.number)
        .join(edge, edge.c.child == lot.c.id)
        .where(
            lot.c.run == run.number,
            edge.c.state == LIVE,
            edge.c.load.in_([load.load for load in loads]),
        )
        .distinct()
        .order_by(lot.c.number)
    )
    made = [row.number for row in connection.execute(of_loads)] if loads else []
    return [*dict.fromkeys(load.lot for load in loads), *made]


def _said(work: Work, now: RunBalanced) -> str:
    """What the person who closes a run is told: the worst of its streams."""
    worst = max(now.streams, key=lambda one: (one.verdict == BEYOND, abs(one.difference)), default=None)
    if worst is None or not (worst.loaded or worst.difference):
        return ""
    return f" {words(work, worst)}."  # the verdict of what is in question says who will look at it


def words(work: Work, one: StreamBalance) -> str:
    """A difference in a few words: 12.4 kg missing of 2 006 kg (0.62 %), within the scales."""
    used = one.loaded - one.returned
    if not one.difference:
        known = "what is left was not weighed" if one.reckoned else "nothing missing"
        return f"{work.show(used, one.unit)} used, {known}"
    much = work.show(abs(one.difference), one.unit)
    which = "missing" if one.difference > 0 else "too much"
    if used <= 0:
        return f"{much} {which}, nothing used"
    off, allowed = (_percent(amount, used) for amount in (abs(one.difference), one.tolerance))
    judged = f"{one.verdict} ({allowed})" if one.verdict != WITHIN_SCALES else one.verdict
    return f"{much} {which} of {work.show(used, one.unit)} ({off}), {judged}"


def _percent(amount: int, whole: int) -> str:
    hundredths = (20_000 * amount + whole) // (2 * whole)
    return f"{hundredths // 100}.{hundredths % 100:02} %"
