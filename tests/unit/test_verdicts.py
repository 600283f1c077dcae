"""Is a check judged by its limits as decimals, digit by digit?"""

import plants
import pytest
from lotroot.plant.figures import limit_figure
from lotroot.processes.definition import Limits
from lotroot.quality.judging import in_words, verdict_of

PLANT = plants.demo_plant()


def limits(low: str | None, high: str | None, confidence: str = "sourced") -> Limits:
    return Limits(low, high, "somewhere", confidence)


@pytest.mark.parametrize(
    ("low", "high", "readings", "verdict"),
    [
        ("2.45", "2.55", ("2.45",), "pass"),
        ("2.45", "2.55", ("2.55",), "pass"),
        ("2.45", "2.55", ("2.550000000000001",), "fail"),
        ("2.45", "2.55", ("2.4499999999999999",), "fail"),
        ("2.45", "2.55", ("2.50", "2.51", "2.56"), "fail"),
        ("2.45", "2.55", ("2.50", "2.51", "2.5"), "pass"),
        ("550", None, ("549.9",), "fail"),
        ("550", None, ("100000",), "pass"),
        (None, "12", ("12.0",), "pass"),
        (None, "12", ("12.1",), "fail"),
        (None, None, ("7",), "noted"),
        ("0.1", "0.3", ("0.3",), "pass"),  # 0.1 + 0.2 of binary fractions would be above 0.3
    ],
)
def test_every_reading_is_within(low: str, high: str, readings: tuple[str, ...], verdict: str) -> None:
    assert verdict_of(PLANT.characteristic("wire_diameter"), limits(low, high), readings, 0) == verdict


@pytest.mark.parametrize(
    ("high", "found", "verdict"), [(None, 0, "pass"), (None, 1, "fail"), ("2", 2, "pass"), ("2", 3, "fail")]
)
def test_of_an_attribute_none_or_as_many_as_allowed_are_bad(
    high: str | None, found: int, verdict: str
) -> None:
    assert verdict_of(PLANT.characteristic("drip_free"), limits(None, high), (), found) == verdict


@pytest.mark.parametrize(
    ("characteristic", "product", "confirmed"),
    [
        ("wire_diameter", "wire_25", False),  # ASTM A510, from memory
        ("tensile", "wire_25", True),  # IS 723:1972, sourced
        ("box_mass", "box_25x50", True),  # the plant's own
        ("retention_assay", "treated_2x4x12", True),  # Wood Handbook GTR-190 Table 15-1, cross-checked
        ("penetration", "treated_2x4x12", False),  # AWPA T1, from memory
    ],
)
def test_limits_from_memory_are_not_confirmed(characteristic: str, product: str, confirmed: bool) -> None:
    assert limit_figure(PLANT, characteristic, product).from_memory is not confirmed


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        ("2.45", "2.55", "2.45 to 2.55 mm"),
        ("550", None, "at least 550 mm"),
        (None, "12", "at most 12 mm"),
        (None, None, ""),
    ],
)
def test_limits_are_said_in_words(low: str | None, high: str | None, said: str) -> None:
    assert in_words(low, high, "mm") == said
