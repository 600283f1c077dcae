"""Do the links say what a walk through every single gram says, and do they keep their promises?"""

from collections import Counter, defaultdict
from itertools import pairwise

import gram_by_gram
from histories import margins, runs
from hypothesis import given
from hypothesis import strategies as st
from lotroot.balance.closing import differences, standing
from lotroot.balance.feeds import FEEDS, links, per_output
from lotroot.balance.happenings import (
    Closed,
    Ended,
    FeedName,
    Happening,
    Link,
    Load,
    Made,
    Margin,
    Order,
    Scrapped,
    Unloaded,
)

feeds = st.sampled_from(list(FEEDS))
orders: st.SearchStrategy[Order] = st.sampled_from(["kept", "reversed", "lost"])


@given(runs(by_products=False), margins)
def test_in_turn_every_gram_is_of_the_load_a_slow_walk_finds(run: list[Happening], margin: Margin) -> None:
    walked = gram_by_gram.outputs(run, margin)
    offsets: Counter[str] = Counter()
    for (made, found), grams in zip(per_output("in_turn", "kept", run, margin), walked, strict=True):
        by_link = [0] * made.amount
        for link in found:
            if link.given:
                start = link.child_from - offsets[made.lot]
                by_link[start : start + link.given] = [link.load] * link.given
        assert by_link[: len(grams)] == grams
        offsets[made.lot] += made.amount


@given(feeds, orders, runs(), margins)
def test_what_an_output_was_given_is_its_amount(
    feed: FeedName, order: Order, run: list[Happening], margin: Margin
) -> None:
    for made, found in per_output(feed, order, run, margin):
        assert sum(link.given for link in found) == (made.amount if found else 0)
        assert all(link.given == link.taken for link in found)


@given(feeds, runs(), margins)
def test_every_load_closes(feed: FeedName, run: list[Happening], margin: Margin) -> None:
    """RULES.md 3: amount = taken + scrapped + differences + standing."""
    left = Counter({each.seq: each.amount for each in run if isinstance(each, Load)})
    on = set(left)
    for link in links(feed, "lost", run, margin):
        left[link.load] -= link.taken
    for happening in run:
        if isinstance(happening, Scrapped):
            left[happening.load] -= happening.amount
        elif isinstance(happening, Ended | Unloaded):
            on.discard(happening.load)
    for line in differences(feed, run, margin):
        left[line.load] -= line.amount
    stands = standing(feed, run, margin)
    assert {seq: left[seq] for seq in stands} == stands
    if isinstance(run[-1], Closed):
        assert all(amount >= 0 for amount in stands.values())
        weighed = {each.load: each.remainder for each in run if isinstance(each, Unloaded)}
        assert all(stands[seq] == weighed.get(seq, 0) for seq in stands if seq not in on)


@given(feeds, runs(), margins)
def test_no_later_happening_changes_what_was_written(
    feed: FeedName, run: list[Happening], margin: Margin
) -> None:
    """RULES.md 6: links are written when the output is made; ending, unloading, closing change none."""
    whole = per_output(feed, "reversed", run, margin)
    for length in range(len(run)):
        early = per_output(feed, "reversed", run[:length], margin)
        assert whole[: len(early)] == early


@given(feeds, runs(), margins)
def test_what_was_booked_stays_booked(feed: FeedName, run: list[Happening], margin: Margin) -> None:
    whole = differences(feed, run, margin)
    for length in range(len(run)):
        assert differences(feed, run[:length], margin) == tuple(
            line for line in whole if line.booked < length
        )


@given(feeds, orders, runs(), margins)
def test_the_same_history_gives_the_same_links(
    feed: FeedName, order: Order, run: list[Happening], margin: Margin
) -> None:
    signs = [Closed(), Ended(99), Unloaded(99), Scrapped(99, 1)]
    among = [each for happening in run for each in (happening, *signs)]
    assert links(feed, order, run, margin) == links(feed, order, iter(among), margin)


