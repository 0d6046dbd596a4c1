"""The strongest wood on sale of every section, and the lightest.

What does not hold in the strongest hardly holds in any, though that is no proof; what is too heavy in the lightest is
in all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from sawbill.asked.lines import Line
from sawbill.asked.request import Request
from sawbill.buying.lots import material_of
from sawbill.checks.resistance.wood import Lasting, graded
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import MM
from sawbill.trade.lumber import Material, Materials

_SAMPLE: Final = Lasting(1.0, 0.8)
_SPAN: Final = 300.0
"""For how long, and between what holds it sideways [mm], wood is compared."""


def strongest(line: Line, request: Request, book: PriceBook) -> Mapping[str, tuple[Material, ...]]:
    """By section, the wood on sale that will do for a line and of which a beam of it bears most, as one of a kind."""
    found: dict[str, tuple[float, Material]] = {}
    for wood in _on_sale(line, request, book):
        known = graded(wood)
        if known is not None:
            thick, wide = wood.section.thickness / MM, wood.section.width / MM
            bears = known.bending(wide, thick, thick, _SPAN, _SAMPLE)
            if wood.section.name not in found or bears > found[wood.section.name][0]:
                found[wood.section.name] = bears, wood
    return {name: (wood,) for name, (_, wood) in found.items()}


def lightest(line: Line, request: Request, book: PriceBook) -> Mapping[str, tuple[Material, ...]]:
    """By section, the wood on sale that will do for a line and weighs least, as one of a kind."""
    found: dict[str, Material] = {}
    for wood in _on_sale(line, request, book):
        name = wood.section.name
        found[name] = min(found.get(name, wood), wood, key=lambda each: each.weight_kg_m3)
    return {name: (wood,) for name, wood in found.items()}


def _on_sale(line: Line, request: Request, book: PriceBook) -> Iterator[Material]:
    """The woods of a price book that will do for a line."""
    for offer in book.lumber:
        asked = ((line.species or request.species, offer.species), (line.grades or request.grades, offer.grade))
        if all(not named or word in named for named, word in asked):
            yield material_of(offer)


def cut_from(frame: Frame, woods: Mapping[str, tuple[Material, ...]]) -> Materials:
    """A frame's parts, each cut from the wood of its section; from unknown wood where there is none."""
    return {key: woods.get(part.section.name, ()) for key, part in frame.by_key.items()}
