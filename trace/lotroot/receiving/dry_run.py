"""What would a delivery become if its packing list were received as it reads?

`dry_run` names the product of every row and what is known of it already; `delivery` makes the command of
a dry run without fault. Nothing is recorded here.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection

from lotroot.errors import Refused
from lotroot.plant.adopted import current_plant
from lotroot.processes.definition import Plant, Product
from lotroot.quantities import show_amount
from lotroot.receiving.commands import DeliveryRow, ReceiveDelivery
from lotroot.receiving.details import COIL
from lotroot.receiving.facts import NOT_ON_TAG
from lotroot.receiving.figures import HEAVIEST
from lotroot.receiving.headings import plain
from lotroot.receiving.receipts import received_as
from lotroot.receiving.sheet import ListFault, ListRow, Sheet


@dataclass(frozen=True)
class Usual:
    """What holds for the rows of a list that do not say: a product's code, a heat (or "not on tag")."""

    product: str = ""
    heat: str = ""


NOTHING_USUAL = Usual()


@dataclass(frozen=True)
class DryRow:
    """A row as it would be received: `row` as the list reads, `becomes` what is made of it (its product
    is empty where none was found), `known` the lots received under this supplier's number before.
    """

    row: ListRow
    becomes: DeliveryRow
    known: tuple[str, ...]
    faults: tuple[ListFault, ...]


@dataclass(frozen=True)
class DryRun:
    """A packing list as it would be received; `faults` are all, those of totals among them."""

    supplier: str
    rows: tuple[DryRow, ...]
    faults: tuple[ListFault, ...]

    @property
    def clean(self) -> bool:
        """Whether it can be received as it reads."""
        return not self.faults


def dry_run(connection: Connection, sheet: Sheet, supplier: str, usual: Usual = NOTHING_USUAL) -> DryRun:
    """A packing list against the plant and the record. Raises Unknown for a usual product nobody knows."""
    plant = current_plant(connection)
    rest = plant.product(usual.product) if usual.product else None
    names = _names(plant)
    rows = []
    for row in sheet.rows:
        product = _product(row, names, rest)
        becomes = _becomes(plant, row, product, usual.heat)
        faults = [fault for fault in sheet.faults if fault.line == row.line]
        named = {fault.column for fault in faults}
        faults += [one for one in _unfit(plant, row, becomes, sheet.columns) if one.column not in named]
        known = received_as(connection, supplier, row.supplier_number) if row.supplier_number else []
        rows.append(DryRow(row, becomes, tuple(str(one.lot) for one in known), tuple(faults)))
    pieces = {row.line for row in sheet.rows}
    others = [fault for fault in sheet.faults if fault.line not in pieces]
    return DryRun(supplier, tuple(rows), (*(fault for row in rows for fault in row.faults), *others))


def delivery(run: DryRun, number: str, **more: str) -> ReceiveDelivery:
    """The command that receives a dry run under the supplier's delivery number.

    `more` are fields of ReceiveDelivery: order_number, certificate, place, packing_list. Raises Refused
    while a row is at fault.
    """
    if not run.clean:
        first = run.faults[0]
        raise Refused(
            f"{len(run.faults)} places of the list cannot be read; nothing was received.",
            value=f"row {first.line}, {first.column}: {first.value}",
            expected=f"Row {first.line}: {first.expected}.",
            next_step="Correct the list and send it again.",
        )
    rows = tuple(one.becomes for one in run.rows)
    return ReceiveDelivery(supplier=run.supplier, delivery=number, rows=rows, **more)


def _becomes(plant: Plant, row: ListRow, product: Product | None, heat: str) -> DeliveryRow:
    counted = product is not None and plant.kind(product.kind).unit == "pcs"
    return DeliveryRow(
        product=product.code if product is not None else "",
        amount=row.pieces if counted else 0,
        supplier_number=row.supplier_number,
        heats=row.heats or ((heat,) if heat else ()),
        grade=row.grade,
        size=row.size,
        mass_theirs=row.mass_theirs,
        order_number=row.order_number,
        remark=row.remark,
        paint_batch=row.paint_batch,
    )


def _names(plant: Plant) -> Mapping[str, list[Product]]:
    """The products by what a list may call them: code, name, or size."""
    found: dict[str, list[Product]] = {}
    for product in plant.products.values():
        for name in {plain(product.code), plain(product.name), plain(product.size)} - {""}:
            found.setdefault(name, []).append(product)
    return found


def _product(row: ListRow, names: Mapping[str, list[Product]], rest: Product | None) -> Product | None:
    """The one product that a row names; a size alone only tells products of the usual one's kind apart."""
    for text in filter(None, (plain(row.product), plain(f"{row.product} {row.size}"))):
        fitting = names.get(text, [])
        if not row.product and rest is not None:
            fitting = [one for one in fitting if one.kind == rest.kind]
        if len(fitting) == 1:
            return fitting[0]
    return rest


def _unfit(
    plant: Plant, row: ListRow, becomes: DeliveryRow, columns: Mapping[str, str]
) -> Iterable[ListFault]:
    """Faults of a row against the plant: no product, no heat of a coil, no amount in the kind's unit."""

    def lacks(field: str, name: str, expected: str, value: str = "") -> ListFault:
        return ListFault(row.line, columns.get(field, f"{name}: no such column"), value, expected)

    if not becomes.product:
        yield lacks("product", "Product", "a product of this plant", row.product)
        return
    product = plant.product(becomes.product)
    kind = plant.kind(product.kind)
    if kind.letter == COIL and not becomes.heats:
        yield lacks("heats", "Heat", f"a heat, or: {NOT_ON_TAG}")
    if kind.axis == "serial" or kind.unit not in ("g", "pcs"):
        yield ListFault(row.line, "", product.name, "a product that is not kept by item or volume")
    elif kind.unit == "g" and not row.mass_theirs:
        yield lacks("mass", "Weight", "a mass")
    elif row.mass_theirs > HEAVIEST:
        heavy = show_amount(row.mass_theirs, "g", "t")
        yield lacks("mass", "Weight", f"at most {show_amount(HEAVIEST, 'g', 't')} in one piece", heavy)
    elif kind.unit == "pcs" and not row.pieces:
        yield lacks("pieces", "Pieces", "a number of pieces")
