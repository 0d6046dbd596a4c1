"""Joist hangers: the nails that hold them to what carries them; what their steel bears is their maker's to tell."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.members import Support
from sawbill.checks.resistance import nails
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Graded, Standard
from sawbill.checks.strength.used import Columns, Used, first_most
from sawbill.trade import fasteners
from sawbill.trade.design_values import NdsValues
from sawbill.trade.fasteners import Hanger
from sawbill.trade.frame import Hung, Part
from sawbill.trade.lengths import MM


def hanger_of(link: Support) -> Hanger | None:
    """The hanger of a link; None: it has none."""
    joint = link.joints[0]
    return fasteners.hangers()[joint.hanger] if isinstance(joint, Hung) and link.kind == "hung" else None


def carrying(paths: LoadPaths, link: Support) -> Part:
    """The part that a hanger is nailed to."""
    return paths.frame.by_key[link.joints[0].parts[-1]]


def nailed(wood: Graded, hanger: Hanger) -> float:
    """What the nails of a hanger bear together in a wood [N], with CD or kmod 1."""
    length = hanger.nail_length / MM
    if isinstance(wood.values, NdsValues):
        return hanger.face_nails * nails.nds_load(wood.values.gravity, length)
    return hanger.face_nails * nails.ec5_load(wood.values.rho_k, length)


def hung(paths: LoadPaths, timber: Timber, columns: Columns) -> Iterator[Used]:
    """The nails of the hangers that are used most."""
    found: defaultdict[Standard, list[tuple[int, float]]] = defaultdict(list)
    for number, link in enumerate(paths.links):
        if (hanger := hanger_of(link)) is not None:
            for wood in timber.woods(carrying(paths, link)):
                found[wood.standard].append((number, nailed(wood, hanger)))
    durations = [*columns.of]
    for standard, each in found.items() if durations else ():
        numbers = [number for number, _ in each]
        used = columns.forces[numbers] / np.array([bears for _, bears in each])[:, None] / columns.lasts(standard)
        row, at = first_most(used)
        link = paths.links[numbers[row]]
        yield Used(
            "hangers", standard, float(used[row, at]), link.member, durations[at], numbers[row],
            part=carrying(paths, link),
        )  # fmt: skip
