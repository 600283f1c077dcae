"""Which cautions belong on a page about treated goods (DESIGN.md section 11)?

The sentences stand in shared/cautions.csv; here only which of them goes where.
"""

from collections.abc import Iterable
from typing import Any

from lotroot.identity.families import Family
from lotroot.reference import row

TREATED = (
    "record_no_certificate",
    "label_decides",
    "gauge_no_assay",
    "composite_no_piece",
    "tag_states_record",
)
"""On packs that came out of a cylinder, alone or on a shipment."""
SOLUTION = ("mix_is_proposal", "label_decides")
"""On what stands in a tank or is mixed into one."""
CHARGE = "no_safety_system"
UNCONFIRMED = "table_unconfirmed"


def of_lots(lots: Iterable[Any]) -> list[str]:
    """The keys for some lots; rows with number, unit and run."""
    keys: dict[str, None] = {}
    for lot in lots:
        if lot.number.startswith(Family.LUMBER) and lot.run:
            keys |= dict.fromkeys(TREATED)
        if is_solution(lot):
            keys |= dict.fromkeys(SOLUTION)
    return list(keys)


def is_solution(lot: Any) -> bool:
    """Whether a lot is treating solution; other consumables are of the same family but no liquid."""
    return bool(lot.number.startswith(Family.SOLUTION) and lot.unit == "ml")


def sentences(keys: Iterable[str]) -> list[str]:
    """The sentences of some keys, each once."""
    return [row("cautions", key=key)["sentence"] for key in dict.fromkeys(keys)]
