"""Which rolls of a product were weighed one by one, and what factor on theory do they ask for?

The latest of closed runs: until then an entry may still be put right.
"""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, select

from lotroot.factors.standing import LATEST, PPM
from lotroot.genealogy.tables import lot
from lotroot.processes.definition import Plant, Product
from lotroot.production.facts import WEIGHED
from lotroot.production.tables import run_output
from lotroot.reconciliation.tables import STANDS, run_balance
from lotroot.stock.tables import item_weight
from lotroot.theory.fitting import Fit, Weighed, fit
from lotroot.theory.sizes import nearest

ENOUGH = 5
"""Fewer rolls make no factor: one odd one moves the mean of four by a quarter of its error (our choice)."""
MOST = 200
"""Rolls a fit looks back over (our choice): machine and wire change, and older rolls tell of older ones."""
MONTHS = 12
"""How long they count (our choice), in months of 30 days."""
_MONTH_US = 30 * 86_400 * 1_000_000

_closed = select(run_balance.c.run).where(
    run_balance.c.product == bindparam("product"), STANDS, run_balance.c.closed >= bindparam("since")
)
_rolls = (
    select(
        run_output.c.run,
        run_output.c.event,
        run_output.c.ended,
        run_output.c.seq,
        item_weight.c.lot,
        item_weight.c.serial,
        item_weight.c.amount,
    )
    .select_from(run_output)
    .join(lot, lot.c.number == run_output.c.lot)
    .join(item_weight, item_weight.c.lot == run_output.c.lot)
    .where(item_weight.c.serial >= run_output.c.first, item_weight.c.serial <= run_output.c.last)
    .where(run_output.c.run.in_(_closed))
    .where(run_output.c.voided == 0, run_output.c.basis == WEIGHED, lot.c.product == bindparam("product"))
    .where(run_output.c.event <= bindparam("upto"))
    .order_by(run_output.c.event.desc(), run_output.c.seq.desc(), item_weight.c.serial.desc())
    .limit(MOST)
)


class Rolls(NamedTuple):
    """Weighed rolls of a product, the latest first, and what they come to; `fit` is None without any.

    `theory_g` is what theory alone says of one; `upto` the event of the latest, 0 for none.
    """

    product: Product
    theory_g: int
    rows: Sequence[Any]
    fit: Fit | None

    @property
    def upto(self) -> int:
        """The event of the latest roll."""
        return self.rows[0].event if self.rows else 0

    @property
    def factor_ppm(self) -> int:
        """The mean in millionths of theory; 0 without any roll."""
        return ppm(self.fit.mean_ratio) if self.fit else 0

    @property
    def enough(self) -> bool:
        """Whether they may make a factor."""
        return len(self.rows) >= ENOUGH


def ppm(ratio: Any) -> int:
    """A ratio in millionths, to the nearest; 0 for none."""
    return nearest(ratio * PPM) if ratio else 0


def may_have_factor(plant: Plant, product: Product) -> bool:
    """Whether theory gives a metre of it, and its rolls of one length are weighed one by one."""
    if not product.mass_per_metre_mg or not product.length_mm:
        return False
    outputs = [output for process in plant.processes.values() for output in process.outputs]
    mine = [
        one
        for one in outputs
        if one.kind == product.kind and product.code in (one.products or [product.code])
    ]
    weighed = any(one.as_ == "item" and "weight" in one.asks for one in mine)
    return weighed and plant.kind(product.kind).unit == "g"


def products_with_factor(plant: Plant) -> list[Product]:
    """The products that may have one, in the order of plant.toml."""
    return [product for product in plant.products.values() if may_have_factor(plant, product)]


def weighed_items(connection: Connection, product: str, now: int, upto: int = LATEST) -> Sequence[Any]:
    """The latest items of a product that were weighed one by one in closed runs, the latest first."""
    query = {"product": product, "since": now - MONTHS * _MONTH_US, "upto": upto}
    return connection.execute(_rolls, query).all()


def weighed_rolls(connection: Connection, product: Product, now: int, upto: int = LATEST) -> Rolls:
    """The rolls up to an event that a factor of the product is fitted from; `now` in us UTC."""
    length, metre = product.length_mm or 0, product.mass_per_metre_mg or 0
    theory_g = (length * metre + PPM // 2) // PPM
    rows = weighed_items(connection, product.code, now, upto)
    weighed = [Weighed(row.amount, theory_g) for row in rows]
    return Rolls(product, theory_g, rows, fit(weighed) if weighed else None)
