"""Members that stand: whether they buckle.

Each load stands on a post at its own height; it uses as much of it as if it stood there alone, and what all use adds up
(Dunkerley's rule, on the safe side). What the holes of bolts leave of a section counts, as if each were where the post
gives way (NDS 2018, 3.6.3 and 3.1.2; Eurocode 5, 5.2, lets holes that are filled be). So does what housings leave: of
its area at each, and of its stiffness as if all of them were where it bends most. Lengths [mm].
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import cbrt, pi
from typing import Final, NamedTuple

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member
from sawbill.checks.resistance.bored import hole_of
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Graded, Lasting
from sawbill.checks.strength.used import Columns, Used
from sawbill.trade.boxes import AXES, Box, bounds
from sawbill.trade.frame import Bolted
from sawbill.trade.lengths import MM

SWAY: Final = 2.4
"""Effective length of a post that may sway, in its heights (NDS 2018, Appendix G)."""
SLENDER: Final = 50
"""How many times a post may be as high as it is thick, between what holds it sideways (NDS 2018, 3.7.1.4)."""


@dataclass(frozen=True, slots=True)
class Post:
    """A member that stands: the side by which it gives way, its woods.

    side: that of a post without housings which gives way as this does; sway: its effective length, in heights of what
    it bears; levels: by link, how high that is, and the least area of the post from the floor to there, without holes
    and housings [mm2]; weight: its own [N]; housed: whether housings are cut in it.
    """

    member: Member
    side: float
    sway: float
    levels: tuple[tuple[int, float, float], ...]
    woods: tuple[Graded, ...]
    weight: float
    housed: bool = False

    @property
    def height(self) -> float:
        """How high the highest of what it bears is."""
        return max(level for _, level, _ in self.levels)


class Cut(NamedTuple):
    """A housing: from which height to which, into which of x and y, how deep, and how much it takes of the area."""

    low: float
    high: float
    axis: int
    deep: float
    area: float


def posts_of(paths: LoadPaths, timber: Timber, weights: dict[Member, float]) -> list[Post]:
    """What stands where something bears on it."""
    floor, levels = paths.frame.bounds.low[2] / MM, defaultdict(list)
    for number, link in enumerate(paths.links):
        if link.carries and link.carrier.upright and (height := sum(link.on) / 2 - floor) > 0:
            levels[link.carrier].append((number, height))
    found, through = [], paths.frame.bolts
    for post, borne in levels.items():
        if timber.leaves_out(part.key for part in post.parts):
            continue
        woods = [timber.woods(part) for part in post.parts]
        if any(woods):
            boxes = [paths.frame.boxes[part.key] for part in post.parts]
            bolts = {id(bolt): bolt for part in post.parts for bolt in through.get(part.key, ())}
            cuts = list(_cuts(paths, post))
            areas = [*_areas(boxes, bolts.values(), cuts)]
            wide, deep, _ = bounds(boxes).size
            sway = 1.0 if paths.climbed(post) else SWAY
            side = _side((wide / MM, deep / MM), cuts, floor, [height for _, height in borne])
            each = tuple(dict.fromkeys(wood for some in woods for wood in some))
            whole = tuple(
                (number, height, min(area for low, area in areas if low <= floor + height)) for number, height in borne
            )
            found.append(Post(post, side, sway, whole, each, weights.get(post, 0.0), housed=bool(cuts)))
    return found


def _cuts(paths: LoadPaths, post: Member) -> Iterator[Cut]:
    """The housings that are cut in a post."""
    keys = {part.key for part in post.parts}
    for (end, key), cut in paths.frame.housings.items():
        if key in keys:
            axis, size = AXES.index(paths.frame.by_key[end].placement.along), cut.size
            yield Cut(cut.low[2] / MM, cut.high[2] / MM, axis, size[axis] / MM, size[0] * size[1] / MM**2)


def _side(sizes: tuple[float, float], cuts: Sequence[Cut], floor: float, heights: Iterable[float]) -> float:
    """The side of a post without housings that gives way under its own weakest load as one with them does.

    Of w'' + P w / EI = 0 with w = 0 at both ends, 1 / P <= H^2 / (pi^2 EI) + l H / 4 (1 / EI' - 1 / EI): a length l
    that is softer, EI', counts by no more than as if all of it were in the middle.
    """
    return min(
        sizes[axis] / max(cbrt(1 + pi**2 / 4 * _softer(sizes, axis, cuts, floor, height)) for height in heights)
        for axis in (0, 1)
    )


def _softer(sizes: tuple[float, float], axis: int, cuts: Sequence[Cut], floor: float, height: float) -> float:
    """By how much housings below a height make a post more flexible along an axis, on the mean from the floor up."""
    found = 0.0
    for cut in cuts:
        long = max(0.0, min(cut.high - floor, height) - (cut.low - floor))
        left = sizes[cut.axis] / (sizes[cut.axis] - cut.deep)
        found += long * ((left**3 if cut.axis == axis else left) - 1)
    return found / height


def _areas(
    boxes: Sequence[Box], bolts: Iterable[Bolted], cuts: Sequence[Cut] = ()
) -> Iterator[tuple[float, float]]:  # fmt: skip
    """Areas of some boxes together, each as from which height on: where one begins or ends, at each housing, and at
    each hole, without the holes that cross one section there [mm, mm2]."""
    lows = sorted({box.low[2] for box in boxes} | {box.high[2] for box in boxes})
    each = [(box.low[2], box.high[2], box.size[0] * box.size[1] / MM**2) for box in boxes]
    gross = [(low / MM, sum([area for start, end, area in each if start <= low < end])) for low in lows]
    yield from ((low, area) for low, area in gross if area)
    for cut in cuts:
        there = max((low, area) for low, area in gross if low <= cut.low)[1]
        yield cut.low, there - sum([other.area for other in cuts if other.low < cut.high and cut.low < other.high])
    holes = [(bolt.head[2] / MM, hole_of(bolt.size), _taken(bolt, boxes)) for bolt in bolts if bolt.axis != "z"]
    for z, wide, _ in holes:
        there = max((low, area) for low, area in gross if low <= z)[1]
        near = [taken for each, other, taken in holes if -(wide + other) < 2 * (each - z) < wide + other]
        housed = [cut.area for cut in cuts if cut.low - wide / 2 < z < cut.high + wide / 2]
        yield z, there - sum(near) - sum(housed)


def _taken(bolt: Bolted, boxes: Sequence[Box]) -> float:
    """What the hole of a bolt takes off the area of the boxes that it goes through."""
    i = AXES.index(bolt.axis)
    at, z = bolt.head[1 - i], bolt.head[2]
    there = [box for box in boxes if box.low[2] < z < box.high[2] and box.low[1 - i] < at < box.high[1 - i]]
    through = sum([box.high[i] - box.low[i] for box in there])
    return hole_of(bolt.size) * through / MM


def buckling(posts: Sequence[Post], columns: Columns) -> Iterator[Used]:
    """How much of each post its loads use, in each of its woods."""
    durations = [*columns.of]
    each = [(post, wood) for post in posts for wood in post.woods]
    if not each or not durations:
        return
    order = np.concatenate([*columns.of.values()])
    when = np.repeat(np.arange(len(durations)), [len(these) for these in columns.of.values()])
    starts = np.cumsum([0, *(len(post.levels) for post, _ in each[:-1])])
    links = [link for post, _ in each for link, _, _ in post.levels]
    bears = np.array(_borne(each, durations))
    weights = np.array([post.weight for post, _ in each])[:, None] / np.minimum.reduceat(bears, starts)
    forces = np.maximum(columns.solved.forces[links][:, order], 0.0)
    used = weights[:, when] + np.add.reduceat(forces / bears[:, when], starts)
    for (post, wood), row, at in zip(each, used, used.argmax(axis=1).tolist(), strict=True):
        yield Used(
            "posts", wood.standard, float(row[at]), post.member, durations[when[at]], post.levels[0][0],
            column=int(order[at]),
        )  # fmt: skip


def _borne(each: Sequence[tuple[Post, Graded]], durations: Sequence[Lasting]) -> list[list[float]]:
    """What each post in each wood bears at each of its levels, for each duration; of posts alike reckoned once."""
    known: dict[tuple[Graded, float, float], list[float]] = {}
    found = []
    for post, wood in each:
        for _, height, area in post.levels:
            alike = wood, height * post.sway, post.side
            if alike not in known:
                known[alike] = [wood.compression(*alike[1:], lasting) for lasting in durations]
            found.append([area * stress for stress in known[alike]])
    return found
