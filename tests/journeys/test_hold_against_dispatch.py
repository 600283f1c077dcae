"""A hold and a shipment at the same moment: can goods leave that were held before they left?"""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from threading import Barrier
from typing import Any

import pytest
from houses import House, a_house
from lotroot.dispatch.handling import LoadShipment, OpenShipment, SendShipment
from lotroot.errors import LotrootError, Refused
from lotroot.holds.handling import PlaceHold
from lotroot.production.marking import CloseRun
from shop import Shop

ROUNDS = 6


@pytest.fixture
def house(database_url: str) -> Iterator[House]:
    made = a_house(database_url)
    yield made
    made.database.close()


def outcome(start: Barrier, act: Any) -> Any:
    """What an act gives when another begins with it: its answer, or its refusal."""
    start.wait()
    try:
        return act()
    except LotrootError as error:
        return error


def test_goods_held_before_they_leave_never_leave(house: House) -> None:
    """Whoever comes second sees the first: a shipment behind the hold is refused."""
    shop, begun = Shop(house), []
    for _ in range(ROUNDS):
        coil = shop.coil()
        lot = shop.drawn(coil, 500_000)[0]
        shop.asked(CloseRun(), "off", "draw_1")
        shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
        shop.at("dispatch", LoadShipment(shipment, lot), "dispatcher")
        start = Barrier(2)
        acts = (
            partial(shop.at, "dispatch", SendShipment(shipment, shipment), "dispatcher"),
            partial(house.post, PlaceHold("brittle", coil), "qa"),
        )
        with ThreadPoolExecutor(2) as threads:
            sent, held = threads.map(partial(outcome, start), acts)
        assert not isinstance(held, LotrootError)
        assert isinstance(sent, Refused) or sent.posting < held.posting
        begun.append(isinstance(sent, Refused))
    assert len(begun) == ROUNDS


def test_a_hold_that_stands_first_stops_what_is_loaded_already(house: House) -> None:
    shop = Shop(house)
    coil = shop.coil()
    lot = shop.drawn(coil, 500_000)[0]
    shop.asked(CloseRun(), "off", "draw_1")
    shipment = shop.at("dispatch", OpenShipment("tamarind", "PO 1"), "dispatcher").numbers[0]
    shop.at("dispatch", LoadShipment(shipment, lot), "dispatcher")
    house.post(PlaceHold("brittle", coil), "qa")
    with pytest.raises(Refused, match="hold"):
        shop.at("dispatch", SendShipment(shipment, shipment), "dispatcher")
