"""A knock-down bunk bed: a loft bed over a low one, both on the same posts.

See `high_beds.whole` for how a bed is built, `high_beds.ladders` for the way up. Where one mattress is wider, the
beds are flush on the ladder's side, the posts stand at the corners of the wider bed, and the narrower one has inner
posts of its own on the far side: down to the floor for the lower bed, held by the end boards for the upper. Where its
rails then leave the corner posts free to lean, a stretcher keeps them from it. So that the upper bed can be lifted off,
the posts may be in two lengths, a scab bolted over each joint between the beds, and the lower bed is braced by itself.
So they are where the bed comes in two lengths; `high_beds.halves` has what then stands in the middle.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from sawbill.trade import option
from sawbill.trade.design import Design, Options, RefusalError
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import INCH, MM
from sawbill_designs.high_beds.halves import scabs
from sawbill_designs.high_beds.levels import Level, Post
from sawbill_designs.high_beds.options import OPENINGS, REFERENCES, WOOD
from sawbill_designs.high_beds.plan import Plan, back_of, inside_length
from sawbill_designs.high_beds.whole import HighFrame

ALIKE: Final = 2 * INCH
"""How far the two mattresses may differ and still lie in beds of the same size (common practice, no source)."""
BETWEEN_BASES: Final = 750 * MM
"""The least from the lower bed's base to the upper bed (EN 747-1, from memory)."""
LEAST_END_OPENING: Final = 9 * INCH + INCH // 8
"""Between the end boards of the two beds: 16 CFR 1213 wants 9 in, the notice on AS/NZS 4220 more than 230 mm."""
GUARDED_FROM: Final = {"US": 30 * INCH + 1, "UK": 600 * MM, "EU": 600 * MM, "AU": 600 * MM}
"""From which height on a bed must have guards: of its foundation's underside in the US (16 CFR 1213.2), of its base
elsewhere (EN 747-1, from memory; for Australia no height was found, and Europe's is taken)."""

OPTIONS: Final = (
    option.Mattress(
        "upper_mattress", "The upper mattress: a listed size, or its width and length, and its thickness if known.",
        default="twin", metric_default="eu-90",
    ),
    option.Mattress(
        "lower_mattress", "The lower mattress; as long as the upper one, and wider or narrower if wished.",
        default="twin", metric_default="eu-90",
    ),
    option.Length(
        "clear_height", "Clear height underneath the rails of the lower bed.",
        default=8 * INCH, metric_default=200 * MM, least=4 * INCH, most=24 * INCH,
    ),
    option.Length(
        "clear_between",
        "Least clear height from the top of the lower mattress to the rails of the upper bed. More is taken where "
        "750 mm from the lower base, or a safe opening between the end boards of the two beds, want it.",
        default=27 * INCH, metric_default=700 * MM, least=20 * INCH, most=48 * INCH,
    ),
    option.Flag(
        "separable", "Whether the upper bed lifts off, a bed of its own on short legs.", default=False,
        eases="carrying",
    ),
    *OPENINGS,
    *WOOD,
)  # fmt: skip


