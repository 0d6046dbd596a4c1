"""Three frames solved anew by the text book: dense matrices, faces shut and open by least energy, and sums by hand.

Of the frame under test only the springs between its members are taken, not what bands, contacts or recoveries do with
them: stiffness matrices of beams (any text book on matrix structural analysis), loads as many small ones. The design
values are those of the NDS Supplement 2018, Table 4A, SPF No.2: Fb 875, Fc-perp 425, Emin 510,000 psi, G 0.42.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import ceil, sqrt
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from sawbill.asked.request import Request
from sawbill.checks.site import Site
from sawbill.checks.strength import check_strength
from sawbill.checks.strength.reckoned import Reckoned, reckon
from sawbill.checks.strength.used import Used
from sawbill.prices.pricebook import PriceBook
from sawbill.trade.lumber import Material, find_grade, find_species

Ask = Callable[[PriceBook, dict[str, Any]], Request]
Floats = NDArray[np.float64]
E, PSI, MM, GRAINS = 10_000.0, 6.894757293168e-3, 10**6, 400


class Dense:
    """A frame in one column of what was solved, with every matrix in full."""

    def __init__(self, told: Reckoned, used: Used) -> None:
        case = told.columns.case(used.column)
        way = told.model.ways()[used.column // len(told.cases)]
        self.loads = {m: [*told.there[m], *case.loads.get(m, ())] for m in told.paths.members}
        self.nodes: dict[Any, list[float]] = {}
        self.dof: dict[tuple[int, int], int] = {}
        links: list[int] = []
        for member in told.paths.members:
            inner = [0.0] if member.upright else [a for a, _ in told.model.pieces[member][1:]]
            outer = [] if member.upright else [member.low, member.high]
            self.nodes[member] = sorted({*inner, *outer})
            for place in inner:
                links.append(len(self.dof))
                self.dof[member.number, self.nodes[member].index(place)] = len(self.dof)
            for i in range(len(self.nodes[member])):
                self.dof.setdefault((member.number, i), len(self.dof))
        self.size = 2 * len(self.dof)
        self.springs = [
            (links[s.over], None if s.under < 0 else links[s.under], s.presses, self._stiff(s, way), s.link)
            for s in told.model.springs
        ]
        self._solve(told)

    @staticmethod
    def _stiff(spring: Any, way: tuple[float, bool]) -> float:
        times, ladder = way
        if spring.ladder and not ladder:
            return 0.0
        if spring.idle:
            return spring.stiff if times >= 1 else 0.0
        return spring.stiff * (times if spring.fastener else 1.0)

    def _solve(self, told: Reckoned) -> None:
        beams, force = np.zeros((self.size, self.size)), np.zeros(self.size)
        for member, nodes in self.nodes.items():
            at = [self.dof[member.number, i] for i in range(len(nodes))]
            if member.upright:
                force[2 * at[0]] += sum(load for *_, load in self.loads[member])
                beams[2 * at[0] + 1, 2 * at[0] + 1] = 1.0
                continue
            for (i, a), (j, b) in pairwise(zip(at, nodes, strict=True)):
                place = np.ix_([2 * i, 2 * i + 1, 2 * j, 2 * j + 1], [2 * i, 2 * i + 1, 2 * j, 2 * j + 1])
                beams[place] += E * _inertia(told, member, (a + b) / 2) * _beam(b - a)
            for low, high, load in self.loads[member]:
                for n in range(GRAINS):
                    x = low + (high - low) * (n + 0.5) / GRAINS
                    k = min(max(int(np.searchsorted(nodes, x)) - 1, 0), len(nodes) - 2)
                    for row, share in zip((at[k], at[k + 1]), _shapes(x, nodes[k], nodes[k + 1]), strict=True):
                        force[2 * row : 2 * row + 2] += np.array(share) * load / GRAINS
        ties = np.zeros((len(self.springs), self.size))
        for row, (one, other, *_) in zip(ties, self.springs, strict=True):
            row[2 * one] = 1.0
            if other is not None:
                row[2 * other] = -1.0
        stiff = np.array([each[3] for each in self.springs])
        pulls = np.array([not each[2] for each in self.springs])
        moved = np.zeros(self.size)

        def pressed(moved: Floats) -> Floats:
            closes = ties @ moved
            return np.where(pulls | (closes > 0), stiff * closes, 0.0)

        def energy(moved: Floats) -> float:
            return float(moved @ beams @ moved / 2 + pressed(moved) @ (ties @ moved) / 2 - force @ moved)

        for _ in range(100):  # the least energy, by Newton's way, with steps that lessen it
            out = beams @ moved + ties.T @ pressed(moved) - force
            if np.abs(out).max() < 1e-5:
                break
            shut = stiff * (pulls | (ties @ moved >= 0))
            step = -np.linalg.solve(beams + (ties.T * shut) @ ties + 1e-6 * np.eye(self.size), out)
            part = 1.0
            while energy(moved + part * step) > energy(moved) + 1e-4 * part * float(out @ step) and part > 1e-9:
                part /= 2
            moved = moved + part * step
        else:
            pytest.fail("not in balance")
        self.forces = pressed(moved)

    def link(self, number: int) -> float:
        """What a link bears."""
        return float(sum(f for (*_, link), f in zip(self.springs, self.forces, strict=True) if link == number))

    def most_bent(self, member: Any) -> float:
        """The greatest moment of a member, by levers of all that is before each tenth of a millimetre."""
        x = np.arange(member.low, member.high, 0.1)
        moment = np.zeros_like(x)
        own = {self.dof[member.number, i]: place for i, place in enumerate(self.nodes[member])}
        for (one, other, *_), force in zip(self.springs, self.forces, strict=True):
            for node, sign in ((one, -1.0), (other, 1.0)):
                if node in own:
                    moment += sign * force * np.maximum(0.0, x - own[node])
        for low, high, load in self.loads[member]:
            reach = np.clip(x - low, 0.0, max(high - low, 1e-9))
            moment += load * reach / max(high - low, 1e-9) * (x - low - reach / 2)
        return float(np.abs(moment).max())


def _beam(long: float) -> Floats:
    """The stiffness matrix of a beam of E I 1."""
    a, b, c, d = 12 / long**3, 6 / long**2, 4 / long, 2 / long
    return np.array([[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]])


def _shapes(x: float, a: float, b: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """What a load of 1 does to either end of a beam that is held there."""
    t, long = (x - a) / (b - a), b - a
    return (
        (1 - 3 * t**2 + 2 * t**3, long * t * (1 - t) ** 2),
        (3 * t**2 - 2 * t**3, -long * t**2 * (1 - t)),
    )


def _inertia(told: Reckoned, member: Any, x: float) -> float:
    """b d3 / 12 of all that lies at a place; all layers of these frames are long."""
    i, across = ("x", "y").index(member.axis), 1 - ("x", "y").index(member.axis)
    boxes = [told.paths.frame.boxes[part.key] for part in member.parts]
    here = [box.size for box in boxes if box.low[i] <= x * MM <= box.high[i]]
    return float(sum(size[across] * size[2] ** 3 / 12 / MM**4 for size in here))


def fb(cd: float, lu: float, b: float, cf: float = 1.3) -> float:
    """Fb' of a 2x6 on edge [MPa], b: with what is glued beside it (NDS 2018, 3.3.3)."""
    star, d = 875 * PSI * cd * cf, 5.5 * 25.4
    le = 1.63 * lu + 3 * d if lu >= 7 * d else 2.06 * lu
    le = 1.84 * lu if lu > 14.3 * d else le
    ratio = 1.2 * 510_000 * PSI * b**2 / (le * d) / star
    return star * ((1 + ratio) / 1.9 - sqrt(((1 + ratio) / 1.9) ** 2 - ratio / 0.95))


