"""How does somebody count a place by scan: the place, then everything that stands there, then DONE?"""

import contextlib
from typing import Any

from flask import Blueprint, render_template, request
from sqlalchemy import Row

from lotroot.counting.commands import CountGoods, FinishCount, StartCount
from lotroot.counting.counts import open_count_at, open_counts, seen_in
from lotroot.counting.finishing import unseen_question
from lotroot.counting.inside import progress
from lotroot.counting.sightings import nearest, seen_as, seen_before
from lotroot.errors import Refused, Unknown, Unreadable
from lotroot.genealogy.lots import as_alias, find_lot, lots_known_as
from lotroot.genealogy.walks import lots_numbered
from lotroot.identity import Command, ItemNumber, Number, is_thing, number_from, read_tag
from lotroot.identity.showing import shown
from lotroot.plant.adopted import thing_or_none
from lotroot.plant.places import STANDING_THINGS, place_name
from lotroot.tracing.meaning import meant
from lotroot.tracing.words import Words
from lotroot.web.count_words import label_row, learn, said
from lotroot.web.frame import signed_in, when
from lotroot.web.rows import Goods, begins_row, first_of_row, goods_scanned, span, without_row
from lotroot.web.scans import scan_frame
from lotroot.web.scene import Act, Page, Say, Scanned, Scene, Shown

blueprint = Blueprint("counting", __name__)
NAV = (("Counting", "counting.page"),)
MOST = 12
"""As many of what is not seen yet as a hand-held's page takes, the largest."""
HELP = (
    "Scan a place, then everything that stands there. A weight may follow its lot. DONE finishes the count."
)


@blueprint.get("/count")
def page() -> str:
    """The page of whoever counts; with ?place= it goes on where somebody counts already."""
    signed_in()
    place = request.args.get("place", "")[:11]
    return render_template(
        "counting.html", **scan_frame(PAGE, kind="yard", context={"place": place} if place else {})
    )


def meaning(scene: Scene, scanned: Scanned) -> Act | Say | None:
    """A place to count, goods that stand there, a weight, or a command."""
    context = dict(scene.context)
    count = open_count_at(scene.connection, str(context.get("place", "")))
    row = begins_row(scanned, context)
    if row is not None:
        return row
    if isinstance(scanned.value, Command):
        return _command(scene, scanned.value, count)
    if isinstance(scanned.value, Number) and is_thing(scanned.value):
        return _place(scene, str(scanned.value), count)
    value = goods_scanned(scene, scanned) or _known_outside(scene, scanned)
    if value is None:
        return _weight(scene, scanned, count)
    if count is None:
        raise Unreadable(
            "Nobody has said yet which place is counted.",
            value=shown(str(value)),
            expected="The label of a place.",
            next_step="Scan the place first, then this again.",
        )
    return _goods(scene, count, value)


def _goods(scene: Scene, count: Row[Any], value: Goods) -> Act | Say:
    context = dict(scene.context)
    first = first_of_row(value, context)
    if first is not None:
        return first
    number, last = span(value, context)
    kept = {**without_row(context), "last": "" if isinstance(value, ItemNumber) else number}
    command = CountGoods(count.id, number, last)
    if kept["last"]:
        seen = nearest(count.place, seen_as(scene.connection, command))
        before = seen_before(seen_in(scene.connection, count.id), number, seen)
        if before is not None:  # scanned again to be weighed: what is typed next is about this one
            at = when(scene.plant, before.at)
            return Say(f"{shown(number)} was seen at {at}.", verdict="already", context=kept)
    return Act(command, kept)


def _command(scene: Scene, command: Command, count: Row[Any] | None) -> Act | Say | None:
    if command is Command.DONE and count is not None:
        return Act(FinishCount(count.id), {})
    if command is Command.NEXT:
        name = place_name(scene.connection, scene.plant, count.place) if count is not None else ""
        left = f"The count of {name} stays open. " if name else ""
        return Say(f"{left}Scan the next place.", context={})
    return None


def _place(scene: Scene, number: str, count: Row[Any] | None) -> Act | Say | None:
    """A place is counted from now on; the one before is finished, or stays open, as somebody says."""
    thing = thing_or_none(scene.connection, number)
    if thing is None or thing.kind not in STANDING_THINGS:
        return None
    context = {"place": number}
    there = open_count_at(scene.connection, number)
    answers = _finishes(scene, count) if count is not None and count.place != number else None
    before = (FinishCount(count.id),) if count is not None and answers is not None else ()
    if there is None:
        return Act(StartCount(number), context, before=before, answers=answers or {})
    if before:
        return Act(before[0], context, answers=answers or {})
    name, since = place_name(scene.connection, scene.plant, number), when(scene.plant, there.opened)
    again = "already" if count is not None and count.place == number else "accepted"
    return Say(f"{name} is being counted since {since}. Scan what stands there.", again, context=context)


