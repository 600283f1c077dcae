"""What holds for every size: nothing is lost between the knives, and twice as long is twice as heavy?"""

from decimal import Decimal
from itertools import pairwise

from hypothesis import assume, given
from hypothesis import strategies as st
from lotroot.errors import Unreadable
from lotroot.theory import (
    barbed,
    chain_link,
    coil,
    die_schedule,
    drawing,
    fabric,
    fitting,
    lumber,
    nails,
    profile,
    slitting,
    tiles,
    wire,
)
from lotroot.theory.sizes import MICROMETRE

Sizes = tuple[Decimal, ...]


def millimetres(low: str, high: str, places: int = 3) -> st.SearchStrategy[Decimal]:
    return st.decimals(Decimal(low), Decimal(high), places=places)


# ---------------------------------------------------------------- slitting


@st.composite
def knife_patterns(draw: st.DrawFn) -> slitting.Pattern:
    """Any strips that fit any coil, in micrometres, with any trim on the operator side or an even one."""
    width = draw(st.integers(1_000, 2_500_000))
    cuts = sorted(draw(st.sets(st.integers(1, width - 1), min_size=1, max_size=30)))
    edges = [0, *cuts] if draw(st.booleans()) else [*cuts, width]
    strips = [(high - low) * MICROMETRE for low, high in pairwise(edges)]
    assume(strips)
    left = width * MICROMETRE - sum(strips)
    trim = draw(st.one_of(st.none(), st.integers(0, int(left / MICROMETRE))))
    given_trim = None if trim is None else trim * MICROMETRE
    return slitting.pattern(width * MICROMETRE, strips, given_trim)


@given(knife_patterns(), st.integers(1, 40_000_000))
def test_slitting_closes_to_the_gram_for_any_knife_pattern(cut: slitting.Pattern, coil_g: int) -> None:
    found = slitting.masses_g(cut, coil_g)
    assert sum(found.strips_g) + found.operator_trim_g + found.drive_trim_g == coil_g == found.total_g
    for lane, mass in zip(cut.lanes, found.strips_g, strict=True):
        assert abs(mass - coil_g * lane.width_mm / cut.coil_mm) < 1


@given(knife_patterns())
def test_lanes_never_overlap_and_lie_on_the_coil(cut: slitting.Pattern) -> None:
    edges = [Decimal(0), *(edge for lane in cut.lanes for edge in (lane.from_mm, lane.to_mm)), cut.coil_mm]
    assert edges == sorted(edges)
    assert all(before.to_mm == after.from_mm for before, after in pairwise(cut.lanes))
    assert cut.lanes[0].from_mm == cut.operator_trim_mm >= 0
    assert cut.coil_mm - cut.lanes[-1].to_mm == cut.drive_trim_mm >= 0


@given(knife_patterns())
def test_a_place_across_the_coil_is_in_the_lane_that_holds_it(cut: slitting.Pattern) -> None:
    for number, lane in enumerate(cut.lanes):
        assert slitting.lane_at(cut, lane.from_mm) == number
        assert slitting.lane_at(cut, lane.to_mm - MICROMETRE) == number


@given(st.integers(1, 40_000_000), st.integers(1, 10**8), millimetres("1", "3000"), st.data())
def test_blanks_and_skeleton_are_the_strip(
    mass: int, length: int, width: Decimal, data: st.DataObject
) -> None:
    blank = tiles.Blank(
        data.draw(millimetres("1", "3000")), data.draw(millimetres("0.5", str(width))), Decimal(5)
    )
    found = tiles.blanking(mass, length, width, blank)
    assert found.blanks_g + found.skeleton_g == mass
    assert found.blanks_g >= 0 and found.skeleton_g >= 0
    assert found.blanks * blank.length_mm <= length


# ---------------------------------------------------------------- drawing


@st.composite
def drawings(draw: st.DrawFn) -> tuple[Decimal, Decimal, drawing.Limits]:
    rod = draw(millimetres("1", "20"))
    finished = draw(millimetres("0.300", "19.900"))
    assume(finished < rod and (finished / rod) ** 2 > Decimal("0.002"))
    least, most = sorted(draw(st.tuples(millimetres("0", "30", 1), millimetres("5", "50", 1))))
    assume(least < most)
    return rod, finished, drawing.Limits(least, most, Decimal("99.9"))


