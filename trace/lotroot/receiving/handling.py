"""Who handles what is said about goods from outside?"""

from lotroot.receiving.amending import add_certificate, complete_receipt, correct_receipt
from lotroot.receiving.apply import apply
from lotroot.receiving.arriving import open_stock, receive_delivery, receive_lot, reserve_numbers
from lotroot.receiving.commands import (
    AddCertificate,
    CompleteReceipt,
    CorrectAmount,
    CorrectReceipt,
    OpenStock,
    ReceiveDelivery,
    ReceiveLot,
    ReserveNumbers,
)
from lotroot.receiving.correcting import handle_correction
from lotroot.work import Handler

__all__ = ["HANDLERS", "apply"]

HANDLERS: dict[type, Handler] = {
    ReceiveLot: Handler(receive_lot, labels=("number",)),
    ReceiveDelivery: Handler(receive_delivery),
    CompleteReceipt: Handler(complete_receipt),
    CorrectReceipt: Handler(correct_receipt),
    AddCertificate: Handler(add_certificate),
    OpenStock: Handler(open_stock, labels=("number",)),
    ReserveNumbers: Handler(reserve_numbers),
    CorrectAmount: Handler(handle_correction),
}