@given(st.sampled_from(["in_turn", "together"]), runs(), margins)
def test_takings_from_one_end_of_a_lot_never_overlap(
    feed: FeedName, run: list[Happening], margin: Margin
) -> None:
    """RULES.md 8, whatever the label says and however often it was put back."""
    taken: dict[tuple[str, str], list[tuple[int, int]]] = defaultdict(list)
    for link in links(feed, "kept", run, margin):
        if link.given:
            assert link.parent_to - link.parent_from == link.given
            taken[link.parent, link.end].append((link.parent_from, link.parent_to))
    for stretches in taken.values():
        assert all(before[1] <= after[0] for before, after in pairwise(stretches))


@given(feeds, orders, runs(), margins)
def test_least_expected_and_most_stand_in_order_and_leave_room_for_the_whole(
    feed: FeedName, order: Order, run: list[Happening], margin: Margin
) -> None:
    for made, found in per_output(feed, order, run, margin):
        assert all(0 <= link.least <= link.given <= link.most for link in found)
        if found:
            least, most = sum(link.least for link in found), sum(link.most for link in found)
            assert least <= made.amount <= most


@given(st.sampled_from(["in_turn", "together"]), orders, runs(), margins)
def test_stretches_lie_inside_the_output_and_cover_it(
    feed: FeedName, order: Order, run: list[Happening], margin: Margin
) -> None:
    offsets: Counter[str] = Counter()
    for made, found in per_output(feed, order, run, margin):
        start, stop = offsets[made.lot], offsets[made.lot] + made.amount
        covered = {place for link in found for place in range(link.child_from, link.child_to)}
        assert covered == (set(range(start, stop)) if found else set())
        offsets[made.lot] = stop


@given(feeds, orders, runs(), margins)
def test_joined_links_carry_the_same_amounts(
    feed: FeedName, order: Order, run: list[Happening], margin: Margin
) -> None:
    def sums(found: list[Link]) -> Counter[tuple[str, str, int, str]]:
        total: Counter[tuple[str, str, int, str]] = Counter()
        for link in found:
            for name in ("given", "least", "most"):
                total[link.child, link.parent, link.load, name] += getattr(link, name)
        return total

    joined = links(feed, order, run, margin)
    single = [link for _, found in per_output(feed, order, run, margin) for link in found]
    assert sums(list(joined)) == sums(single)
    assert len(joined) <= len(single)


@given(st.lists(st.integers(1, 40), min_size=4, max_size=4), st.data(), margins)
def test_a_late_mark_changes_only_outputs_between_its_anchors(
    amounts: list[int], data: st.DataObject, margin: Margin
) -> None:
    """Four coils, every end marked; one of the marks is entered afterwards (RULES.md 6)."""
    run: list[Happening] = [Load(1, "P1", "rod", "steel", "1", amounts[0])]
    anchors = []
    clock = 0
    for seq in range(2, 5):
        for _ in range(data.draw(st.integers(1, 3))):
            clock += 10
            run.append(Made(clock, f"C{clock}", 0, 0, data.draw(st.integers(1, 30)), clock - 10, clock))
        anchors.append(len(run))
        run += [Ended(seq - 1, seq, clock + 5), Load(seq, f"P{seq}", "rod", "steel", "1", amounts[seq - 1])]
    for _ in range(5):
        clock += 10
        run.append(Made(clock, f"C{clock}", 0, 0, 20, clock - 10, clock))
    late = data.draw(st.integers(0, 2))
    without = [each for place, each in enumerate(run) if place != anchors[late]]
    before, after = (dict(_by_seq(each, margin)) for each in (without, run))
    changed = [seq for seq in after if after[seq] != before[seq]]
    times = [each.at for each in run if isinstance(each, Ended)]
    assert all(seq > times[late] for seq in changed)
    if late < 2:
        # The next anchor binds at the latest when its margin has passed behind it.
        made = [each for each in run if isinstance(each, Made) and each.ended > times[late + 1]]
        behind = 0
        for output in made:
            if behind > margin.on_blocks + margin.width:
                assert output.seq not in changed
            behind += output.amount if output.began > times[late + 1] else 0


def _by_seq(run: list[Happening], margin: Margin) -> list[tuple[int, tuple[Link, ...]]]:
    return [(made.seq, found) for made, found in per_output("in_turn", "kept", run, margin)]
