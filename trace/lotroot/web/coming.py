"""What comes, and from whom: by one numbered question, the likeliest first?"""

from collections.abc import Iterable, Mapping

from lotroot.errors import Refused
from lotroot.ledger.names import names_of
from lotroot.plant.adopted import parties
from lotroot.processes.definition import Plant, Product
from lotroot.receiving.details import COIL
from lotroot.receiving.facts import NOT_ON_TAG
from lotroot.receiving.receipts import latest_receipts
from lotroot.web.scene import Context, Scene

AT_ONCE = 8
"""Choices of one question: an answer is one digit, and the ninth leads to further choices."""
LATELY = 100
"""How many receipts back show what is usual."""
FURTHER = "further"


def choose_product(scene: Scene, context: Context) -> str:
    """The product that was chosen, or the question."""
    return _chosen(scene, "product", "Which product is it?", products(scene, context))


def choose_supplier(scene: Scene, context: Context) -> str:
    """The supplier that was chosen, or the question. Raises Refused where none is known."""
    known = suppliers(scene, context)
    if not known:
        raise Refused(
            "This plant has no supplier yet.",
            expected="A supplier under People and firms.",
            next_step="Scan EMERGENCY for a number now; the rest is told later.",
        )
    return _chosen(scene, "supplier", "Who sent it?", known)


def products(scene: Scene, context: Context) -> dict[str, str]:
    """The names of all products by code: what this supplier sent lately, what others did, what is not made
    here, the rest; where a heat was read, coils before all of these.
    """
    rows = latest_receipts(scene.connection, LATELY)
    theirs = [row.product for row in rows if row.supplier and row.supplier == context.get("supplier")]
    names = {one.code: one.name for one in scene.plant.products.values()}
    bought = [one.code for one in scene.plant.products.values() if not _made_here(scene.plant, one)]
    found = _in_order([*theirs, *(row.product for row in rows), *bought], names)
    if context.get("heats", [NOT_ON_TAG]) == [NOT_ON_TAG]:
        return found
    plant = scene.plant
    coils = [code for code in found if plant.kind(plant.product(code).kind).letter == COIL]
    return _in_order(coils, found)


def suppliers(scene: Scene, context: Context) -> dict[str, str]:
    """The names of all suppliers by code: who sent this product lately, who sent anything, the rest."""
    rows = latest_receipts(scene.connection, LATELY)
    senders = [row.supplier for row in rows if row.product == context.get("product")]
    told = names_of(scene.connection)
    names = {row.code: told.get(row.code, row.code) for row in parties(scene.connection, "supplier")}
    return _in_order([*senders, *(row.supplier for row in rows)], names)


def _chosen(scene: Scene, identifier: str, text: str, names: Mapping[str, str]) -> str:
    """One of many, asked for so many at a time."""
    codes = list(names)
    choices = {code: names[code] for code in codes[:AT_ONCE]}
    rest = {code: names[code] for code in codes[AT_ONCE:]}
    if rest:
        choices[FURTHER] = "None of these: show others"
    answer = scene.ask(identifier, text, choices)
    return _chosen(scene, f"{identifier}-{FURTHER}", text, rest) if answer == FURTHER else answer


def _in_order(first: Iterable[str], names: Mapping[str, str]) -> dict[str, str]:
    return {code: names[code] for code in dict.fromkeys([*first, *names]) if code in names}


def _made_here(plant: Plant, product: Product) -> bool:
    """Whether a process of the plant makes it; it may be bought all the same."""
    outputs = (output for process in plant.processes.values() for output in process.outputs)
    return any(
        product.code in output.products if output.products else product.kind == output.kind
        for output in outputs
    )
