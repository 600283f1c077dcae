"""How does the story page offer a label as a customer wants it?"""

from typing import Any

from sqlalchemy import Connection

from lotroot.labelling.asking import PrintForCustomer
from lotroot.labelling.customers import GOODS, customer_of
from lotroot.labelling.preview import BADGE, layout_names
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import parties
from lotroot.web.frame import Who
from lotroot.work import LabelRequest

AS_CHOSEN = "as plant.toml chooses for them"


def offered(connection: Connection, found: Who, number: str) -> dict[str, Any]:
    """Customers to choose from, the one the goods are for first, and layouts; nothing who may not print."""
    if not found.may(PrintForCustomer) or number[0] not in GOODS:
        return {"customers": []}
    names = names_of(connection)
    firms = [(row.code, names.get(row.code, row.code)) for row in parties(connection, "customer")]
    theirs = customer_of(connection, LabelRequest(number[:11]))
    layouts = [(name, name) for name in layout_names() if name != BADGE]
    return {
        "customers": sorted(firms, key=lambda one: (one[0] != theirs, one[1])),
        "customer_layouts": [("", AS_CHOSEN), *layouts],
    }
