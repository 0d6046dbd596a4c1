"""What comes to parts at least, whatever woods the rest is cut from, against woods at random."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from random import Random
from typing import Any

import numpy as np
import pytest

from sawbill.asked.request import Request
from sawbill.checks.strength import Loaded
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.lumber import Material, Materials, find_grade, species

Ask = Callable[[PriceBook, dict[str, Any]], Request]
WOODS = ("SPF", "Hem-Fir", "Douglas Fir-Larch")


@pytest.mark.parametrize(("design", "options"), [("daybed", {"mattress": "king"}), ("loft-bed", {})])
def test_no_woods_leave_less_for_any_part(inch: PriceBook, ask: Ask, design: str, options: Mapping[str, str]) -> None:
    """Of all cases together, by up to a part in a thousand, which is where a place parts and presses no more."""
    request = ask(inch, {"lines": [{"design": design, "options": dict(options)}]})
    frame = request.lines[0].frame
    assert frame is not None
    names = sorted({part.name for part in frame.parts})
    grade = find_grade("No.2")

    def in_woods(of: Mapping[str, str]) -> Materials:
        return {p.key: (Material(p.section, species()[of.get(p.name, "SPF")], grade),) for p in frame.parts}

    loaded, random = Loaded(frame, request.site), Random(1)
    least = loaded.at_least(
        in_woods({}), [in_woods({name: "Douglas Fir-Larch"}) for name in names], loaded.cases
    ).solved
    relieved = False
    for _ in range(12):
        found = loaded.under(in_woods({name: random.choice(WOODS) for name in names})).solved
        for effect in ("moments", "shears", "forces", "bent"):
            some, bound = (np.abs(getattr(each, effect)).max(axis=1) for each in (found, least))
            much = bound > bound.max() / 50
            assert (some[much] > bound[much] * 0.999).all(), effect
            light = np.abs(getattr(loaded.under(in_woods({})).solved, effect)).max(axis=1)
            relieved |= bool((some[much] < light[much] * 0.999).any())
    assert relieved, "more weight lifts something: the lightest wood alone would be no bound"
