"""What does theory say, in one line, of what a station makes: roll, bundle, box or the strips of a coil?"""

from collections import Counter
from decimal import Decimal

from lotroot.errors import LotrootError
from lotroot.factors.standing import PPM, factor_in_force, times
from lotroot.genealogy.lots import find_lot
from lotroot.processes.definition import Product
from lotroot.processes.naming import inside
from lotroot.theory.sizes import shown
from lotroot.theory.slitting import pattern
from lotroot.web.station_state import State, lanes


def theory(state: State) -> dict[str, str]:
    """The line, and what is wrong where the knives do not fit the coil; empty where none helps."""
    if "lane" in state.main.asks:
        return _strips(state)
    product = state.product
    if product is None or state.told_by_itself or state.main.as_ != "item":
        return {}
    if "weight" in state.main.asks and product.length_mm and product.mass_per_metre_mg:
        return {"theory": _roll(state, product, product.mass_per_metre_mg, product.length_mm)}
    if "count" in state.main.asks and product.item_amount and product.mass_per_piece_mg:
        unit = state.plant.kind(product.kind).unit
        said = _box if unit == "g" else _bundle
        return {"theory": said(state, product.item_amount, product.mass_per_piece_mg)}
    return {}


def _roll(state: State, product: Product, metre_mg: int, length_mm: int) -> str:
    """A roll of 200 m should weigh 23.62 kg."""
    factor = factor_in_force(state.scene.connection, product.code, metre_mg)
    grams = (times(metre_mg, factor) * length_mm + PPM // 2) // PPM
    what = f"A {inside(state.main.name)} of {state.scene.amount(length_mm, 'mm')}"
    by = f", theory × {factor.shown}" if factor else " by theory"
    return f"{what} should weigh {state.scene.amount(grams, 'g')}{by}."


def _bundle(state: State, pieces: int, piece_mg: int) -> str:
    """A bundle of 40 should weigh 1 023 kg."""
    grams = (pieces * piece_mg + 500) // 1_000
    rounded = (grams + 500) // 1_000 * 1_000 if grams >= 1_000_000 else grams
    return (
        f"A {inside(state.main.name)} of {pieces} should weigh {state.scene.amount(rounded, 'g')} by theory."
    )


def _box(state: State, grams: int, piece_mg: int) -> str:
    """A box of 25 kg holds about 12 970 by theory; four digits, for it is no count."""
    pieces = grams * 1_000 // piece_mg
    step = 10 ** max(len(str(pieces)) - 4, 0)
    about = state.scene.amount((pieces + step // 2) // step * step, "pcs")
    return f"A {inside(state.main.name)} of {state.scene.amount(grams, 'g')} holds about {about} by theory."


def _strips(state: State) -> dict[str, str]:
    """3 strips of 412 mm of 1250: 14 mm trim, 1.1 %; empty until knives and coil are known."""
    widths, coil = lanes(state), _coil_mm(state)
    if len(widths) < 2 or coil is None:
        return {}
    trim, *strips = widths
    said = " and ".join(
        f"{count} {'strip' if count == 1 else 'strips'} of {width}"
        for width, count in Counter(strips).items()
    )
    try:
        cut = pattern(coil, strips, trim)
    except LotrootError:
        lacking = shown(sum(widths) - coil)
        return {
            "theory": f"{said} mm of {shown(coil)}",
            "theory_wrong": f"{lacking} mm more than the coil has",
        }
    lost = cut.operator_trim_mm + cut.drive_trim_mm
    part = shown(100 * lost / coil, 1)
    return {"theory": f"{said} mm of {shown(coil)}: {shown(lost)} mm trim, {part} %."}


def _coil_mm(state: State) -> Decimal | None:
    """How wide what is loaded is."""
    for load in state.loads:
        product = state.plant.products.get(find_lot(state.scene.connection, load.lot).product)
        if product is not None and product.width_mm:
            return Decimal(product.width_mm)
    return None
