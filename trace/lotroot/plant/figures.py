"""Which limits and losses of plant.toml may be confirmed, and by which limits is a reading judged?

They are figures like the rows of published tables, in two tables of their own: a limit from memory counts for
no acceptance until a named person has confirmed or overridden it, and a loss is the plant's own value.
"""

from collections.abc import Iterator

from sqlalchemy import Connection

from lotroot.confirmed.figures import Figure, figures_in
from lotroot.confirmed.standing import NOW, Standing, standing
from lotroot.processes.definition import Limits, Plant

LIMITS, LOSSES = "plant-limits", "plant-losses"
OF_THE_PLANT = (LIMITS, LOSSES)
OVERRIDDEN = "overridden"
"""The confidence of limits that a named person put in place of others."""


def figures_of(plant: Plant | None, name: str) -> tuple[Figure, ...]:
    """All figures of a published table or one of the plant's two. Raises Unknown."""
    if name == LIMITS:
        return tuple(_all_limits(plant)) if plant else ()
    if name == LOSSES:
        return tuple(loss_figure(plant, code) for code in plant.processes) if plant else ()
    return figures_in(name)


def limit_figure(plant: Plant, characteristic: str, product: str) -> Figure:
    """The limits of a product where it has its own, else those of the characteristic. Raises Unknown."""
    own = bool(product) and characteristic in plant.product(product).limits
    limits, what = plant.limits(characteristic, product or None), plant.characteristic(characteristic)
    texts = {
        "characteristic": characteristic,
        "product": product if own else "",
        "unit": what.unit,
        "low": limits.low or "",
        "high": limits.high or "",
        "source": limits.source,
        "confidence": limits.confidence,
    }
    return Figure(LIMITS, ("characteristic", "product", "unit"), texts)


def loss_figure(plant: Plant, process: str) -> Figure:
    """What a process loses of what goes in, in thousandths. Raises Unknown."""
    found = plant.process(process)
    texts = {
        "process": process,
        "named": found.loss,
        "loss_permille": str(found.loss_permille),
        "source": found.loss_source,
        "confidence": found.loss_confidence,
    }
    return Figure(LOSSES, ("process", "named"), texts)


def loss_in_force(connection: Connection, plant: Plant, process: str, before: int = NOW) -> Standing:
    """The loss of a process as it stands, or stood before an event: `number("loss_permille")`, and who
    confirmed or overrode it if anybody did.
    """
    return standing(connection, loss_figure(plant, process), before)


def limits_in_force(
    connection: Connection, plant: Plant, characteristic: str, product: str
) -> tuple[Limits, Standing]:
    """What a reading may be on this product now: an override's values, else plant.toml's, and who stands
    behind them.
    """
    figure = limit_figure(plant, characteristic, product)
    # Others are not to be decided on, so that most checks ask nothing more of the database.
    said = standing(connection, figure) if figure.from_memory else Standing(figure, figure.values)
    if not said.overridden:
        return plant.limits(characteristic, product or None), said
    low, high = said.values["low"] or None, said.values["high"] or None
    return Limits(low, high, said.reason, OVERRIDDEN), said


def called(plant: Plant | None, figure: Figure) -> str:
    """What people call a figure: Wire diameter, Drawn wire 2.50 mm; of a published table its row."""
    if plant is None or figure.table not in OF_THE_PLANT:
        return figure.called
    if figure.table == LOSSES:
        first, second = plant.process(figure.texts["process"]).name, figure.texts["named"]
    else:
        product = plant.products.get(figure.texts["product"])
        first = plant.characteristic(figure.texts["characteristic"]).name
        second = product.name if product else ""
    return f"{first}, {second}" if second else first


def titled(plant: Plant | None, figure: Figure) -> str:
    """The same where no page or list says of which table it is: nails: metric round, 60.00."""
    name = called(plant, figure)
    return name if figure.table in OF_THE_PLANT else f"{figure.table}: {name}"


def _all_limits(plant: Plant) -> Iterator[Figure]:
    for code, what in plant.characteristics.items():
        if what.limits.low is not None or what.limits.high is not None:
            yield limit_figure(plant, code, "")
    for product in plant.products.values():
        for code in product.limits:
            yield limit_figure(plant, code, product.code)
