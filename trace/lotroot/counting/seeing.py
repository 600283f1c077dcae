"""How does a scan say that goods stand here?

Counting states what is: it is refused for no hold, nor because the record has the goods elsewhere. Only what
nobody can have seen is refused: a number nobody gave, an item that was never made.
"""

import dataclasses
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row

from lotroot.counting.choices import away
from lotroot.counting.commands import CountGoods, StartCount
from lotroot.counting.counts import find_count, open_count_at, seen_in
from lotroot.counting.facts import CountOpened, Difference, GoodsCounted, Sighting
from lotroot.counting.sightings import nearest, seen_as, seen_before
from lotroot.errors import Refused
from lotroot.genealogy.lots import find_lot
from lotroot.holds.naming import WORDS
from lotroot.holds.reach import held_by
from lotroot.identity import Family
from lotroot.identity.showing import shown
from lotroot.plant.places import place_name
from lotroot.stock.carriers import carrier_or_none
from lotroot.stock.events import CarrierMoved
from lotroot.stock.typed import typed_by
from lotroot.work import Answer, Work


def start_count(work: Work, command: StartCount) -> Answer:
    """Begin a count of a place; two people may count two places, not one place twice."""
    name = place_name(work.connection, work.plant, command.place)
    there = open_count_at(work.connection, command.place)
    if there is not None:
        raise Refused(
            f"{name} is being counted already, since {work.local_time(there.opened)}.",
            word="already",
            value=str(there.id),
            expected="A place that nobody counts.",
            next_step=f"Go on with count {there.id}: scan what stands there.",
        )
    number = work.record(CountOpened(command.place))
    return Answer(f"Counting {name}: scan what stands there, then DONE.", (str(number), command.place))


def count_goods(work: Work, command: CountGoods) -> Answer:
    """Record that goods were seen at a place, and what the record knew of them."""
    count = going_on(work, command.count)
    seen = nearest(count.place, seen_as(work.connection, command))
    if command.amount:
        seen = [_weighable(work, command, seen)]
    else:
        _refuse_seen(work, count, command, seen)
    words = _set_down(work, count, seen)
    if words:
        seen = [dataclasses.replace(one, stood=count.place) for one in seen]
    words = words or _stand(work, count, seen)
    by = typed_by(command.typed_by) if command.amount else ""
    found = (command.number, tuple(seen), command.to, command.amount, by)
    work.record(GoodsCounted(count.id, count.place, *found))
    said = f"{_called(work, command)}: {_found(work, command, seen)}.{words}{_held(work, seen)}"
    return Answer(said, (command.number[:11],))


def going_on(work: Work, number: int) -> Row[Any]:
    """A count that is open. Raises Refused for a finished one."""
    count = find_count(work.connection, number)
    if count.state != "open":
        name = place_name(work.connection, work.plant, count.place)
        raise Refused(
            f"The count of {name} was finished at {work.local_time(count.finished)}.",
            word="already",
            value=str(number),
            expected="A count that goes on.",
            next_step="Scan the place again to begin another count.",
        )
    return count


def carrier_name(work: Work, number: str) -> str:
    """What a carrier is called in a sentence: Pan 17, pallet P26-..."""
    carrier = carrier_or_none(work.connection, number)
    if carrier is None or not carrier.reusable:
        return f"pallet {shown(number)}"
    return work.called(carrier)


def _weighable(work: Work, command: CountGoods, seen: Sequence[Sighting]) -> Sighting:
    """The one lot that was weighed. Raises Refused for several, or for items; a far figure is asked about."""
    goods = [one for one in seen if one.lot]
    if command.amount < 0 or len(goods) != 1 or goods[0].first:
        raise Refused(
            f"{_called(work, command)} is not one lot that can be weighed whole.",
            value=str(command.amount),
            expected="More than nothing, of one coil, pan or pack.",
            next_step="Scan the label of that lot or its pan; what was scanned stays seen.",
        )
    recorded, far = goods[0].amount, work.plant.far_off
    if recorded > 0 and not recorded <= command.amount * far <= recorded * far * far:
        unit = find_lot(work.connection, goods[0].lot).unit
        text = f"{work.show(recorded, unit)} are recorded. Is {work.show(command.amount, unit)} right?"
        choices = {"yes": "Yes, record it", "no": "No"}
        if work.ask(f"far-off-{command.amount}", text, choices) == "no":
            raise Refused("No weight was recorded.", word="already", next_step="Type it again, or go on.")
    return goods[0]


