"""Which dies draw in a run now, and what is asked where they do not fit it?"""

from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.dies.fitting import Fit, Job, fit, warning
from lotroot.dies.sizes import dies_of
from lotroot.genealogy.lots import find_lot
from lotroot.plant.adopted import thing_or_none
from lotroot.processes.definition import Plant, Resource
from lotroot.production.runs import Run, find_run
from lotroot.questions import questions_of
from lotroot.work import Work


class DiesInUse(NamedTuple):
    """The set of dies that works in a run: sizes in mm from entry to finish, the rod loaded last.

    `fit` is None while no rod of a known size is loaded.
    """

    thing: str
    resource: Resource
    dies_mm: tuple[str, ...]
    job: Job
    fit: Fit | None


def dies_in_use(connection: Connection, plant: Plant, run: Run) -> DiesInUse | None:
    """The dies in a run, judged by the plant; None where it draws none that the plant tells."""
    drafts = plant.processes[run.row.process].drafts if run.row.process in plant.processes else None
    found = _set_in_use(connection, plant, run)
    if drafts is None or found is None:
        return None
    thing, resource = found
    dies_mm = tuple(one.size_mm for one in dies_of(connection, resource, thing))
    product = plant.products.get(run.row.product)
    limits = plant.limits(drafts.checked, product.code) if drafts.checked and product else None
    job = Job(_rod_mm(connection, plant, run), product, limits)
    return DiesInUse(thing, resource, dies_mm, job, fit(drafts, dies_mm, job) if job.rod_mm else None)


def ask_dies(work: Work, number: str) -> str:
    """Ask once a run about dies that do not fit, and put the run in question; the words to add, or none.

    Asked anew where something else does not fit: another set, another rod.
    """
    used = dies_in_use(work.connection, work.plant, find_run(work.connection, number))
    said = warning(used.fit.faults) if used is not None and used.fit is not None else ""
    if not said or used is None or used.fit is None:
        return ""
    reason = f"{used.resource.name}: {'. '.join(used.fit.faults)}."
    if any(one.reason == reason for one in questions_of(work.connection, number)):
        return ""
    work.ask(f"dies-{number}", f"{said} Run it?", {"yes": "Run it"})
    work.put_in_question(number, reason)
    return f" {said}"


def _set_in_use(connection: Connection, plant: Plant, run: Run) -> tuple[str, Resource] | None:
    for use in reversed(run.uses):
        row = thing_or_none(connection, use.thing) if use.until is None else None
        resource = plant.resources.get(row.code) if row is not None else None
        if resource is not None and resource.dies_mm:
            return str(use.thing), resource
    return None


def _rod_mm(connection: Connection, plant: Plant, run: Run) -> str:
    """The size of what was loaded last and has one; "" for none."""
    for load in reversed(run.inputs):
        product = plant.products.get(find_lot(connection, load.lot).product)
        if product is not None and product.wire_mm:
            return product.wire_mm
    return ""
