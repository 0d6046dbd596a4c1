"""How wide holes are, for bolts, tee nuts and screws."""

import pytest

from sawbill.making.holes import bolt_hole, pilot_hole, screw_hole, tee_nut_hole
from sawbill.trade.fasteners import bolt_sizes, screw_sizes
from sawbill.trade.lengths import INCH, MM


@pytest.mark.parametrize("name", bolt_sizes())
def test_a_bolts_hole_is_little_wider_than_the_bolt(name: str) -> None:
    """NDS 2018, 12.1.3.2: 1/32 to 1/16 in over the diameter; EN 1995-1-1, 10.4.3: no more than 1 mm."""
    size = bolt_sizes()[name]
    least, most = (INCH // 32, INCH // 16) if size.system == "inch" else (0, MM)
    assert least <= bolt_hole(size) - size.diameter <= most


def test_a_tee_nuts_hole_is_that_of_its_barrel() -> None:
    """Makers' sizes, from memory: 5/16 in for 1/4-20, 7/16 in for 3/8-16; 8 mm and 12 mm for M6 and M10."""
    found = {name: tee_nut_hole(bolt_sizes()[name]) for name in ("1/4 in", "3/8 in", "M6", "M10")}
    assert found == {"1/4 in": 5 * INCH // 16, "3/8 in": 7 * INCH // 16, "M6": 8 * MM, "M10": 12 * MM}


def test_screws_pass_one_part_freely_and_bite_in_the_next() -> None:
    """Softwood, public charts of wood screws: #8 11/64 and 3/32 in; #10 13/64 and 7/64 in; #12 7/32 and 1/8 in."""
    found = {name: (screw_hole(size), pilot_hole(size)) for name, size in screw_sizes().items()}
    assert found["#8"] == (11 * INCH // 64, 3 * INCH // 32)
    assert found["#10"] == (13 * INCH // 64, 7 * INCH // 64)
    assert found["#12"] == (7 * INCH // 32, INCH // 8)
    assert all(pilot < screw_sizes()[name].diameter < free for name, (free, pilot) in found.items())
