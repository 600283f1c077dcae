"""What does a label say of its product, and of what the goods came from or were made of?"""

from typing import Any

from sqlalchemy import Connection, Row

from lotroot.genealogy.lots import links_of
from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.labelling.wire import coils_of, welds_of
from lotroot.labelling.wording import amount_words, coil_words, heat_words, weld_words
from lotroot.ledger.names import name_of
from lotroot.processes.definition import Plant
from lotroot.receiving.receipts import details_of, source_of


def described_by_product(plant: Plant | None, code: str) -> dict[str, str]:
    """What the plant's description says of a product besides its name; what it leaves out is left out."""
    product = plant.products.get(code) if plant is not None else None
    if product is None:
        return {}
    length = amount_words(product.length_mm, "mm", plant) if product.length_mm else ""
    return {
        "named": product.name,
        "size": product.size,
        "grade": product.grade,
        "coating": product.coating,
        "length": length,
    }


def origin(connection: Connection, lot: Row[Any]) -> dict[str, Any]:
    """What the supplier's tag said, as it was written there, of a lot from outside."""
    known = source_of(connection, lot.number) if lot.source else None
    if known is None:
        return {}
    return {
        "heat": " / ".join(details_of(known).heats),
        "supplier": name_of(connection, known.supplier) if known.supplier else "",
        "supplier_number": known.supplier_number,
        "paint_batch": known.paint_batch,
    }


def made_of(connection: Connection, lot: Row[Any], first: int = 0, last: int = 0) -> dict[str, str]:
    """Coils, heats and welds of goods made here; and what treated wood was treated with."""
    coils = coils_of(connection, lot, first, last)
    welds = welds_of(connection, lot)
    fields = {
        "heat": heat_words(coils),
        "coil": coil_words([coil for coil in coils if coil.number[0] == Family.COIL]),
        "welds": weld_words(welds.expected, welds.possible) if welds is not None else "",
    }
    if lot.number[0] == Family.LUMBER:
        parents = dict.fromkeys(link.parent_number for link in links_of(connection, lot.id))
        fields["solution"] = " / ".join(shown(one) for one in parents if one[0] == Family.SOLUTION)
    return fields


def is_guess(connection: Connection, lot: Row[Any]) -> bool:
    """Whether nobody told yet what came in: the number was given in an emergency."""
    known = source_of(connection, lot.number)
    return known is not None and bool(known.product_due)
