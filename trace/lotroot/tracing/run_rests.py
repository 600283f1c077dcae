"""Whose figures does the balance of a closed run rest on: its loss as it stood when the run was opened, the
factor on theory as it stood when it was added up?
"""

from sqlalchemy import Connection

from lotroot.confirmed.standing import Standing
from lotroot.factors.standing import Factor, factor_at
from lotroot.plant.figures import loss_in_force
from lotroot.processes.definition import Plant
from lotroot.production.runs import Run, judged_by
from lotroot.reconciliation.balances import balance_event
from lotroot.tracing.chapters import Rests
from lotroot.tracing.figure_words import SURE, by_whom
from lotroot.tracing.words import Words


def rests_on(connection: Connection, run: Run, words: Words) -> Rests:
    """The loss that was named and the factor on theory, each with who stands behind it."""
    plant, process = judged_by(connection, run.row)
    event = balance_event(connection, run.number)
    loss = loss_in_force(connection, plant, process.code, run.row.opened_event)
    main = next(output for output in process.outputs if not output.by_product)
    return Rests(
        main.stream, process.loss, loss_words(loss, words), _theory(connection, plant, run, words, event)
    )


def loss_words(said: Standing, words: Words) -> str:
    """8 in a thousand: mechanical descaling, published; empty where a process has no loss."""
    permille = said.number("loss_permille")
    if not permille and not said.by_name:
        return ""
    much = f"{permille.normalize():f} in a thousand"
    if said.by_name:
        return f"{much}: {by_whom(said.person, said.at, words, overridden=said.overridden)}"
    if not said.counts:
        return f"{much}, from memory, not confirmed: not counted"
    if said.figure.confidence == "plant":
        return f"{much}: the plant’s own figure"
    return f"{much}: {said.figure.source} ({SURE[said.figure.confidence]})"


def factor_words(found: Factor | None, words: Words) -> str:
    """Theory × 1.034, fitted by Ada Okafor from 38 weighed rolls on 24 Nov 2026 14:05; empty without one."""
    if found is None:
        return ""
    by, on = words.named(found.person).name, words.moment(found.at).shown
    return f"theory × {found.shown}, fitted by {by} from {found.rolls} weighed rolls on {on}"


def _theory(connection: Connection, plant: Plant, run: Run, words: Words, event: int) -> str:
    product = plant.products.get(run.row.product)
    if product is None:
        return ""
    return factor_words(factor_at(connection, product.code, product.mass_per_metre_mg, event), words)
