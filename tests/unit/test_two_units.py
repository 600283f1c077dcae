"""Is a value that stands in two units the same in both, and taken along where one is given?"""

import pytest
from lotroot.confirmed.figures import Figure, figures_in
from lotroot.quality.two_units import in_both, twins
from lotroot.reference import names


def figure(**texts: str) -> Figure:
    """A row that its first column names."""
    return Figure("any", (next(iter(texts)),), texts)


def test_what_the_published_tables_say_in_two_units_agrees() -> None:
    asked = 0
    for name in names():
        for one in figures_in(name):
            for twin in twins(one):
                texts = {column: one.texts[column] for column in twin[:2]}
                if all(texts.values()):
                    in_both(one, texts)  # raises where they do not
                    asked += 1
    assert asked > 1_000


@pytest.mark.parametrize(
    ("row", "given", "along"),
    [
        ({"shank_mm": "2.500", "shank_in": "0.0984"}, {"shank_mm": "2.6"}, {"shank_in": "0.1024"}),
        ({"shank_mm": "2.500", "shank_in": "0.098"}, {"shank_in": "0.102"}, {"shank_mm": "2.591"}),
        ({"thick_dry_in": "1.5", "thick_dry_mm": "38"}, {"thick_dry_mm": "40"}, {"thick_dry_in": "1.57"}),
        ({"thick_dry_in": "1.5", "thick_dry_mm": "38"}, {"thick_dry_in": "1.625"}, {"thick_dry_mm": "41.28"}),
        ({"low_pcf": "0.06", "low_kg_m3": "1.0"}, {"low_pcf": "0.15"}, {"low_kg_m3": "2.4"}),
        ({"count_per_lb": "196", "count_per_kg": "433"}, {"count_per_kg": "441"}, {"count_per_lb": "200.0"}),
        (
            {"steel_kg_per_km": "4.994", "m_per_kg": "200.242"},
            {"m_per_kg": "200"},
            {"steel_kg_per_km": "5.000"},
        ),
        ({"total_oz_ft2": "0.9", "total_g_m2": "275"}, {"total_oz_ft2": "1.0"}, {"total_g_m2": "305"}),
        # the row says nothing in the other unit, or there is none
        ({"shank_mm": "2.500", "shank_in": ""}, {"shank_mm": "2.6"}, {}),
        ({"shank_mm": "2.500", "head_in": "0.2"}, {"shank_mm": "2.6"}, {}),
    ],
)
def test_the_other_unit_is_taken_along(
    row: dict[str, str], given: dict[str, str], along: dict[str, str]
) -> None:
    assert in_both(figure(name="a", **row), given) == along
