"""Which commands move goods, and who handles them?"""

from lotroot.moving.pallets import (
    ClosePallet,
    EmptyCarrier,
    OpenPallet,
    PutOn,
    Restack,
    TakeOff,
    close_pallet,
    empty_carrier,
    open_pallet,
    put_on,
    restack,
    take_off,
)
from lotroot.moving.places import MoveGoods, move_goods
from lotroot.moving.tares import WeighEmpty, weigh_empty
from lotroot.work import Handler

HANDLERS: dict[type, Handler] = {
    MoveGoods: Handler(move_goods),
    OpenPallet: Handler(open_pallet),
    PutOn: Handler(put_on),
    TakeOff: Handler(take_off),
    ClosePallet: Handler(close_pallet),
    Restack: Handler(restack),
    EmptyCarrier: Handler(empty_carrier),
    WeighEmpty: Handler(weigh_empty),
}
