"""Members that lie, in the wood that is cut for them: bending, shear and sag of each of their layers.

Layers glued side by side share a load by their shapes, and give way to the side as one. Lengths [mm], stresses [MPa].
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Member, layer_stiffnesses
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Graded, Lasting, Standard
from sawbill.checks.statics.model import Model
from sawbill.checks.strength.used import Columns, Used, first_most
from sawbill.trade.boxes import AXES
from sawbill.trade.frame import Part
from sawbill.trade.lengths import MM

SAG: Final = 240
"""A member may sag by this part of its span under what is there for long (common practice, no source)."""
_TOUCH: Final = 1e-6


class Layer(NamedTuple):
    """A part of a beam as it stands: how deep and wide it is, what it shares with, its woods.

    backed: how wide it is with what is glued beside half of it or more; shares: how much of a moment or shear it takes
    in each piece of the beam.
    """

    part: Part
    depth: float
    width: float
    backed: float
    shares: tuple[float, ...]
    woods: tuple[Graded, ...]

    def bears(self, rule: str, wood: Graded, span: float, lasting: Lasting) -> float:
        """What stress it bears in bending or in shear [MPa]; span: how far it is held sideways at its ends alone."""
        if rule == "shear":
            return wood.shear(lasting)
        return wood.bending(self.depth, self.width, self.backed, span, lasting)


@dataclass(frozen=True, slots=True)
class Beam:
    """A member that bends: its layers; span: the longest between what carries it [mm]; first: its first piece."""

    member: Member
    layers: tuple[Layer, ...]
    span: float
    first: int

    @property
    def pieces(self) -> int:
        """How many pieces it has, from node to node."""
        return len(self.layers[0].shares)


def beams_of(paths: LoadPaths, model: Model, timber: Timber) -> list[Beam]:
    """The members of a frame that lie and are held at two places or more, where the wood of a layer is known."""
    found, pieces = [], model.pieces
    for member in paths.members:
        if member.upright or len(pieces[member]) < 3 or timber.leaves_out(part.key for part in member.parts):
            continue
        layers = _layers(paths, member, pieces[member], timber)
        if any(layer.woods for layer in layers):
            apart = [high - low for low, high in pairwise(member.places)] or [member.high - member.low]
            found.append(Beam(member, tuple(layers), max(apart), model.first_piece(member)))
    return found


def _layers(paths: LoadPaths, member: Member, pieces: Sequence[tuple[float, float]], timber: Timber) -> list[Layer]:
    i, across = AXES.index(member.axis), 1 if member.axis == "x" else 0
    boxes = [paths.frame.boxes[part.key] for part in member.parts]
    if len(boxes) == 1:
        size, part = boxes[0].size, member.parts[0]
        width = size[across] / MM
        return [Layer(part, size[2] / MM, width, width, (1.0,) * len(pieces), timber.woods(part))]
    sizes = [(box.size[2] / MM, box.size[across] / MM) for box in boxes]
    stiff = layer_stiffnesses(member.parts)
    there = [
        [each if box.low[i] <= (a + b) / 2 * MM <= box.high[i] else 0.0 for a, b in pieces]
        for box, each in zip(boxes, stiff, strict=True)
    ]
    woods = _woods_in(member, there, timber)
    whole = [
        sum(each)
        for each in zip(*(row for row, known in zip(there, woods, strict=True) if known is not None), strict=True)
    ]
    return [
        Layer(
            part, depth, width,
            sum(other[1] for other, by in zip(sizes, boxes, strict=True) if 2 * box.shared(by)[2] >= box.size[2]),
            tuple(each / (all_of or 1.0) for each, all_of in zip(row, whole, strict=True)), known,
        )
        for part, box, (depth, width), row, known in zip(member.parts, boxes, sizes, there, woods, strict=True)
        if any(row) and known is not None
    ]  # fmt: skip


def _woods_in(
    member: Member, there: Sequence[Sequence[float]], timber: Timber
) -> Sequence[tuple[Graded, ...] | None]:  # fmt: skip
    """The woods of each layer; None of a filler of unknown wood: too short to reach from one support to the next, and
    beside layers that are known wherever it is. It is taken to bear nothing, and all comes to those."""
    known = [timber.known(part) for part in member.parts]
    if all(known):
        return known
    span = max((high - low for low, high in pairwise(member.places)), default=0.0)
    found: list[tuple[Graded, ...] | None] = []
    for number, (part, row) in enumerate(zip(member.parts, there, strict=True)):
        beside = [other for n, other in enumerate(there) if n != number and known[n]]
        filler = not known[number] and part.length / MM < span
        spare = filler and all(not here or any(each) for here, *each in zip(row, *beside, strict=True))
        found.append(None if spare else timber.woods(part))
    return found


def bent(beams: Sequence[Beam], columns: Columns) -> Iterator[Used]:
    """Bending and shear of the layers that use most of it."""
    each = [(beam, layer) for beam in beams for layer in beam.layers]
    durations = [*columns.of]
    if not each or not durations:
        return
    counts = [len(layer.shares) for _, layer in each]
    rows = np.concatenate([np.arange(beam.first, beam.first + n) for (beam, _), n in zip(each, counts, strict=True)])
    shares = np.concatenate([layer.shares for _, layer in each])[:, None]
    starts = np.cumsum([0, *counts[:-1]])
    areas = np.array([layer.width * layer.depth for _, layer in each])
    woods = _woods_of(each)
    for rule, most in (("bending", columns.moments), ("shear", columns.shears)):
        section = areas * [layer.depth / 6 for _, layer in each] if rule == "bending" else areas / 1.5
        stress = np.maximum.reduceat(most[rows] * shares, starts) / section[:, None]
        known: dict[object, list[float]] = {}
        for standard, which in woods.items():
            bears = [_bears(known, rule, each[i][1], wood, each[i][0].span, durations) for i, wood in which]
            used = stress[[i for i, _ in which]] / np.array(bears)
            row, at = first_most(used)
            beam, layer = each[which[row][0]]
            yield Used(
                rule, standard, float(used[row, at]), beam.member, durations[at], beam.first, layer.shares, layer.part
            )


def _woods_of(each: Sequence[tuple[Beam, Layer]]) -> Mapping[Standard, list[tuple[int, Graded]]]:
    """By standard, the number of each layer with each of its woods."""
    found: defaultdict[Standard, list[tuple[int, Graded]]] = defaultdict(list)
    for i, (_, layer) in enumerate(each):
        for wood in layer.woods:
            found[wood.standard].append((i, wood))
    return found


def _bears(
    known: dict[object, list[float]], rule: str, layer: Layer, wood: Graded, span: float, durations: Sequence[Lasting]
) -> list[float]:
    """What it bears for each duration; of layers alike reckoned once."""
    alike = (wood, layer.depth, layer.width, layer.backed, span) if rule == "bending" else wood
    if alike not in known:
        known[alike] = [layer.bears(rule, wood, span, lasting) for lasting in durations]
    return known[alike]


@dataclass(frozen=True, slots=True)
class Sag:
    """How far a span sags, and how long it is [mm]; row: the piece with the greatest moment; least: the place of the
    piece that resists least among those of its member."""

    sag: float
    span: float
    member: Member
    column: int
    row: int
    least: int


def _cannot_sag(beam: Beam, moment: float, worst: Sag) -> bool:
    """Whether a beam sags no more than what is known, even were all of it as weak as its weakest layer."""
    least = min(
        min(wood.elasticity for wood in layer.woods) * layer.width * layer.depth**3 / 12 for layer in beam.layers
    )
    return 5 / 48 * moment * beam.span / least <= worst.sag / worst.span * (1 + 1e-9)


def sagging(beams: Sequence[Beam], model: Model, columns: Columns) -> Sag | None:
    """The greatest sag for its span: that of an even load with the same moment."""
    worst: Sag | None = None
    if not columns.sag:
        return None
    pieces = model.pieces
    most = columns.solved.moments[:, columns.sag].max(axis=1)
    for beam in (each for each in beams if all(layer.woods for layer in each.layers)):
        if worst is not None and _cannot_sag(beam, float(most[beam.first : beam.first + beam.pieces].max()), worst):
            continue
        stiff = [
            min(wood.elasticity for wood in layer.woods) * layer.width * layer.depth**3 / 12 for layer in beam.layers
        ]
        least = [
            sum(each for each, layer in zip(stiff, beam.layers, strict=True) if layer.shares[i])
            for i in range(len(beam.layers[0].shares))
        ]
        for low, high in pairwise(beam.member.places):
            inside = [
                i for i, (a, b) in enumerate(pieces[beam.member])
                if a >= low - _TOUCH and b <= high + _TOUCH and least[i] > 0
            ]  # fmt: skip
            if not inside:
                continue
            moments = columns.solved.moments[beam.first + np.array(inside)][:, columns.sag]
            at = int(moments.max(axis=0).argmax())
            piece = inside[int(moments[:, at].argmax())]
            weakest = min(inside, key=least.__getitem__)
            sag = 5 / 48 * max(0.0, float(moments[:, at].max())) * (high - low) ** 2 / least[weakest]
            if worst is None or sag / (high - low) > worst.sag / worst.span * (1 + 1e-9):
                column = int(columns.sag[at])
                worst = Sag(sag, high - low, beam.member, column, beam.first + piece, weakest)
    return worst