@given(drawings(), st.decimals("0.3", "1", places=2))
def test_a_proposed_row_of_dies_ends_at_the_wire_and_every_draft_fits(
    job: tuple[Decimal, Decimal, drawing.Limits], taper: Decimal
) -> None:
    rod, finished, limits = job
    try:
        dies = die_schedule.tapered_schedule(rod, finished, limits, taper)
    except Unreadable as refusal:
        assert refusal.what.startswith(("The least of a draft", "The finished wire"))
        assume(False)
    assert abs(dies[-1] - finished) < MICROMETRE
    assert all(after < before for before, after in pairwise([rod, *dies]))
    row = drawing.check_dies(rod, dies, limits)
    assert row.fits
    for draft in row.drafts:
        assert limits.least_percent <= draft.reduction_percent <= limits.most_percent
        assert draft.smallest_mm <= draft.die_mm <= draft.largest_mm


@given(drawings())
def test_no_row_with_fewer_dies_keeps_the_limit(job: tuple[Decimal, Decimal, drawing.Limits]) -> None:
    rod, finished, limits = job
    try:
        count = die_schedule.passes(rod, finished, limits.most_percent)
    except Unreadable:
        assume(False)
    kept = 1 - limits.most_percent / 100
    assert kept**count <= (finished / rod) ** 2 + Decimal("1e-20")
    assert kept ** (count - 1) > (finished / rod) ** 2 - Decimal("1e-20")


@given(drawings())
def test_a_rod_keeps_its_mass_as_it_grows(job: tuple[Decimal, Decimal, drawing.Limits]) -> None:
    rod, finished, _limits = job
    longer = drawing.growth(rod, finished)
    assert abs(wire.mg_per_m(finished) * longer - wire.mg_per_m(rod)) < Decimal("1e-20")


# ---------------------------------------------------------------- twice as long

DIAMETERS = millimetres("0.2", "20")
LENGTHS = st.integers(1, 100_000_000)


@given(DIAMETERS, LENGTHS)
def test_twice_the_length_of_wire_is_twice_its_mass_to_one_gram(diameter: Decimal, length: int) -> None:
    once = wire.mg_per_m(diameter) * length
    assume(once >= 1_000_000 and once < 40_000_000_000_000)
    assert abs(wire.mass_g(diameter, 2 * length) - 2 * wire.mass_g(diameter, length)) <= 1


@given(DIAMETERS, st.integers(1, 20_000_000))
def test_the_length_of_a_stripper_weighs_the_stripper(diameter: Decimal, mass: int) -> None:
    length = wire.length_mm(diameter, mass)
    half_a_millimetre_mg = wire.mg_per_m(diameter) / 2000
    assert abs(wire.mg_per_m(diameter) * length / 1000 - mass * 1000) <= half_a_millimetre_mg + Decimal(
        "1e-9"
    )
    assume(1 <= length <= 250_000_000 and mass <= 10_000_000)
    assert abs(wire.length_mm(diameter, 2 * mass) - 2 * length) <= 1


@given(millimetres("1", "5"), millimetres("20", "300"), st.integers(1, 100), st.integers(500, 100_000))
def test_twice_the_length_of_a_roll_is_twice_its_wire_to_one_base_unit(
    diameter: Decimal, mesh: Decimal, thousandths: int, length: int
) -> None:
    coated = chain_link.CoatedWire(diameter, diameter + thousandths * MICROMETRE, Decimal(1400))
    once, twice = (chain_link.roll(mesh, coated, Decimal(1800), times * length) for times in (1, 2))
    for part in ("wire_mm", "steel_g", "pvc_g"):
        assert abs(getattr(twice, part) - 2 * getattr(once, part)) <= 1
    assert once.mass_g == once.steel_g + once.pvc_g


@given(millimetres("1", "5"), millimetres("1", "5"), millimetres("20", "300"), st.integers(1_000, 1_000_000))
def test_twice_the_length_of_barbed_wire_is_twice_its_mass_to_one_gram(
    line: Decimal, barb: Decimal, spacing: Decimal, length: int
) -> None:
    product = barbed.Barbed(line, barb, 4, spacing)
    twist = barbed.Twist(Decimal("1.02"), Decimal(120))
    once, twice = (barbed.roll_g(product, twist, times * length) for times in (1, 2))
    assert abs(twice - 2 * once) <= 1


