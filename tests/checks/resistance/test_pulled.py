"""What holds against a pull, what holes leave, twist and nails: printed values, and sums by hand."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sawbill.checks.resistance import nails, pulled, torsion
from sawbill.checks.resistance.bored import Bores, bores_of, hole_of, net_modulus
from sawbill.trade.fasteners import bolt_sizes, screw_sizes
from sawbill.trade.frame import Bolted, Part, Placement
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section

LB, IN, PSI = 4.4482216152605, 25.4, 6.894757293168e-3


@pytest.mark.parametrize(("gravity", "printed"), [(0.50, 135), (0.42, 96), (0.45, 109)])
def test_a_screw_is_withdrawn_by_what_is_printed(gravity: float, printed: int) -> None:
    """#10, lb for an inch of thread: NDS 2018, Table 12.2B (135); a web handbook (109 for G 0.45); computed (96)."""
    assert int(pulled.nds_thread(gravity, 0.190 * IN, IN) / LB + 0.5) == pytest.approx(printed, abs=1)


@pytest.mark.parametrize(
    ("gravity", "head", "thick", "printed"), [(0.50, 0.234, 5 / 16, 40), (0.50, 0.312, 1, 132), (0.42, 0.500, 1.5, 239)]
)
def test_a_head_is_pulled_through_by_what_is_printed(gravity: float, head: float, thick: float, printed: int) -> None:
    """NDS 2018, Table 12.2F [lb], three cells."""
    assert round(pulled.nds_head(gravity, head * IN, thick * IN) / LB) == printed


@pytest.mark.parametrize("system", ["inch", "metric"])
def test_larger_fasteners_hold_more_of_a_pull_as_is_advised(system: str) -> None:
    """Of screws the heads, and the threads that go in as far; of bolts the washers that are wider, as not all are."""
    screws = sorted((s for s in screw_sizes().values() if s.system == system), key=lambda size: size.diameter)
    for small, large in pairwise(screws):
        assert pulled.nds_thread(0.42, large.diameter, 20 * MM) > pulled.nds_thread(0.42, small.diameter, 20 * MM)
        assert pulled.ec5_thread(350, large.diameter / MM, 20) > pulled.ec5_thread(350, small.diameter / MM, 20)
        assert pulled.nds_head(0.42, large.head, 20 * MM) > pulled.nds_head(0.42, small.head, 20 * MM)
        assert pulled.ec5_head(350, large.head) > pulled.ec5_head(350, small.head)
    bolts = sorted((b for b in bolt_sizes().values() if b.system == system), key=lambda size: size.diameter)
    for one, other in pairwise(bolts):
        wide = [[b.washer(large=False)[1], b.washer(large=True)[1], b.round_head_least] for b in (one, other)]
        for before, after in zip(*wide, strict=True):
            rings = pulled.ring(before / MM, hole_of(one.name)), pulled.ring(after / MM, hole_of(other.name))
            assert (rings[0] < rings[1]) == (before < after), "no wider, it has the larger hole"


def test_wood_under_washers_bears_by_their_rings() -> None:
    """A 1 in washer on a 7/16 in hole on SPF: 425 psi x 1.375 for so short a face; C24: 3 x 2.5 MPa, kmod 1."""
    ring = pi / 4 * (1 - (7 / 16) ** 2)
    assert pulled.nds_washer(425 * PSI, IN, 7 / 16 * IN, 80) == pytest.approx(425 * 1.375 * ring * LB)
    assert pulled.nds_washer(425 * PSI, IN, 7 / 16 * IN, 76) == pytest.approx(425 * ring * LB), "3 in from the end"
    assert pulled.ec5_washer(2.5, 30, 9) == pytest.approx(3 * 2.5 * pi / 4 * (30**2 - 9**2) / 1.3 / 1.5)


def test_a_thread_is_withdrawn_by_the_eurocode_as_by_hand() -> None:
    """6 mm, 36 mm of thread in C24: fax 0.52 x 6^-0.5 x 36^-0.1 x 350^0.8 = 16.08 MPa; kd 0.75."""
    fax = 0.52 * 6**-0.5 * 36**-0.1 * 350**0.8
    assert pulled.ec5_thread(350, 6, 36) == pytest.approx(fax * 6 * 36 * 0.75 / 1.3 / 1.5)
    assert pulled.ec5_head(350, 12) == pytest.approx(9.4 * 144 / 1.3 / 1.5)


