"""How does a part of an output become a link, and which links are one?"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from lotroot.balance.happenings import Basis, End, FeedName, Link, Load, Made, Order

_CHILD_END: dict[Order, End] = {"kept": "outer", "reversed": "inner", "lost": "unknown"}


@dataclass(frozen=True, slots=True)
class Part:
    """What one load gave, or may have given, to the stretch `start` to `stop` of one output.

    The stretch counts from where the making of this output began; `given` is what is expected of it.
    """

    load: Load
    start: int
    stop: int
    given: int
    least: int
    most: int
    parent_from: int
    parent_to: int
    basis: Basis
    filling: int = 0


def link(working: tuple[FeedName, Order], made: Made, offset: int, part: Part) -> Link:
    """The link of a part; `offset` is what had been made of the same lot before this output.

    Where order is lost, or nobody can know it (mixed), any part may be anywhere in the output.
    """
    feed, order = working
    anywhere = order == "lost" or feed == "mixed"
    start, stop = (0, made.amount) if anywhere else (part.start, part.stop)
    first, last = _serials(made, start, stop)
    return Link(
        child=made.lot,
        child_first=first,
        child_last=last,
        child_from=offset + start,
        child_to=offset + stop,
        parent=part.load.lot,
        load=part.load.seq,
        role=part.load.role,
        stream=part.load.stream,
        taken=part.given,
        given=part.given,
        parent_from=part.parent_from,
        parent_to=part.parent_to,
        feed=feed,
        least=part.least,
        most=part.most,
        basis=part.basis,
        end=part.load.end,
        child_end="unknown" if anywhere else _CHILD_END[order],
        lane_from=made.lane_from,
        lane_to=made.lane_to,
        filling=part.filling,
    )


def merged(links: Iterable[Link]) -> tuple[Link, ...]:
    """The same links, those that go on where one of their kind stopped joined to it: boxes 1 to 50."""
    joined: list[Link] = []
    latest: dict[tuple[object, ...], int] = {}
    for each in links:
        place = latest.get(_kind(each))
        if place is not None and _goes_on(joined[place], each):
            joined[place] = _joined(joined[place], each)
        else:
            latest[_kind(each)] = len(joined)
            joined.append(each)
    return tuple(joined)


def _serials(made: Made, start: int, stop: int) -> tuple[int, int]:
    """The items a stretch touches when all weigh the same; one across a border counts on both sides."""
    if not made.last or not made.amount:
        return made.first, made.last
    items = made.last - made.first + 1
    return made.first + start * items // made.amount, made.first - 1 - (-stop * items // made.amount)


def _kind(each: Link) -> tuple[object, ...]:
    # A stretch that only could be the load's never runs together with one that is.
    place = (each.end, each.child_end, each.lane_from, each.lane_to, each.filling, each.given > 0)
    return (each.child, each.parent, each.load, each.role, each.stream, each.feed, each.basis, *place)


def _goes_on(before: Link, after: Link) -> bool:
    serials = after.child_first - before.child_last in (0, 1)
    stretches = before.child_to == after.child_from and before.parent_to == after.parent_from
    return serials and stretches


def _joined(before: Link, after: Link) -> Link:
    return replace(
        before,
        child_last=after.child_last,
        child_to=after.child_to,
        parent_to=after.parent_to,
        taken=before.taken + after.taken,
        given=before.given + after.given,
        least=before.least + after.least,
        most=before.most + after.most,
    )