def build(o: Options) -> Frame:
    """Build the frame. Raises RefusalError: mattresses, or wood, that leave no room for the posts or their bolts."""
    at = _plan(o)
    lower, upper = at.levels
    end, wider = at.ends[0], max(level.back for level in at.levels)
    left, right = (f"{side} {end} post" for side in at.sides)
    inner = f"{at.sides[1]} {end} inner post"
    tall = [Post(left, 0, upper.top), Post(right, 0, upper.top if upper.back == wider else upper.rail_top, wider)]
    short = []
    if lower.back < wider:
        short = [Post(inner, 0, lower.top, lower.back)]
    elif upper.back < wider:
        short = [Post(inner, *_hung(at, upper), upper.back)]
    back = {level: right if level.back == wider else inner for level in at.levels}
    clear = [level for level in at.levels if level.back < wider and (level is upper or o.separable)]
    if not (o.separable or o.in_halves):
        names = {level: (left, back[level]) for level in at.levels}
        free = dict.fromkeys(clear, (right, wider))
        return HighFrame(at, {"": (*tall, *short)}, names, free=free).frame()
    room = _over(at, lower), upper.lowest
    joint = o.near(sum(room) // 2)
    cut = {
        "lower": [replace(each, key=f"lower {each.key}", top=joint) for each in tall],
        "upper": [replace(each, key=f"upper {each.key}", bottom=joint) for each in tall],
    }
    pairs = list(zip(cut["lower"], cut["upper"], strict=True))
    cut["lower" if lower.back < wider else "upper"] += short
    names = {
        level: (f"{level.word} {left}", f"{level.word} {right}" if back[level] == right else inner)
        for level in at.levels
    }
    posts = {word: tuple(each) for word, each in cut.items()}
    free = {level: (f"{level.word} {right}", wider) for level in clear}
    return HighFrame(at, posts, names, scabs(at, pairs, min(room[1] - joint, joint - room[0])), free).frame()


def _over(at: Plan, lower: Level) -> int:
    """The height from which scabs are clear of the lower bed: in the middle, wide ones reach in over its mattress."""
    o = at.o
    inward = o.in_halves and o.post.width > at.post_depth + lower.thickness
    return max(lower.top, lower.base + int(lower.mattress.thickness)) if inward else lower.top


def _hung(at: Plan, level: Level) -> tuple[int, int]:
    """From where to where a post stands that hangs on the boards of an end: as far beyond its bolts as they want wood.

    The rails press it down at theirs, and the boards hold it up at theirs, the highest of them in a guard: each wants a
    loaded end by both standards (NDS 2018, Table 12.5.1A, 7D; EN 1995-1-1, Table 8.4, 7d and 80 mm).
    """
    end = at.bolt.loaded_end
    lowest, highest = level.underside + min(at.rail_levels), max(along for _, along in level.guard_bolts)
    return min(level.lowest, lowest - end), max(level.top, highest + end)


def _plan(o: Options) -> Plan:
    """Set the two beds on one another. Raises RefusalError: mattresses that cannot share posts."""
    backs = {
        name: back_of(o, o[f"{name}_mattress"], guarded=name == "upper") for name in ("lower", "upper")
    }  # fmt: skip
    if abs(o.lower_mattress.length - o.upper_mattress.length) > ALIKE:
        raise RefusalError(
            "lower_mattress",
            "lower_mattress: both beds share their end boards, so the mattresses must be equally long within 2 in "
            f"(51 mm); choose a lower mattress as long as {o.upper_mattress.name}",
        )
    if abs(o.lower_mattress.width - o.upper_mattress.width) <= ALIKE:
        backs = dict.fromkeys(backs, max(backs.values()))
    lower = Level(
        o, "lower", o.lower_mattress, o.clear_height, backs["lower"], guarded=False, alone=o.separable or o.in_halves
    )
    if (lower.deck if o.market == "US" else lower.base) >= GUARDED_FROM[o.market]:
        raise RefusalError(
            "clear_height",
            "clear_height: the lower bed would be high enough to need guard rails by the rules of its market "
            "(16 CFR 1213.2: over 30 in; EN 747-1: from 600 mm); lower it",
        )
    over = o.at_least(max(o.lower_mattress.thickness + o.clear_between, BETWEEN_BASES))
    upper = Level(o, "upper", o.upper_mattress, lower.base + over, backs["upper"], guarded=True, over=True)
    if upper.cross_board is not None:
        upper = replace(upper, underside=upper.underside + int(o.end_board.width))
    short = o.at_least(LEAST_END_OPENING - (upper.lowest - lower.top))
    upper = replace(upper, underside=upper.underside + max(0, short))
    if o.in_halves and upper.back != lower.back:
        raise RefusalError(
            "in_halves",
            "in_halves: beds of two widths have no posts in common in the middle; choose mattresses of one width, or "
            "leave the bed whole",
        )
    at = Plan(o, inside_length(o, o.lower_mattress, o.upper_mattress), (lower, upper))
    tied = upper.back < lower.back or o.separable
    beside = at.post_depth + at.beside_post + (int(o.rail.thickness) if tied else 0)
    if 0 < abs(upper.back - lower.back) < beside:
        raise RefusalError(
            "lower_mattress",
            "lower_mattress: its width differs from the upper mattress's by too much for the same rails and by too "
            "little for posts of its own; choose the same width, one that differs more, or a thinner post",
        )
    return at


DESIGN: Final = Design(
    name="bunk-bed",
    title="Knock-down bunk bed",
    summary=(
        "Two beds, one above the other, on laminated posts: guard boards on all sides of the upper, a ladder or steps "
        "bolted to its rail, slats screwed down. Comes apart at its bolts; the upper bed can be made to lift off."
    ),
    options=OPTIONS,
    build=build,
    references=REFERENCES,
)
