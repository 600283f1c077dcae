"""Does a day's mass go where the record says, and is what does not add up drawn as such?"""

import pytest
from lotroot.tracing.mass_flow import Facts, Made, Taken, Thrown, flow, ranks
from lotroot.tracing.mass_gathered import gathered
from mass_facts import NAILS, a_day, bands


def test_what_is_made_is_used_first_and_the_rest_stands_somewhere() -> None:
    assert bands(flow(NAILS)) == {
        ("source.rod.stock", "step.drawing"): 2_000,
        ("step.drawing", "goods.stripper"): 1_500,
        ("goods.stripper", "step.nails"): 900,
        ("goods.stripper", "end.stripper.gone"): 600,
        ("step.nails", "goods.nail"): 910,
        ("goods.nail", "end.nail.pallet"): 600,
        ("goods.nail", "end.nail.gone"): 310,
        ("step.drawing", "back.drawing.rod"): 400,
        ("step.drawing", "scrap.drawing.ends"): 30,
        ("step.drawing", "loss.drawing"): 20,
        ("step.drawing", "missing.drawing"): 50,
        ("excess.nails", "step.nails"): 10,
    }


SHORT = (Taken("draw", "rod", 100), Taken("nail", "wire", 90, received=True), Taken("nail", "wire", 30))


@pytest.mark.parametrize(
    ("facts", "found"),
    [
        # used more than was made: of the rest what was received counts first
        (
            a_day(*SHORT, made=(Made("draw", "wire", 100),)),
            {("source.wire.received", "goods.wire"): 20, ("goods.wire", "step.nail"): 120},
        ),
        (
            a_day(*SHORT, made=(Made("draw", "wire", 10),)),
            {
                ("source.wire.received", "goods.wire"): 90,
                ("source.wire.stock", "goods.wire"): 20,
                ("step.draw", "goods.wire"): 10,
            },
        ),
        # made of its own kind: what it uses comes from stock, what it makes goes there
        (
            a_day(Taken("rewind", "wire", 100), made=(Made("rewind", "wire", 99),)),
            {
                ("source.wire.stock", "step.rewind"): 100,
                ("step.rewind", "goods.wire"): 99,
                ("goods.wire", "end.wire.gone"): 99,
                ("step.rewind", "missing.rewind"): 1,
            },
        ),
        # a circle of two: solution mixed is used, what drains back is not mixed again the same day
        (
            a_day(
                Taken("mix", "solution", 50),
                Taken("treat", "solution", 80),
                made=(Made("mix", "solution", 50), Made("treat", "solution", 70)),
            ),
            {
                ("step.mix", "goods.solution"): 50,
                ("goods.solution", "step.treat"): 80,
                ("source.solution.stock", "goods.solution"): 30,
                ("step.treat", "goods.solution.later"): 70,
                ("source.solution.stock", "step.mix"): 50,
                ("goods.solution.later", "end.solution.gone"): 70,
            },
        ),
    ],
)
def test_what_no_step_made_that_day_comes_from_stock(facts: Facts, found: dict[tuple[str, str], int]) -> None:
    told = bands(flow(facts))
    assert {ends: told[ends] for ends in found} == found


def test_missing_and_too_much_of_a_step_are_both_drawn() -> None:
    day = a_day(Taken("draw", "rod", 100), made=(Made("draw", "wire", 100),))
    step = day.steps[0]._replace(missing=7, excess=7)
    told = bands(flow(day._replace(steps=(step,))))
    assert (told["excess.draw", "step.draw"], told["step.draw", "missing.draw"]) == (7, 7)


@pytest.mark.parametrize(
    ("order", "taken", "made", "found"),
    [
        ("ab", [("a", "x")], [("b", "x")], ["b", "a"]),
        ("cab", [("b", "x"), ("c", "y")], [("a", "x"), ("b", "y")], ["a", "b", "c"]),
        ("ab", [("a", "x"), ("b", "y")], [("a", "y"), ("b", "x")], ["a", "b"]),
        ("ba", [], [], ["b", "a"]),
    ],
)
def test_a_step_stands_right_of_those_whose_goods_it_uses(
    order: str, taken: list[tuple[str, str]], made: list[tuple[str, str]], found: list[str]
) -> None:
    uses, makes = [Taken(*one, 1) for one in taken], [Made(*one, 1) for one in made]
    assert list(ranks(order, makes, uses)) == found


def test_the_smallest_of_many_scraps_are_gathered_and_add_up() -> None:
    thrown = tuple(Thrown("draw", f"r{number}", 10 + number) for number in range(7))
    found = flow(a_day(Taken("draw", "rod", 200), made=(Made("draw", "wire", 90),), thrown=thrown))
    few = bands(gathered(found, 4))
    scraps = {end: amount for (_, end), amount in few.items() if end.startswith("scrap.")}
    assert scraps == {
        "scrap.draw.r6": 16,
        "scrap.draw.r5": 15,
        "scrap.draw.r4": 14,
        "scrap.others.step.draw": 13 + 12 + 11 + 10,
    }
    [others] = [node for node in gathered(found, 4).nodes if not node.code]
    assert (others.note, others.at) == ("4 others", "draw")
    assert gathered(found, 7) == found
