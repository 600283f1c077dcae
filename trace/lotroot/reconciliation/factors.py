"""How does a named person put a factor from weighed rolls on theory, or take it back?"""

from dataclasses import dataclass
from decimal import Decimal

from lotroot.errors import Refused, Unreadable
from lotroot.factors.facts import FactorSet, FactorWithdrawn
from lotroot.factors.standing import Factor, factor_in_force, in_thousandths
from lotroot.processes.definition import Product
from lotroot.reconciliation.rolls import ENOUGH, Rolls, may_have_factor, ppm, weighed_rolls
from lotroot.work import Answer, Work


@dataclass(frozen=True)
class SetFactor:
    """A product goes by theory times a factor from now on: the mean of its weighed rolls up to an event.

    `upto` is the event of the latest roll that was shown, `factor_ppm` the mean of them in millionths, so
    that nobody sets another than they saw.
    """

    product: str
    upto: int
    factor_ppm: int


@dataclass(frozen=True)
class WithdrawFactor:
    """A product goes by theory alone again, for a reason."""

    product: str
    reason: str


def set_factor(work: Work, command: SetFactor) -> Answer:
    """Fit it once more and record it."""
    product = _product(work, command.product)
    rolls = weighed_rolls(work.connection, product, work.happened, command.upto)
    _check(work, rolls, command)
    before = factor_in_force(work.connection, product.code, product.mass_per_metre_mg)
    if before and before.factor_ppm == rolls.factor_ppm:
        raise _already(product, before)
    found = rolls.fit
    if found is None:
        raise AssertionError("rolls that are enough make a fit")
    work.record(
        FactorSet(
            product.code,
            rolls.factor_ppm,
            product.mass_per_metre_mg or 0,
            found.rolls,
            ppm(found.smallest),
            ppm(found.largest),
            ppm(found.deviation),
            rolls.upto,
        )
    )
    return Answer(
        f"{product.name} weighs {in_thousandths(rolls.factor_ppm)} of theory, by {found.rolls} weighed rolls."
    )


def withdraw_factor(work: Work, command: WithdrawFactor) -> Answer:
    """Record that it counts no more."""
    product = _product(work, command.product)
    found = factor_in_force(work.connection, product.code, product.mass_per_metre_mg)
    if found is None:
        raise Refused(
            f"{product.name} goes by theory alone.",
            word="already",
            value=product.name,
            expected="A product with a factor in force.",
            next_step="Go on; nothing counts that could be withdrawn.",
        )
    reason = " ".join(command.reason.split())
    if not reason or len(reason) > 200:
        raise Unreadable(
            f"The reason is {'too long' if reason else 'missing'}.",
            value=reason[:60],
            expected="Why it counts no more, in at most 200 characters.",
            next_step="Write it, then send it again.",
        )
    work.record(FactorWithdrawn(product.code, found.event, reason))
    return Answer(f"{product.name} goes by theory alone again.")


def _product(work: Work, code: str) -> Product:
    product = work.plant.product(code)
    if not may_have_factor(work.plant, product):
        raise Refused(
            f"{product.name} has no factor.",
            value=product.name,
            expected="A product with a mass per metre and a length, whose rolls are weighed one by one.",
            next_step="Choose another product.",
        )
    return product


def _check(work: Work, rolls: Rolls, command: SetFactor) -> None:
    """Raises Refused where the rolls make no factor, or another one than was seen."""
    name, count = rolls.product.name, len(rolls.rows)
    if not rolls.enough:
        raise Refused(
            f"{name}: {count} weighed rolls are too few for a factor.",
            value=str(count),
            expected=f"At least {ENOUGH} rolls of closed runs.",
            next_step="Weigh more rolls, then set it.",
        )
    if rolls.factor_ppm != command.factor_ppm:
        raise Refused(
            f"{name}: the weighed rolls give {in_thousandths(rolls.factor_ppm)} by now.",
            value=in_thousandths(command.factor_ppm),
            expected="The factor that the rolls give; a weight was put right meanwhile.",
            next_step="Open the page of factors again.",
        )
    least, most = (Decimal(one) for one in work.plant.factor_between)
    if not least <= Decimal(rolls.factor_ppm) / 1_000_000 <= most:
        raise Refused(
            f"{name}: {in_thousandths(rolls.factor_ppm)} of theory is no factor of a machine.",
            value=in_thousandths(rolls.factor_ppm),
            expected=f"From {least} to {most}, as plant.toml says or as usual.",
            next_step="Check the sizes of the product in plant.toml, and what the scale shows empty.",
        )


def _already(product: Product, before: Factor) -> Refused:
    return Refused(
        f"{product.name} goes by {before.shown} already.",
        word="already",
        value=before.shown,
        expected="Another factor than the one in force.",
        next_step="Go on; it counts.",
    )
