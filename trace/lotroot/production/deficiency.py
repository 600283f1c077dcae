"""How much may one package lack, by the published table or by what the plant goes by in its place?"""

from collections.abc import Iterable
from decimal import Decimal
from functools import cache

from sqlalchemy import Connection

from lotroot.confirmed.figures import Figure, figure_of
from lotroot.confirmed.standing import NOW, decisions_on, standing
from lotroot.errors import Refused
from lotroot.production.plausible import tolerable_deficiency
from lotroot.reference import table

TABLE = "oiml_r87_td"


def deficiency_in_force(connection: Connection, nominal: int, before: int = NOW) -> Decimal:
    """Grams by which a package of `nominal` grams may be light, as it stands, or stood before an event."""
    values = standing(connection, deficiency_figure(nominal), before).values
    return tolerable_deficiency(nominal, values["td_percent_of_qn"], values["td_absolute"])


def deficiencies_at(connection: Connection, nominal: int, events: Iterable[int]) -> dict[int, Decimal]:
    """The same before each of some events: what was entered keeps the word of its day."""
    if not decisions_on(connection, deficiency_figure(nominal)):
        return dict.fromkeys(events, deficiency_in_force(connection, nominal))
    return {event: deficiency_in_force(connection, nominal, event) for event in events}


@cache
def deficiency_figure(nominal: int) -> Figure:
    """The row for packages of so many grams, as published: which packages it is for, no plant changes.

    Raises Refused for a package of nothing.
    """
    for row in table(TABLE):
        if not row["quantity_kind"].startswith("mass"):
            continue
        if int(row["qn_over"]) < nominal <= int(row["qn_up_to"] or nominal):
            return figure_of(row)
    raise Refused(
        "No tolerable deficiency is known for a package of nothing.",
        value=str(nominal),
        expected="A nominal weight above 0 g.",
        next_step="Correct item_amount in plant.toml.",
    )