def _found(work: Work, command: CountGoods, seen: Sequence[Sighting]) -> str:
    if not command.amount:
        return "seen"
    unit = find_lot(work.connection, seen[0].lot).unit
    return f"{work.show(command.amount, unit)} found, {work.show(seen[0].amount, unit)} recorded"


def _refuse_seen(work: Work, count: Row[Any], command: CountGoods, seen: Sequence[Sighting]) -> None:
    before = seen_before(seen_in(work.connection, count.id), command.number, seen)
    if before is not None:
        by = before.number
        on = (
            f", on {carrier_name(work, by)}" if by.startswith(Family.CARRIER) and by != command.number else ""
        )
        raise Refused(
            f"{_called(work, command)} was seen at {work.local_time(before.at)}{on}.",
            word="already",
            value=command.number,
            expected="Something not scanned yet.",
            next_step="Go on; nothing was recorded again.",
        )


def _set_down(work: Work, count: Row[Any], seen: Sequence[Sighting]) -> str:
    """A pan or spool of which nobody ever said where it stands is set down here by being seen here."""
    carriers = {one.spot for one in seen if one.spot.startswith(Family.CARRIER) and not one.first}
    if len(carriers) != 1 or any(one.stood for one in seen):
        return ""
    number = carriers.pop()
    work.record(CarrierMoved(number, count.place, ""))
    return f" Nobody had said where {carrier_name(work, number)} stands: it stands here now."


def _stand(work: Work, count: Row[Any], seen: Sequence[Sighting]) -> str:
    """What is said of where the record has the goods."""
    one = next((one for one in seen if count.place in (one.spot, one.stood)), None)
    bare = not seen[0].lot and len(seen) == 1
    empty = " By the record nothing is on it: scan what is." if bare else ""
    if one is not None:
        carried = one.spot.startswith(Family.CARRIER) and seen[0].lot
        return f" It is on {carrier_name(work, one.spot)}." if carried else empty
    if not (seen[0].spot or seen[0].stood):
        lot = find_lot(work.connection, seen[0].lot)
        gone = "It was taken back" if lot.voided else "By the record nothing of it is left"
        return f" {gone}: listed as found. Leave it here."
    return f" By the record it is {where_words(work, seen[0])}: listed. Leave it here.{empty}"


def where_words(work: Work, one: Sighting | Difference) -> str:
    """Where the record has goods: at Rack A, on pallet P26-... at Rack A, on a machine, on a shipment."""
    on = f"on {carrier_name(work, one.spot)} " if one.spot.startswith(Family.CARRIER) else ""
    if away(one.stood):
        what = "on a machine, in run" if one.stood.startswith(Family.RUN) else "on shipment"
        return f"{on}{what} {shown(one.stood)}"
    return f"{on}at {place_name(work.connection, work.plant, one.stood)}" if one.stood else on.strip()


def _called(work: Work, command: CountGoods) -> str:
    if command.to:
        return f"{shown(command.number)} to {shown(command.to)}"
    carrier = carrier_or_none(work.connection, command.number)
    return work.called(carrier) if carrier is not None else shown(command.number)


def _held(work: Work, seen: Sequence[Sighting]) -> str:
    """That goods are held: counting stops for nothing, but whoever stands there should know."""
    for one in seen:
        reached = held_by(work.connection, one.lot, one.first, one.last) if one.lot else []
        if reached:
            return f" It is {WORDS[reached[0].kind]}: {reached[0].reason}."
    return ""