def test_a_nail_through_the_steel_of_a_hanger_bears_as_by_hand() -> None:
    """10d x 1-1/2 in, SPF: mode IIIs governs; Fem 3350 psi, Fes 61850, Fyb 90000; p 1.452 in of 1.48 in."""
    d, ts, fem, fes, fyb = 0.148, 0.048, 3350, 61_850, 90_000
    re = fem / fes
    k3 = -1 + (2 * (1 + re) / re + 2 * fyb * (2 + re) * d**2 / (3 * fem * ts**2)) ** 0.5
    assert nails.nds_load(0.42, 1.5 * IN) / LB == pytest.approx(
        k3 * d * ts * fem / ((2 + re) * 2.2) * (1.5 - ts) / 1.48, rel=1e-6
    )
    assert nails.nds_load(0.42, 0.9 * IN) == 0, "under six diameters in the wood it does not count"
    d = 0.148 * IN
    fh, my = 0.082 * 350 * d**-0.3, 0.3 * 600 * d**2.6
    by_hand = min(0.4 * fh * (35 - ts * IN) * d, 1.15 * (2 * my * fh * d) ** 0.5)
    assert nails.ec5_load(350, 35) == pytest.approx(by_hand / 1.3 / 1.5)


def test_a_square_and_a_thin_board_are_twisted_as_tables_tell() -> None:
    """Torsion constants 0.1406 a4, 0.229 and 0.333; stresses T / (0.208 a3), 0.246 and 0.333 (any text book)."""
    for ratio, beta, alpha in ((1, 0.1406, 0.208), (2, 0.229, 0.246), (10, 0.312, 0.312)):
        assert torsion.stiffness(1, ratio) / ratio == pytest.approx(beta, rel=3e-3)
        assert 1 / torsion.stress(1, 1, ratio) / ratio == pytest.approx(alpha, rel=3e-3)
    assert (torsion.shape_factor(38, 140), torsion.shape_factor(10, 200)) == (pytest.approx(1 + 0.05 * 140 / 38), 1.3)


@given(
    st.floats(20, 100), st.floats(60, 300), st.lists(st.floats(0.15, 0.85), max_size=3, unique=True),
    st.floats(4, 14), st.integers(0, 1),
)  # fmt: skip
def test_what_holes_leave_is_what_strips_of_the_section_add_up_to(
    width: float, depth: float, shares: list[float], hole: float, down: int
) -> None:
    heights = sorted(share * depth for share in shares)
    if any(b - a < hole for a, b in pairwise(heights)):
        return
    edges = sorted({0.0, depth, *(z + side * hole / 2 for z in heights for side in (-1, 1))})
    b, strips = width - down * hole, []
    for low, high in pairwise(edges):
        if not any(abs((low + high) / 2 - z) < hole / 2 for z in heights):
            strips.append((low, high))
    area = sum(b * (high - low) for low, high in strips)
    middle = sum(b * (high**2 - low**2) / 2 for low, high in strips) / area
    inertia = sum(b * ((high - middle) ** 3 - (low - middle) ** 3) / 3 for low, high in strips)
    by_strips = inertia / max(middle, depth - middle)
    assert net_modulus(width, depth, Bores(0, hole, tuple(heights), down)) == pytest.approx(by_strips)


def test_holes_count_together_up_to_four_diameters_apart_along_the_grain() -> None:
    """NDS 2018, 3.1.2.2: 3/8 in bolts 1-1/2 in apart weaken one section, a nanometre more two."""
    part = Part("rail", "rail", section("2x6"), 80 * INCH, Placement((0, 0, 0), "x", "z"))

    def heights(apart: int) -> list[int]:
        bolts = [Bolted(("rail", "post"), "3/8 in", (10 * INCH + x, 0, z), "y", 1) for x, z in
                 ((0, 2 * INCH), (apart, 4 * INCH))]  # fmt: skip
        return [len(each.heights) for each in bores_of(part, part.box, bolts)]

    assert (heights(3 * INCH // 2), heights(3 * INCH // 2 + 1)) == ([2, 2], [1, 1])
    bolt = Bolted(("rail", "leg"), "3/8 in", (10 * INCH, 0, 0), "z", 1)
    [upright] = bores_of(part, part.box, [bolt])
    assert (upright.heights, upright.down, upright.hole) == ((), 1, pytest.approx((3 / 8 + 1 / 16) * IN))
