"""Where the bolts of a high bed's rail, ledger and post may go: the ways that leave ends and edges enough wood."""

from __future__ import annotations

from collections.abc import Iterator

from sawbill.trade.design import Options, RefusalError
from sawbill.trade.fasteners import bolt_sizes
from sawbill_designs.common.bolt_places import BOTH, FAR, LEAST, NDS, Bolt, Face, Point2, Rules, half, ways_of
from sawbill_designs.common.options import BOLT_SIZE

Way = tuple[Point2, ...]
"""Places of bolts: their x from the post's end face, their z from the rail's underside [nm]."""


def ways(o: Options, bolt: Bolt) -> list[Way]:
    """The ways to place one or two bolts, the best first. Raises RefusalError: there is none that counts."""
    if o.system == "metric":
        _refuse_thick(o, bolt)
    found = [way for rules in (BOTH, NDS, LEAST) for way in _by(o, bolt, rules)]
    if bolt.size.system == "inch":
        found.sort(key=lambda way: -len(way))
    if found:
        return found
    _, (first, last) = Face((0, FAR), (0, o.post.width), ends=(0, FAR)).room(bolt, LEAST)
    low_rail = 2 * o.rail.width < 11 * bolt.size.diameter
    name = "post" if first > last else "rail" if low_rail else "ledger"
    raise RefusalError(
        name,
        f"{name}: {o[name].name} is too narrow for {bolt.name} bolts, which stay at least 2 diameters from the end of "
        "the rail and 1-1/2 from edges, 4 from the edge they press on; choose a wider one, or a smaller bolt_size",
    )


def _refuse_thick(o: Options, bolt: Bolt) -> None:
    """Refuse bolts that Eurocode 5 counts none of in these posts, where thinner ones, no thinner than usual, count."""
    if _has_ends(o, bolt):
        return
    usual = bolt_sizes()[str(BOLT_SIZE.metric_default)].diameter
    thinner = [
        size.name for size in bolt_sizes().values()
        if size.system == "metric" and usual <= size.diameter < bolt.size.diameter and _has_ends(o, Bolt(size, o.step))
    ]  # fmt: skip
    if thinner:
        raise RefusalError(
            "bolt_size",
            f"bolt_size: {bolt.name} bolts stay 7 diameters from the end of a rail and 3 from the edges of its post, "
            f"which posts of {o.post.name} have no room for; choose a bolt_size of {thinner[-1]}",
        )


def _has_ends(o: Options, bolt: Bolt) -> bool:
    """Whether a rail's bolt has its distances along the rail by both standards."""
    _, (first, last) = Face((0, FAR), (0, o.post.width), ends=(0, FAR)).room(bolt, BOTH)
    return first <= last


def _by(o: Options, bolt: Bolt, rules: Rules) -> Iterator[Way]:
    """By one set of rules: two above each other in the rail, with room between for an end board's; then in the ledger.

    Tee nuts lie flat on the ledger, and so do the washers of a ladder's bolts. Where the rail alone has its distances
    the ledger does not count.
    """
    flange = max(bolt.flange, bolt.up(half(bolt.size.washer_diameter)))
    top = min(o.rail.width, o.ledger.width - flange + bolt.loaded_edge)
    in_rail = Face((0, top), (0, o.post.width), ends=(0, FAR), apart=2 * bolt.lane)
    in_both = Face((0, min(o.rail.width, o.ledger.width)), (0, o.post.width), ends=(0, FAR))
    for face, alone in ((in_rail, False), (in_both, True), (in_rail, True)):
        (low, high), _ = face.room(bolt, rules)
        for way in ways_of(face, bolt, rules):
            stacked = len({z for z, _ in way}) == 2
            if not (stacked or alone):
                continue
            for level in [None] if stacked else [bolt.between(low, high), low, high]:
                turned = tuple((x, z if level is None else level) for z, x in way)
                if max(z for _, z in turned) + flange <= o.ledger.width:
                    yield turned
