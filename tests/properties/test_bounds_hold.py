"""Whatever really happened within the margins: does it lie between least and most, and in the stretches?"""

from collections import Counter
from fractions import Fraction

from histories import margins, runs
from hypothesis import assume, given
from hypothesis import strategies as st
from lotroot.balance.feeds import per_output
from lotroot.balance.happenings import Ended, Happening, Load, Made, Margin, Scrapped, Unloaded


@st.composite
def coils_in_turn(draw: st.DrawFn) -> tuple[list[Happening], list[tuple[int, int, int | None]]]:
    """Up to four coils, some changes marked, and for each change (earliest, output, mark) in grams.

    Earliest is what had been made when the next coil was put on; mark what had been made when it was
    scanned, None without one.
    """
    run: list[Happening] = [Load(1, "P1", "rod", "steel", "1", draw(st.integers(0, 30)))]
    changes: list[tuple[int, int, int | None]] = []
    clock = made = 0
    for seq in range(2, draw(st.integers(2, 5)) + 1):
        for _ in range(draw(st.integers(0, 3))):
            clock, made = _output(draw, run, clock, made)
        marked, into = draw(st.booleans()), draw(st.integers(0, 10))
        if marked:
            run.append(Ended(seq - 1, seq, clock + into))
        run.append(Load(seq, f"P{seq}", "rod", "steel", "1", draw(st.integers(0, 30))))
        before = made
        clock, made = _output(draw, run, clock, made)
        changes.append((before, made, before + (made - before) * into // 10 if marked else None))
    for _ in range(draw(st.integers(0, 3))):
        clock, made = _output(draw, run, clock, made)
    return run, changes


def _output(draw: st.DrawFn, run: list[Happening], clock: int, made: int) -> tuple[int, int]:
    amount = draw(st.integers(1, 15))
    run.append(Made(clock, f"C{clock}", 0, 0, amount, clock, clock + 10))
    return clock + 10, made + amount


@given(coils_in_turn(), margins, st.data())
def test_in_turn_the_real_borders_lie_within_the_bounds(
    drawn: tuple[list[Happening], list[tuple[int, int, int | None]]], margin: Margin, data: st.DataObject
) -> None:
    """A marked border lies within the margin of where it is reckoned, an unmarked one anywhere from when

    the next coil was on to when the first had given its label and the margin.
    """
    run, changes = drawn
    amounts = [each.amount for each in run if isinstance(each, Load)]
    real = [0]
    for (before, _, mark), amount in zip(changes, amounts, strict=False):
        if mark is None:
            low, high = before, max(before, real[-1] + amount + margin.width)
        else:
            low, high = max(before, mark - margin.loss), mark + margin.on_blocks + margin.width
        assume(high >= real[-1])
        real.append(data.draw(st.integers(max(low, real[-1]), high)))
    real.append(10**6)
    place = 0
    for made, found in per_output("in_turn", "kept", run, margin):
        for seq in range(1, len(real)):
            grams = range(max(real[seq - 1], place), min(real[seq], place + made.amount))
            mine = [link for link in found if link.load == seq]
            assert sum(link.least for link in mine) <= len(grams) <= sum(link.most for link in mine)
            covered = {gram for link in mine for gram in range(link.child_from, link.child_to)}
            assert {gram - place for gram in grams} <= covered
        place += made.amount


@given(st.lists(st.integers(0, 30), min_size=1, max_size=4), st.data())
def test_mixed_what_really_came_out_lies_within_the_bounds(amounts: list[int], data: st.DataObject) -> None:
    """The vessel need not mix at all: each output takes what it will of each lot."""
    inside = Counter(dict(enumerate(amounts, 1)))
    run: list[Happening] = [Load(seq, f"P{seq}", "n", "steel", "", inside[seq]) for seq in inside]
    real: list[dict[int, int]] = []
    for clock in range(data.draw(st.integers(1, 4))):
        taken = {seq: data.draw(st.integers(0, inside[seq])) for seq in inside}
        inside.subtract(taken)
        real.append(taken)
        run.append(Made(clock, f"C{clock}", 0, 0, sum(taken.values()), clock, clock + 1))
        if data.draw(st.booleans()):
            seq = len(inside) + 1
            inside[seq] = data.draw(st.integers(0, 30))
            run.append(Load(seq, f"P{seq}", "n", "steel", "", inside[seq]))
    for (_, found), taken in zip(per_output("mixed", "lost", run), real, strict=True):
        assert {link.load for link in found} == set(taken)
        assert all(link.least <= taken[link.load] <= link.most for link in found)


@given(runs())
def test_mixed_is_expected_by_proportion_of_what_was_put_in(run: list[Happening]) -> None:
    """Against exact fractions; each output rounds by less than a unit, and no more is let slip."""
    run = [each for each in run if not isinstance(each, Ended | Unloaded | Scrapped)]
    inside: dict[int, Fraction] = {}
    written = per_output("mixed", "lost", run)
    links_of = {made.seq: {link.load: link.given for link in found} for made, found in written}
    slip = 0
    for happening in run:
        if isinstance(happening, Load):
            inside[happening.seq] = Fraction(happening.amount)
        elif isinstance(happening, Made):
            whole = sum(inside.values())
            if whole <= happening.amount:
                break  # the scales gave more than went in, or nothing was left: shared as told elsewhere
            slip += 1
            for seq, amount in inside.items():
                part = amount * happening.amount / whole
                assert abs(links_of[happening.seq].get(seq, 0) - part) <= slip
                inside[seq] -= part


@given(st.lists(st.integers(1, 90), min_size=1, max_size=9), st.lists(st.integers(0, 5000), max_size=4))
def test_together_each_payoff_gives_by_its_mass_a_metre(weights: list[int], amounts: list[int]) -> None:
    run: list[Happening] = [
        Load(place, f"P{place}", "line", "steel", str(place), 10**6, weight=weight)
        for place, weight in enumerate(weights, 1)
    ]
    run += [Made(k, "C", k, k, amount, k, k + 1) for k, amount in enumerate(amounts, 1)]
    for made, found in per_output("together", "kept", run):
        assert len(found) == len(weights)
        for link, weight in zip(found, weights, strict=True):
            assert abs(link.given - Fraction(made.amount * weight, sum(weights))) < 1
            assert (link.child_from, link.child_to) == (found[0].child_from, found[0].child_to)
            assert (link.child_first, link.child_last) == (made.first, made.last)


@given(st.lists(st.integers(0, 60), min_size=1, max_size=6), st.data(), margins)
def test_together_one_payoffs_change_leaves_the_others_and_all_before_alone(
    amounts: list[int], data: st.DataObject, margin: Margin
) -> None:
    run: list[Happening] = [
        Load(payoff, f"P{payoff}", "line", "steel", str(payoff), data.draw(st.integers(0, 99)), weight=payoff)
        for payoff in (1, 2, 3)
    ]
    run += [Made(k, f"C{k}", 0, 0, amount, 10 * k, 10 * k + 10) for k, amount in enumerate(amounts)]
    place = data.draw(st.integers(0, len(amounts)))
    change = [
        Ended(2, 4, 10 * place + data.draw(st.integers(0, 10))),
        Load(4, "P4", "line", "steel", "2", data.draw(st.integers(0, 99)), weight=2),
    ]
    changed = [*run[: 3 + place], *change, *run[3 + place :]]
    before, after = (
        per_output("together", "kept", run, margin),
        per_output("together", "kept", changed, margin),
    )
    assert before[:place] == after[:place]
    for (_, old), (_, new) in zip(before, after, strict=True):
        assert [each for each in old if each.load in (1, 3)] == [each for each in new if each.load in (1, 3)]
