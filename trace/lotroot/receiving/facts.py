"""Which facts make a receipt?

What the supplier's tag and papers say is kept as they write it; aliases carry the same in capitals.
"""

from dataclasses import dataclass
from typing import Any

from lotroot.ledger.events import event, event_version

NOT_ON_TAG = "not on tag"
"""What stands for the heat where the tag names none."""

TO_FOLLOW = "to follow"
"""What stands for the certificate until it comes."""

SUPPLIER, SUPPLIER_NUMBER, HEAT, DELIVERY = "supplier", "supplier's number", "heat", "delivery"
"""The schemes of the aliases a received lot goes by."""


TEXTS = (
    "supplier", "supplier_number", "grade", "size", "order_number", "delivery", "remark", "paint_batch",
)  # fmt: skip
"""The details that are plain text."""


@dataclass(frozen=True)
class Details:
    """What is known of a lot from outside.

    `supplier` is a party's code; `heats` may be (NOT_ON_TAG,); `mass_theirs` is in g, 0 for none;
    `certificate` is the SHA-256 of a kept file, TO_FOLLOW or empty; `photo` the SHA-256 of a kept file.
    `paint_batch` is that of a painted coil, whose colour may differ from the next batch's.
    `due`: received in an emergency, the rest is still to be told; `product_due`: so is what it is.
    """

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
    due: bool = False
    product_due: bool = False
    paint_batch: str = ""


@event
@dataclass(frozen=True)
class LotReceived:
    """A lot came from outside, with these details."""

    number: str
    details: Details


@event
@dataclass(frozen=True)
class ReceiptDetailed:
    """The details of a lot from outside are these, all of them, and were not those told before."""

    number: str
    details: Details


@event
@dataclass(frozen=True)
class CertificateAdded:
    """The certificate of a lot came; `file` is the SHA-256 of its bytes, `name` what it was called."""

    lot: str
    file: str
    name: str


@event
@dataclass(frozen=True)
class DeliveryReceived:
    """A supplier's delivery came as its packing list says; that file is kept under this SHA-256."""

    supplier: str
    delivery: str
    lots: tuple[str, ...]
    packing_list: str = ""


def _of_no_station(body: dict[str, Any]) -> dict[str, Any]:
    """A pad was not said to be a station's before."""
    return {**body, "station": ""}


@event_version(2, {1: _of_no_station})
@dataclass(frozen=True)
class NumbersReserved:
    """The running numbers first to last of a letter and year (four digits) stand on labels kept ready.

    `station` is the number of the station that keeps them, or empty.
    """

    letter: str
    year: int
    first: int
    last: int
    station: str
