"""What can be said about goods that come from outside?

Amounts are in base units, 0 where none is told; `mass_theirs` and `mass` in g. `heats` may be
("not on tag",) or several. `certificate` is the SHA-256 of a kept file or "to follow", `photo` that of a
kept file. `how` says how our own amount is known: weighed, theirs, counted or estimated.
"""

from dataclasses import dataclass

HOWS = ("weighed", "theirs", "counted", "estimated")


@dataclass(frozen=True, kw_only=True)
class Told:
    """What the supplier's tag and papers say; a part of the commands below."""

    supplier: str = ""
    supplier_number: str = ""
    heats: tuple[str, ...] = ()
    grade: str = ""
    size: str = ""
    mass_theirs: int = 0
    order_number: str = ""
    delivery: str = ""
    certificate: str = ""
    remark: str = ""
    photo: str = ""
    paint_batch: str = ""


@dataclass(frozen=True, kw_only=True)
class Measured:
    """What is there: `amount` in the unit of the product's kind, `items` where it is a lot of items.

    `typed_by` is scale or hand, empty where it is not known who typed our weight.
    """

    product: str = ""
    amount: int = 0
    mass: int = 0
    items: int = 0
    how: str = "weighed"
    typed_by: str = ""


@dataclass(frozen=True, kw_only=True)
class ReceiveLot(Told, Measured):
    """A supplier's coil, pack or container comes in and gets its own label.

    `place` is the number of a place, empty for the station's own. A `hold_reason` (a button's code or
    words) holds it at once. `number` is one that was reserved on a label before. With `emergency` only
    the number is given now; the rest is told later by `CompleteReceipt`, `kind` may stand for a product.
    """

    place: str = ""
    hold_reason: str = ""
    number: str = ""
    emergency: bool = False
    kind: str = ""


@dataclass(frozen=True, kw_only=True)
class DeliveryRow(Measured):
    """One line of a packing list, read and checked."""

    supplier_number: str
    heats: tuple[str, ...] = ()
    grade: str = ""
    size: str = ""
    mass_theirs: int = 0
    order_number: str = ""
    remark: str = ""
    how: str = "theirs"
    paint_batch: str = ""


@dataclass(frozen=True, kw_only=True)
class ReceiveDelivery:
    """A whole delivery comes in as its packing list says, all of it or nothing, labels in list order.

    `packing_list` is the SHA-256 of the kept file. A row's own order number goes before the delivery's.
    """

    supplier: str
    delivery: str
    rows: tuple[DeliveryRow, ...]
    order_number: str = ""
    certificate: str = ""
    place: str = ""
    packing_list: str = ""


@dataclass(frozen=True, kw_only=True)
class CompleteReceipt(Told, Measured):
    """The details of an emergency receipt; what is left out stays as it was told."""

    lot: str


@dataclass(frozen=True, kw_only=True)
class CorrectReceipt(Told):
    """What was recorded about a lot from outside was wrong; what is left out stays.

    `empty` names fields that are to be emptied: ("delivery",). Amounts are corrected by `CorrectAmount`.
    """

    lot: str
    product: str = ""
    empty: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class AddCertificate:
    """A certificate came for these lots; `file` is the SHA-256 of its kept bytes."""

    lots: tuple[str, ...]
    file: str


@dataclass(frozen=True, kw_only=True)
class OpenStock(Told, Measured):
    """Label what lay here before the system; of its origin only what its old tag tells, if anything."""

    place: str = ""
    hold_reason: str = ""
    number: str = ""


@dataclass(frozen=True, kw_only=True)
class ReserveNumbers:
    """Numbers of a letter for labels kept ready for an emergency; goods are recorded with them later.

    `keeper` is the number of the station where they are kept, empty for none.
    """

    letter: str
    count: int
    keeper: str = ""


@dataclass(frozen=True, kw_only=True)
class CorrectAmount:
    """A lot's own amount was wrong, whatever has become of it since; `why` is a button's code or words.

    `amount` is in the lot's unit; `mass` in g where its kind has one beside it, 0 to leave it. `typed_by` is
    scale or hand, empty where it is not known.
    """

    lot: str
    amount: int
    why: str
    mass: int = 0
    how: str = "weighed"
    typed_by: str = ""
