"""What is one plant made of: kinds, products, stations, things, people's words?

Frozen values, parsed and checked by `lotroot.processes.reading`; a value that exists is valid. A `code`
is the key of its table in plant.toml. Amounts are integers in base units (g, mm, ml, cm3, pcs); decimals
that are readings or limits stay the text they were typed as.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of lot: the plant's own word for it, and how its amount is kept.

    `letter` is the family letter on its number (RULES.md 20), `unit` its base unit, `mass` says that a
    mass in g stands beside the amount, `axis` whether stretches of it are told by amount or by serial.
    """

    code: str
    name: str
    letter: str
    unit: str
    mass: bool
    axis: str


@dataclass(frozen=True, slots=True)
class Limits:
    """What a reading may be: `low` and `high` as decimal text or None, with where they come from."""

    low: str | None
    high: str | None
    source: str
    confidence: str


@dataclass(frozen=True, slots=True)
class Product:
    """What a lot is of.

    `item_amount` is the nominal amount of one item (one box, roll, bundle) in the unit of its kind, `tare_g`
    what it is packed in weighs empty (carton, drum, core), in grams.
    `mass_per_piece_mg`, `mass_per_metre_mg`, `volume_per_piece_mm3`, `length_mm` (of one item or piece) and
    `pieces_per_minute` (the most a machine makes) are theory: plausibility, never the record.
    `running_permille` gives, per input role, the thousandths of a metre of that role's wire in one metre of
    this product, all payoffs of the role together. `parts_permille` says how its mass divides over streams
    (empty: all in its output's own).
    `wires_mm` gives, per input role, the wire that goes in, where roles take wires of their own; a role that
    is not named takes one of `wire_mm`.
    `limits` override a characteristic's own limits for this product. `gtins` are its GS1 numbers, 14 digits,
    by what is packed under each (`PACK_LEVELS`). Sizes (`wire_mm`, `width_mm`,
    `thickness_mm`) are decimal text or "". `source` and `confidence` say where size and theory are from.
    """

    code: str
    name: str
    kind: str
    size: str
    grade: str
    coating: str
    wire_mm: str
    wires_mm: Mapping[str, str]
    width_mm: str
    thickness_mm: str
    item_amount: int | None
    tare_g: int | None
    pieces_per_item: int | None
    mass_per_piece_mg: int | None
    mass_per_metre_mg: int | None
    pieces_per_minute: int | None
    volume_per_piece_mm3: int | None
    length_mm: int | None
    running_permille: Mapping[str, int]
    parts_permille: Mapping[str, int]
    limits: Mapping[str, Limits]
    gtins: Mapping[str, str]
    source: str
    confidence: str

    def wire_for(self, role: str) -> str:
        """The diameter in mm of the wire that a role takes, as decimal text; "" where it is not told."""
        return self.wires_mm.get(role, self.wire_mm)


@dataclass(frozen=True, slots=True)
class Gs1:
    """The plant's licence: no GS1 text stands on any label of a plant without one.

    `prefix` is the company prefix, `extension` the digit before it in the numbers of pallets; `gln` its own
    location number and `domain` that of its web addresses on labels, both "" where there is none.
    """

    prefix: str
    extension: int
    gln: str
    domain: str


@dataclass(frozen=True, slots=True)
class LayoutChoice:
    """Goods for one customer, or for any customer of a market, go out under a layout of their own.

    `of` is a product's or kind's code, or "pallet"; one of `customer` (a firm's code) and `market` is "".
    """

    code: str
    of: str
    customer: str
    market: str
    layout: str


@dataclass(frozen=True, slots=True)
class Characteristic:
    """Something that is checked: read with a unit, or counted good and bad when `attribute`."""

    code: str
    name: str
    unit: str
    attribute: bool
    limits: Limits


@dataclass(frozen=True, slots=True)
class Payoff:
    """A named place on a station where one input is loaded."""

    code: str
    name: str


@dataclass(frozen=True, slots=True)
class Station:
    """A machine, bench or bay that works processes.

    `processes` are codes, the first the usual one; `place` is where its outputs stand; `resources` the
    kinds of resource a run here names; `printer`, `vessel` and `scale` (an instrument) codes or None. `reads`
    says whether a weight typed here for what goes into a carrier, or of one item, is `net` or `gross`.
    `weighs_items`: items that are counted here may be weighed one by one as well. `counter` is the unit
    its counter counts in (mm, m, ft, pcs), None where nothing can be made of it; it runs on, or starts anew
    for each output.
    """

    code: str
    name: str
    processes: tuple[str, ...]
    payoffs: tuple[Payoff, ...]
    place: str
    printer: str | None
    vessel: str | None
    scale: str | None
    resources: tuple[str, ...]
    reads: str
    weighs_items: bool
    counter: str | None
    counter_starts_anew: bool


@dataclass(frozen=True, slots=True)
class Place:
    """Where lots and carriers stand; `use` is floor, yard, rack, dock, drip or quarantine."""

    code: str
    name: str
    use: str


@dataclass(frozen=True, slots=True)
class Vessel:
    """A tumbler's drum, a cylinder or a tank; `capacity` in `unit`, None where it is not told."""

    code: str
    name: str
    unit: str
    capacity: int | None


@dataclass(frozen=True, slots=True)
class Instrument:
    """A scale, gauge or meter; `unit` is what it reads in, `step` its division as decimal text.

    `uncertainty` is how far a weighing may be off, as decimal text in `unit`; "" where nobody has told.
    """

    code: str
    name: str
    unit: str
    step: str
    uncertainty: str
    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Resource:
    """A die set, mould or set of knives that a run names; `kind` is matched by stations and processes.

    `dies_mm` are the sizes of a die set from entry to finish, decimal text in mm; empty where not told.
    """

    code: str
    name: str
    kind: str
    dies_mm: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Carrier:
    """A reusable pan, tram or spool with a permanent number; `tare_g` its empty mass, if known."""

    code: str
    name: str
    kind: str
    tare_g: int | None


@dataclass(frozen=True, slots=True)
class Printer:
    """Where labels come out; an empty `address` means the label tray."""

    code: str
    name: str
    address: str
    dpi: int


@dataclass(frozen=True, slots=True)
class Reason:
    """One button: why something was scrapped, held, broken; at most six of a group."""

    code: str
    words: str
    group: str


@dataclass(frozen=True, slots=True)
class Shift:
    """A shift and when it starts, as local "HH:MM"; it lasts until the next one starts."""

    code: str
    name: str
    start: str
