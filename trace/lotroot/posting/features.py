"""Which features take part: who copies events into status, and who handles which command?"""

import re
from collections.abc import Callable
from typing import Any

from lotroot import questions, reserved
from lotroot.accounts import handling as accounts
from lotroot.accounts import people
from lotroot.adoption import HANDLERS as ADOPTION
from lotroot.complaints.facts import apply as apply_complaints
from lotroot.complaints.handling import HANDLERS as COMPLAINTS
from lotroot.confirmed.facts import apply as apply_confirmed
from lotroot.counting.apply import apply as apply_counting
from lotroot.counting.handling import HANDLERS as COUNTING
from lotroot.dies.facts import apply as apply_dies
from lotroot.dies.handling import HANDLERS as DIES
from lotroot.dispatch.facts import apply as apply_dispatch
from lotroot.dispatch.handling import HANDLERS as DISPATCH
from lotroot.factors.facts import apply as apply_factors
from lotroot.genealogy.apply import apply as apply_genealogy
from lotroot.holds.facts import apply as apply_holds
from lotroot.holds.handling import HANDLERS as HOLDS
from lotroot.labelling import asking
from lotroot.labelling import handling as labelling
from lotroot.labelling.settling import answered, taken_back
from lotroot.ledger.book import mark_mentions
from lotroot.moving.handling import HANDLERS as MOVING
from lotroot.moving.places import reopen
from lotroot.pads.handling import HANDLERS as PADS
from lotroot.plant.facts import apply as apply_plant
from lotroot.production.apply import apply as apply_production
from lotroot.production.bins_anew import doubt_weighings
from lotroot.production.handling import HANDLERS as PRODUCTION
from lotroot.production.recounting import recount
from lotroot.quality.confirming import HANDLERS as CONFIRMING
from lotroot.quality.facts import apply as apply_quality
from lotroot.quality.handling import HANDLERS as QUALITY
from lotroot.receiving.handling import HANDLERS as RECEIVING
from lotroot.receiving.handling import apply as apply_receiving
from lotroot.reconciliation.apply import apply as apply_balances
from lotroot.reconciliation.closing import balance
from lotroot.reconciliation.handling import HANDLERS as RECONCILIATION
from lotroot.recovery import HANDLERS as RECOVERY
from lotroot.stock.apply import apply as apply_stock
from lotroot.voiding.handling import HANDLERS as VOIDING
from lotroot.work import Apply, Handler, Work

STATUS_VERSION = 11
"""Raised when `apply` or a status table changes: start-up then rebuilds status before serving."""

APPLIES: tuple[Apply, ...] = (
    mark_mentions,
    apply_genealogy,
    apply_stock,
    apply_plant,
    apply_confirmed,
    apply_factors,
    questions.apply,
    reserved.apply,
    apply_holds,
    apply_dies,
    apply_receiving,
    apply_production,
    apply_balances,
    apply_counting,
    people.apply,
    labelling.apply,
    apply_quality,
    apply_dispatch,
    apply_complaints,
)
"""In floor order: what a later one reads, an earlier one has written."""

CONSEQUENCES: tuple[Callable[[Work], str], ...] = (
    recount,
    reopen,
    answered,
    taken_back,
    doubt_weighings,
    balance,
)
"""What a feature owes in the same posting to what another one recorded; called after the handler.

Each returns what the person is to be told of it beside the answer, or nothing.
"""

HANDLERS: dict[type, Handler] = {
    **ADOPTION,
    **RECOVERY,
    **HOLDS,
    **PADS,
    **DIES,
    **RECEIVING,
    **PRODUCTION,
    **MOVING,
    **COUNTING,
    **accounts.HANDLERS,
    **labelling.HANDLERS,
    **asking.HANDLERS,
    **QUALITY,
    **CONFIRMING,
    **DISPATCH,
    **COMPLAINTS,
    **RECONCILIATION,
    **VOIDING,
}
"""Every command and who handles it."""


def handler_of(command: Any) -> Handler:
    """Who handles a command."""
    return HANDLERS[type(command)]


def handler_of_kind(kind: type) -> Handler:
    """Who handles a kind of command."""
    return HANDLERS[kind]


def kebab(command: type) -> str:
    """A command's name in the address of the command API: ReceiveLot is receive-lot."""
    return re.sub(r"(?<!^)(?=[A-Z])", "-", command.__name__).lower()


COMMANDS: dict[str, type] = {
    kebab(command): command for command, handler in HANDLERS.items() if not handler.internal
}
"""Every command by its name in the command API; what the house posts itself is not among them."""
