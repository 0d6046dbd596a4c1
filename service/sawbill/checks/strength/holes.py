"""Beams where bolts go through them: bending of what their holes leave."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.resistance.bored import Bores, bores_of, net_modulus
from sawbill.checks.resistance.wood import Standard
from sawbill.checks.statics.model import Model
from sawbill.checks.strength.beams import Beam, Layer
from sawbill.checks.strength.used import Columns, Used, first_most


class Weakened(NamedTuple):
    """A layer of a beam at holes; node: the row of the nearest of its nodes; share: what it takes of the moment."""

    beam: Beam
    layer: Layer
    bores: Bores
    node: int
    share: float

    @property
    def modulus(self) -> float:
        """What is left of its section modulus [mm3]."""
        return net_modulus(self.layer.width, self.layer.depth, self.bores)


def weakened(beams: Sequence[Beam], paths: LoadPaths, model: Model) -> Iterator[Weakened]:
    """Every layer of beams at every section with holes."""
    bolts, boxes = paths.frame.bolts, paths.frame.boxes
    for beam in beams:
        for layer in beam.layers:
            key = layer.part.key
            for bores in bores_of(layer.part, boxes[key], bolts[key]) if key in bolts else ():
                node = model.nodes.near(beam.member, bores.place)
                piece = node - (beam.first - beam.member.number)
                yield Weakened(beam, layer, bores, node, max(layer.shares[piece : piece + 2]))


def bored(places: Sequence[Weakened], columns: Columns) -> Iterator[Used]:
    """Bending of what holes leave, of those used most."""
    durations, by = [*columns.of], defaultdict[Standard, list[tuple[Weakened, list[float]]]](list)
    known: dict[object, list[float]] = {}
    for each in places:
        layer, span = each.layer, each.beam.span
        for wood in layer.woods:
            alike = wood, layer.depth, layer.width, layer.backed, span
            if alike not in known:
                known[alike] = [layer.bears("bending", wood, span, lasting) for lasting in durations]
            by[wood.standard].append((each, known[alike]))
    for standard, found in by.items() if durations else ():
        scale = np.array([each.share / each.modulus for each, _ in found])[:, None]
        used = columns.bent[[each.node for each, _ in found]] * scale / np.array([bears for _, bears in found])
        row, at = first_most(used)
        each = found[row][0]
        yield Used(
            "net-section", standard, float(used[row, at]), each.beam.member, durations[at], each.node,
            (each.share,), each.layer.part,
        )  # fmt: skip


def at_node(places: Sequence[Weakened], used: Used) -> Weakened:
    """The holes that a use is about: those that leave least."""
    alike: Mapping[int, Weakened] = {
        n: each for n, each in enumerate(places) if each.node == used.row and each.layer.part is used.part
    }
    return min(alike.values(), key=lambda each: each.modulus / each.share)