CASES = ["slatted-bed bending", "slatted-bed bearing", "bunk-bed bolts", "loft-bed bending"]


@pytest.mark.parametrize("case", CASES)
def test_what_is_used_of_three_frames_comes_to_the_same_by_hand(inch: PriceBook, ask: Ask, case: str) -> None:
    design, rule = case.split()
    options = {"braced": "no"} if design == "loft-bed" else {}  # rails of one board
    frame = ask(inch, {"lines": [{"design": design, "options": options}]}).lines[0].frame
    assert frame is not None
    wood = {part.key: (Material(part.section, find_species("SPF"), find_grade("No.2")),) for part in frame.parts}
    told = reckon(frame, Site(), wood)
    assert told is not None
    used = told.worst[rule, "NDS"]
    dense = Dense(told, used)
    if rule == "bending":  # a 2x6 and the ledger glued beside it, a 2x4: by b d3
        share = 5.5**3 / (5.5**3 + 3.5**3)
        cd = 1.25 if design == "slatted-bed" else 1.6  # two who sit on it; one who drops onto it
        low, high = max(pairwise(used.member.places), key=lambda span: span[1] - span[0])
        stress = share * dense.most_bent(used.member) * 6 / (1.5 * 5.5**2 * 25.4**3)
        by_hand = stress / fb(cd, high - low, 3 * 25.4)
    elif rule == "bearing":  # the beam, a 2x, on the leg under it, a 2x4 flat; 3.5 + 3/8 in over 3.5 in
        by_hand = dense.link(used.row) / (3.5 * 1.5 * 25.4**2) / (425 * PSI * 3.875 / 3.5)
    else:  # mode IIIs of a 3/8 in bolt: side across the grain 1-1/2 in, main along it; two bolts, ten minutes
        d, t, fem, fes = 3 / 8, 1.5, 4700, 2850
        re = fem / fes
        k3 = -1 + sqrt(2 * (1 + re) / re + 2 * 45_000 * (2 + re) * d**2 / (3 * fem * t**2))
        by_hand = dense.link(used.row) / (2 * 1.6 * k3 * d * t * fem / ((2 + re) * 3.2 * 1.25) * 4.4482216152605)
    found = next(each.found for each in check_strength(frame, Site(), wood) if each.rule == rule)
    assert by_hand == pytest.approx(used.used, rel=1e-4)
    assert ceil(round(by_hand * 1000, 2)) == found, "to the printed digit"