@given(
    millimetres("100", "2000"),
    millimetres("0.2", "3"),
    st.lists(st.integers(1, 6000), min_size=1, max_size=9),
)
def test_a_cut_list_twice_over_is_twice_the_bundle(width: Decimal, base: Decimal, lengths: list[int]) -> None:
    metre = profile.mg_per_m(profile.Strip(width, base))
    lines = [profile.Line(length, 3) for length in lengths]
    once, twice = (profile.bundle(lines * times, metre, width) for times in (1, 2))
    assert (twice.pieces, twice.running_mm) == (2 * once.pieces, 2 * once.running_mm)
    assert abs(twice.mass_g - 2 * once.mass_g) <= 1


@given(st.integers(1, 5_000), millimetres("10", "300"), millimetres("10", "300"), st.integers(300, 7000))
def test_twice_the_pieces_are_twice_the_wood_to_one_cm3(
    pieces: int, thick: Decimal, wide: Decimal, length: int
) -> None:
    piece = lumber.piece_mm3(thick, wide, length)
    assert lumber.piece_mm3(thick, wide, 2 * length) == 2 * piece
    assert abs(lumber.pack_cm3(2 * pieces, piece) - 2 * lumber.pack_cm3(pieces, piece)) <= 1


@given(st.integers(600, 2000), st.integers(300, 599), millimetres("0.2", "3"))
def test_a_coil_twice_as_wide_is_twice_as_heavy_and_no_longer(outer: int, inner: int, thick: Decimal) -> None:
    once, twice = (coil.mass_by_diameters_g(outer, inner, width) for width in (500, 1000))
    assert abs(twice - 2 * once) <= 1
    lengths = [coil.length_by_mass_mm(mass, width, thick) for mass, width in ((once, 500), (twice, 1000))]
    assert abs(lengths[0] - lengths[1]) <= 1 + lengths[0] // once


# ---------------------------------------------------------------- whole wires, whole nails


@given(
    st.integers(500, 20_000),
    st.integers(500, 4_000),
    st.integers(2, 12),
    st.integers(20, 400),
    st.integers(0, 200),
)
def test_fabric_is_made_of_whole_wires_that_fit(
    length: int, width: int, thick: int, pitch: int, edge: int
) -> None:
    wires = fabric.Wires(Decimal(thick), Decimal(pitch), Decimal(edge))
    found = fabric.counted(fabric.Sheet(length, width, wires, wires))
    for across, count in ((width, found.long_wires), (length, found.cross_wires)):
        assert isinstance(count, int) and count >= 1
        assert 2 * edge + (count - 1) * pitch <= across < 2 * edge + count * pitch
    one_mg = wire.mg_per_m(Decimal(thick)) / 1000
    assert abs(found.long_mg - found.long_wires * length * one_mg) <= 1
    assert found.mass_mg == found.long_mg + found.cross_mg
    assert (found.long_wire_mm, found.cross_wire_mm) == (found.long_wires * length, found.cross_wires * width)


@given(millimetres("1", "8"), st.integers(10, 300), st.integers(1, 1_000_000))
def test_a_box_holds_the_nails_that_weigh_it(shank: Decimal, length: int, mass: int) -> None:
    nail = nails.Nail(shank, Decimal(length))
    pieces = nails.pieces_in(mass, nail)
    assert abs(pieces * nails.mg_per_piece(nail) / 1000 - mass) <= nails.mg_per_piece(nail) / 2000 + 1


@given(st.lists(st.tuples(st.integers(1, 10**7), st.integers(1, 10**7)), min_size=1, max_size=20))
def test_a_fitted_factor_lies_among_the_rolls_it_came_from(rolls: list[tuple[int, int]]) -> None:
    found = fitting.fit([fitting.Weighed(*roll) for roll in rolls])
    slack = found.largest * Decimal("1e-20")
    assert found.smallest - slack <= found.mean_ratio <= found.largest + slack
    assert found.rolls == len(rolls)
    assert (found.deviation is None) == (len(rolls) == 1)
