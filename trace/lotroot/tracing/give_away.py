"""How much more than their nominal do the items of a run hold that were weighed one by one?"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from sqlalchemy import Connection

from lotroot.production.deficiency import deficiencies_at
from lotroot.production.runs import Run
from lotroot.stock.standing import weights_of
from lotroot.tracing.words import Words

_HUNDREDTHS = 10_000


class Weighed(NamedTuple):
    """Net grams of `items` items together, the lightest and the heaviest of them, and each one's `nominal`.

    `light` of them lack more than the tolerable deficiency of their nominal, which was one of `tolerable`
    grams when each was entered, the least first.
    """

    items: int
    net: int
    nominal: int
    lightest: int
    heaviest: int
    light: int
    tolerable: tuple[Decimal, ...]

    @property
    def over(self) -> int:
        """Grams given away; below zero where the items lack that much together."""
        return self.net - self.nominal * self.items


def weighed(items: Sequence[tuple[int, Decimal]], nominal: int) -> Weighed:
    """What items come to, each of so many net grams of which it might lack so many; there is one at least."""
    net = [weight for weight, _ in items]
    light = sum(weight < nominal - tolerable for weight, tolerable in items)
    limits = tuple(sorted({tolerable for _, tolerable in items}))
    return Weighed(len(net), sum(net), nominal, min(net), max(net), light, limits)


def given_away(connection: Connection, run: Run, words: Words) -> str:
    """What the run's items weighed against their nominal, a sentence a nominal; "" where none were.

    Only goods sold by their weight: rolls sold by their length have no nominal to give away from.
    """
    products = words.plant.products if words.plant else {}
    found: dict[tuple[str, int], list[tuple[int, int]]] = {}
    by_lot = weights_of(connection, {one.lot for one in run.outputs if one.first})
    for one in run.outputs:
        row = words.lot(one.lot)
        product = products.get(row.product) if row is not None and row.unit == "g" else None
        if product is None or product.length_mm or not product.item_amount:
            continue
        net = _between(by_lot.get(one.lot, {}), one.first, one.last)
        items = found.setdefault((words.product(product.code), product.item_amount), [])
        items += [(weight, one.event) for weight in net]
    several = len(found) > 1
    said = {}
    for (name, nominal), items in found.items():
        if items:
            tolerable = deficiencies_at(connection, nominal, {event for _, event in items})
            net_of_day = [(weight, tolerable[event]) for weight, event in items]
            said[name] = in_words(weighed(net_of_day, nominal), words)
    return "; ".join(f"{name}: {text}" if several else text for name, text in said.items())


def in_words(found: Weighed, words: Words) -> str:
    """A sentence: 50 weighed, 1 252.4 kg net, nominal 1 250 kg: 2.4 kg given away (0.19 %), ..."""
    whole = found.nominal * found.items
    over = f"{words.amount(abs(found.over), 'g')} {'given away' if found.over >= 0 else 'too little'}"
    said = (
        f"{found.items} weighed, {words.amount(found.net, 'g')} net, nominal {words.amount(whole, 'g')}: "
        f"{over} ({_percent(abs(found.over), whole)}\u202f%), lightest {words.amount(found.lightest, 'g')}, "
        f"heaviest {words.amount(found.heaviest, 'g')}"
    )
    if not found.light:
        return said
    limit = " or ".join(words.amount(int(one), "g") for one in found.tolerable)
    return f"{said}, {found.light} too light by more than the tolerable {limit}"


def _between(weights: Mapping[int, int], first: int, last: int) -> list[int]:
    return [amount for serial, amount in weights.items() if first <= serial <= last]


def _percent(part: int, whole: int) -> str:
    """Percent with two places, rounded half up."""
    hundredths = (part * _HUNDREDTHS * 2 + whole) // (2 * whole)
    return f"{hundredths // 100}.{hundredths % 100:02d}"