def _finishes(scene: Scene, count: Row[Any]) -> dict[str, str] | None:
    """Whether the count before is finished: what that answers of its command, None where it stays open."""
    found = progress(scene.connection, count)
    left = found.expected - found.seen
    yes = f"Yes: {left} not seen {'is' if left == 1 else 'are'} missing" if left else "Yes, finish it"
    text = f"{place_name(scene.connection, scene.plant, count.place)}: {said(found)}. Is this count finished?"
    if scene.ask(f"count-{count.id}", text, {"yes": yes, "no": "No, it stays open"}) == "no":
        return None
    return {unseen_question(left): "yes"}


def _known_outside(scene: Scene, scanned: Scanned) -> Number | None:
    """The lot that a supplier's tag names; Unreadable where it names several."""
    if scanned.value is not None:
        return None
    names = [as_alias(scanned.text)]
    with contextlib.suppress(Unreadable):
        names.append(as_alias(read_tag(scanned.text).value))
    for name in dict.fromkeys(names):
        lots = lots_numbered(scene.connection, lots_known_as(scene.connection, name))
        if any(not row.voided for row in lots.values()):
            return number_from(meant(scene.connection, name))
    return None


def _weight(scene: Scene, scanned: Scanned, count: Row[Any] | None) -> Act | None:
    """A number typed after a lot is what that lot weighs, or counts."""
    last = str(scene.context.get("last", ""))
    if scanned.value is not None or count is None or not last:
        return None
    goods = [one for one in seen_as(scene.connection, CountGoods(count.id, last)) if one.lot]
    if not goods:
        return None
    lot = find_lot(scene.connection, goods[0].lot)
    amount = scene.typed(scanned.text, lot.unit, goods[0].amount)
    if not amount:
        raise Unreadable(
            "Nothing is no weight.",
            value=scanned.text,
            expected="More than 0.",
            next_step="What is not here is simply not scanned; UNDO takes a scan back.",
        )
    return Act(CountGoods(count.id, last, amount=amount, typed_by=scene.typed_by), scene.context)


def _weighable(scene: Scene, last: str) -> bool:
    """Whether what was scanned last is one lot that can be weighed whole: no boxes, no empty pan."""
    try:
        goods = [one for one in seen_as(scene.connection, CountGoods(0, last)) if one.lot] if last else []
    except (Refused, Unknown, Unreadable):  # a pallet may have been taken back meanwhile
        return False
    return len(goods) == 1 and not goods[0].first


def show(scene: Scene) -> Shown:
    """How far the count is, and what is not seen yet."""
    count = open_count_at(scene.connection, str(scene.context.get("place", "")))
    words = Words(scene.connection)
    values: dict[str, Any] = {"name": "", "others": _others(scene, count, words)}
    if count is not None:
        found = progress(scene.connection, count)
        some = found.unseen[:MOST]
        learn(words, some)
        values |= {
            "name": words.called(count.place),
            "said": said(found),
            "unseen": [label_row(words, label) for label in some],
            "more": len(found.unseen) - len(some),
            "since": when(scene.plant, count.opened),
            "by": words.called(count.person),
        }
    html = render_template("_count_progress.html", **values)
    return Shown(_next(scene, values["name"], values.get("said", "")), {"count-progress": html})


def _others(scene: Scene, count: Row[Any] | None, words: Words) -> list[tuple[str, str]]:
    """Other places that are being counted, to join or go back to."""
    here = count.place if count is not None else ""
    return [
        (row.place, words.called(row.place)) for row in open_counts(scene.connection) if row.place != here
    ]


def _next(scene: Scene, name: str, so_far: str) -> str:
    context = scene.context
    if not name:
        return "Scan the label of the place you count"
    if context.get("row"):
        return "Scan the last of the row" if context.get("first") else "Scan the first of the row"
    if _weighable(scene, str(context.get("last", ""))):
        return f"{so_far}. Scan the next, or type what {shown(str(context['last']))} weighs"
    return f"{name}: {so_far}. Scan what stands here; DONE finishes"


PAGE = Page("count", meaning, show, HELP)
