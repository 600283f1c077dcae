"""Are the dies of a set and the limits of a draft read from plant.toml, and refused where they cannot be?"""

import plants
import pytest
from lotroot.dies.fitting import Job, fit, limits_of
from lotroot.errors import Unreadable
from lotroot.processes.reading import parse

DIES = 'dies = { name = "Dies 2.50", kind = "die_set" }'
ROD = 'rod_55 = { name = "Rod 5.5", kind = "rod" }'
STREAMS = "[process.drawing.streams]"


def with_dies(listed: str) -> str:
    """The small plant, its rod 5.5 mm, with a set of these dies."""
    sized = plants.SMALL.replace(ROD, 'rod_55 = { name = "Rod 5.5", kind = "rod", wire_mm = "5.5" }')
    return sized.replace(DIES, f'dies = {{ name = "Dies 2.50", kind = "die_set", dies_mm = {listed} }}')


def with_drafts(table: str) -> str:
    """The small plant with limits of a draft."""
    return plants.SMALL.replace(STREAMS, f"[process.drawing.drafts]\n{table}\n\n{STREAMS}")


def test_dies_are_kept_as_written_from_entry_to_finish() -> None:
    plant = parse(with_dies('["4.90", "4.4", "4"]'))
    assert plant.resource("dies").dies_mm == ("4.90", "4.4", "4")


def test_a_plant_that_tells_neither_is_as_good_as_before() -> None:
    plant = parse(plants.SMALL)
    assert plant.resource("dies").dies_mm == ()
    assert plant.process("drawing").drafts is None


def test_limits_of_a_draft_are_the_plants_own_and_most_of_them_may_be_left_out() -> None:
    all_three = 'most_percent = "25"\nleast_percent = "12.5"\ntotal_most_percent = "90"'
    full = parse(with_drafts(all_three)).process("drawing").drafts
    bare = parse(with_drafts('most_percent = "30"')).process("drawing").drafts
    assert full is not None
    assert (full.least_percent, full.most_percent, full.total_most_percent) == ("12.5", "25", "90")
    assert bare is not None
    assert (bare.least_percent, bare.total_most_percent, bare.checked) == ("0", "99.9", "")
    assert (full.worn_percent, bare.worn_percent) == ("3", "3")
    assert [str(limits_of(drafts).most_percent) for drafts in (full, bare)] == ["25", "30"]


@pytest.mark.parametrize("table", ["0.001 0 0.001", "63.2 63.2 63.2", "63.2 0 99.9"])
def test_whatever_the_plant_may_say_theory_can_work_with(table: str) -> None:
    keys = ("most_percent", "least_percent", "total_most_percent")
    told = "\n".join(f'{key} = "{value}"' for key, value in zip(keys, table.split(), strict=True))
    drafts = parse(with_drafts(told)).process("drawing").drafts
    assert drafts is not None
    assert str(limits_of(drafts).most_percent) == table.split(maxsplit=1)[0]


@pytest.mark.parametrize(
    ("listed", "value", "fits"),
    [
        ('["4.40", "4.90"]', "'4.90'", "less than the die before it, 4.40 mm"),
        ('["4.90", "4.900"]', "'4.900'", "less than the die before it, 4.90 mm"),
        ('["5.50", "4.90"]', "'5.50'", "less than the thickest rod, 5.5 mm"),
        ('["6", "4.90"]', "'6'", "less than the thickest rod, 5.5 mm"),
        ('["4.90", "0"]', "'0'", "from 0.01 to 60 mm"),
        ('["4.90", "-2"]', "'-2'", "from 0.01 to 60 mm"),
        ('["700", "4.90"]', "'700'", "from 0.01 to 60 mm"),
        ('["NaN"]', "'NaN'", "sizes in mm in quotes"),
        ('["4,90"]', "'4,90'", "sizes in mm in quotes"),
        ('["1e1"]', "'1e1'", "sizes in mm in quotes"),
        ("[4.90]", "4.9", "sizes in mm in quotes"),
        ('"4.90 4.40"', "'4.90 4.40'", "a list of sizes in mm in quotes"),
    ],
)
def test_dies_that_cannot_be_are_refused_with_what_would_fit(listed: str, value: str, fits: str) -> None:
    with pytest.raises(Unreadable) as refusal:
        parse(with_dies(listed))
    assert "[resource.dies], dies_mm = " in refusal.value.what
    assert refusal.value.value == value
    assert fits in refusal.value.expected


@pytest.mark.parametrize(
    ("table", "key", "value", "fits"),
    [
        ('most_percent = "0"', "most_percent", "'0'", "from 0.001 to 63.2 %"),
        ('most_percent = "-5"', "most_percent", "'-5'", "from 0.001 to 63.2 %"),
        ('most_percent = "70"', "most_percent", "'70'", "from 0.001 to 63.2 %"),
        ('most_percent = "NaN"', "most_percent", "'NaN'", "a decimal in quotes"),
        ("most_percent = 30", "most_percent", "30", "a decimal in quotes"),
        ('least_percent = "10"', "most_percent", "''", "the most that one draft may reduce"),
        (
            'most_percent = "30"\nleast_percent = "30.5"',
            "least_percent",
            "'30.5'",
            "from 0 to 30 %",
        ),
        (
            'most_percent = "30"\ntotal_most_percent = "100"',
            "total_most_percent",
            "'100'",
            "from 30 to 99.9 %",
        ),
        ('most_percent = "30"\nworn_percent = "21"', "worn_percent", "'21'", "from 0.001 to 20 %"),
        ('most_percent = "30"\nworn_percent = "0"', "worn_percent", "'0'", "from 0.001 to 20 %"),
        ('most_percent = "30"\nchecked = "colour"', "checked", "'colour'", "one of wire_diameter"),
    ],
)
def test_limits_that_cannot_be_are_refused_with_what_would_fit(
    table: str, key: str, value: str, fits: str
) -> None:
    with pytest.raises(Unreadable) as refusal:
        parse(with_drafts(table))
    assert f"[process.drawing.drafts], {key} = {value}" in refusal.value.what
    assert fits in refusal.value.expected


def test_a_misspelt_limit_is_not_passed_over() -> None:
    with pytest.raises(Unreadable, match="most_per_cent"):
        parse(with_drafts('most_percent = "30"\nmost_per_cent = "20"'))


def test_every_die_set_of_the_demo_plant_fits_the_rod_it_is_for() -> None:
    plant = plants.demo_plant()
    drafts = plant.process("wire_drawing").drafts
    assert drafts is not None
    rods = {"25": "5.5", "38": "6.5", "50": "8.0", "60": "8.0"}
    sets = [one for one in plant.resources.values() if one.kind == "die_set"]
    assert len(sets) == 5
    for one in sets:
        size = one.code.split("_")[1]
        product = plant.product(f"wire_{size}")
        job = Job(rods[size], product, plant.limits(drafts.checked, product.code))
        assert fit(drafts, one.dies_mm, job).faults == ()
