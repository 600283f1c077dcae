"""What does the plant's record say of a product that theory was asked about?"""

from decimal import Decimal
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.factors.standing import PPM, Factor, factor_in_force
from lotroot.processes.definition import Plant, Product
from lotroot.reckoning.form import ITEM, METRE, PIECE, VOLUME, Figure
from lotroot.reconciliation.rolls import may_have_factor, weighed_items

_MG = {"g": 1_000, "kg": 1_000_000}


class Beside(NamedTuple):
    """A product with its factor in force, and the mean of its last weighed items in g; 0 of 0 for none."""

    product: Product
    in_grams: bool
    factor: Factor | None
    weighed: int
    mean_g: Decimal


def beside(connection: Connection, plant: Plant | None, product: Product | None, now: int) -> Beside | None:
    """What is known of a product; None without one."""
    if plant is None or product is None:
        return None
    factor = None
    if may_have_factor(plant, product):
        factor = factor_in_force(connection, product.code, product.mass_per_metre_mg)
    rows = weighed_items(connection, product.code, now)
    mean = Decimal(sum(row.amount for row in rows)) / len(rows) if rows else Decimal(0)
    return Beside(product, plant.kind(product.kind).unit == "g", factor, len(rows), mean)


def recorded(figure: Figure, found: Beside) -> Decimal | None:
    """What plant.toml says where a figure can be held against it, in the figure's unit."""
    product = found.product
    if figure.of == VOLUME and product.volume_per_piece_mm3:
        return Decimal(product.volume_per_piece_mm3) / 1000
    mg = {
        METRE: product.mass_per_metre_mg,
        PIECE: product.mass_per_piece_mg,
        ITEM: (product.item_amount or 0) * 1_000 if found.in_grams else None,
    }.get(figure.of)
    return Decimal(mg) / _MG[figure.unit] if mg else None


def by_factor(figure: Figure, found: Beside) -> Decimal | None:
    """The figure times the plant's factor in force, where there is one."""
    if found.factor is None or figure.of not in (METRE, ITEM):
        return None
    return Decimal(figure.value) * found.factor.factor_ppm / PPM


def averaged(figure: Figure, found: Beside) -> Decimal | None:
    """What the last weighed ones averaged, in the figure's unit."""
    if not found.weighed:
        return None
    if figure.of == ITEM:
        return found.mean_g * 1_000 / _MG[figure.unit]
    if figure.of == METRE and found.product.length_mm:
        return found.mean_g * 1_000_000 / found.product.length_mm / _MG[figure.unit]
    return None
