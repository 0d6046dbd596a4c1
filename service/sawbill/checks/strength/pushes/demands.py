"""What a push asks of one part: to be bent, or to hold a fastener. Forces [N], lengths [mm], stresses [MPa]."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from sawbill.checks.loads import MINUTES
from sawbill.checks.resistance import pulled
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Graded, Standard
from sawbill.checks.strength.used import ALIKE
from sawbill.trade.design_values import NdsValues
from sawbill.trade.frame import Part

Rule = Literal["pushed-boards", "pushed-uprights", "pushed-fasteners", "slat-screws"]
PulledBy = Literal["washer", "head", "thread"]
LASTING: Final = MINUTES
"""Pushes are loads of a test."""
OFF: Final = 1 / 20
"""How far from the middle of a span an upright counts as in the middle, in spans (no source)."""
PAD: Final = 200.0
"""How wide the pad is that pushes (EN 747-2:2012, 4.4.1)."""


@dataclass(frozen=True, slots=True)
class Comes:
    """What of a push comes to a place: all of it, more by the lever of a board that reaches beyond, from a span on.

    source: where the push is from, by a name of `calculation.SOURCES`.
    """

    push: float
    source: Literal["EN 747", "EN 12520"]
    reach: float = 0.0
    span: float = 0.0

    @property
    def most(self) -> float:
        """How much."""
        return self.push * (1 + self.reach / self.span) if self.reach else self.push


@dataclass(frozen=True, slots=True)
class Bent:
    """A part bent by a push: between two places so far apart, or so far beyond the last.

    force: what comes to it; span: of what lies between two, 0 of what stands out; reach: of what stands out; wide,
    thick: across and along the push, of each of so many layers alike; hole: what bolts take off its width there.
    tied: how high over what it is held to an upright ties boards together, the one pushed first; off: how far it stands
    from the middle.
    """

    rule: Rule
    when: str
    part: Part
    force: Comes
    span: float
    reach: float
    wide: float
    thick: float
    layers: int
    hole: float
    tied: tuple[float, ...] = ()
    off: float = 0.0

    @property
    def alike(self) -> object:
        """What is the same for parts that are alike."""
        sizes = self.span, self.reach, self.wide, self.thick, self.layers, self.hole
        return self.rule, self.part.name, self.force, sizes, self.tied, self.off

    @property
    def tied_share(self) -> float:
        """What a board takes of a push at the upright that ties it to others: springs alike on a stiff, hinged bar."""
        return self.tied[0] ** 2 / sum(z**2 for z in self.tied)

    @property
    def share(self) -> float:
        """Of the moment in the middle without an upright, what is left of it, wherever along the board it is pushed.

        Three quarters at least: that of a push half way between the upright and an end, without any help. Beside the
        upright a little more than its share of a push there: a fifth of the rest is enough (as tests try), as long as
        it stands within a twentieth of the span from the middle; from a tenth on it does not count.
        """
        if len(self.tied) < 2:
            return 1.0
        relieved = 1 - max(0.75, self.tied_share + (1 - self.tied_share) / 5)
        return 1 - relieved * min(1.0, max(0.0, 2 - self.off / (OFF * self.span)))

    @property
    def moment(self) -> float:
        """How much it is bent [N mm]."""
        if self.span:
            return self.share * self.force.most * max(self.span / 4 - PAD / 8, self.span / 8)
        return self.force.most * self.reach

    def used(self, wood: Graded) -> float:
        """How much of its bending strength is used."""
        modulus = self.layers * (self.wide - self.hole) * self.thick**2 / 6
        bears = wood.bending(self.thick, self.wide, self.wide, self.span or 2 * self.reach, LASTING)
        return self.moment / modulus / bears


@dataclass(frozen=True, slots=True)
class Couple:
    """Fasteners that hold an upright: a force so high over where it turns, and how far each is from there.

    It turns about the middle of what is left of its face beyond the last fastener: there it presses.
    """

    force: Comes
    lever: float
    arms: tuple[float, ...]

    @property
    def most(self) -> float:
        """What comes to the furthest."""
        return self.force.most * self.lever * max(self.arms) / sum(arm**2 for arm in self.arms)


@dataclass(frozen=True, slots=True)
class Shared:
    """Fasteners that share a force alike."""

    force: Comes
    count: int

    @property
    def most(self) -> float:
        """What comes to each."""
        return self.force.most / self.count


@dataclass(frozen=True, slots=True)
class Pulled:
    """Wood that holds a fastener against a pull.

    kind: a washer, round head or flange of a diameter around a hole, so far from the end of the part; a screw's head
    of a diameter over wood so thick; a thread of a diameter and a length. sizes: these, in that order; size: of the
    fastener.
    """

    rule: Rule
    when: str
    part: Part
    held: str
    size: str
    kind: PulledBy
    sizes: tuple[float, ...]
    pull: Couple | Shared

    @property
    def alike(self) -> object:
        """What is the same for parts that are alike."""
        return self.rule, self.part.name, self.kind, self.sizes, self.pull

    def bears(self, wood: Graded) -> float:
        """What it bears, with CD or kmod 1 [N]."""
        values = wood.values
        if isinstance(values, NdsValues):
            if self.kind == "washer":
                return pulled.nds_washer(values.fc_perp, *self.sizes)
            reckon = pulled.nds_head if self.kind == "head" else pulled.nds_thread
            return reckon(values.gravity, *self.sizes)
        if self.kind == "washer":
            return pulled.ec5_washer(values.fc_90_k, *self.sizes[:2])
        if self.kind == "head":
            return pulled.ec5_head(values.rho_k, self.sizes[0])
        return pulled.ec5_thread(values.rho_k, *self.sizes)

    def lasts(self, standard: Standard) -> float:
        """The factor of how long the push lasts; wood across its grain has none by the NDS (2.3.2)."""
        if standard == "EC5":
            return LASTING.kmod
        return 1.0 if self.kind == "washer" else LASTING.cd

    def used(self, wood: Graded) -> float:
        """How much of what it bears is used."""
        return self.pull.most / (self.bears(wood) * self.lasts(wood.standard))


Demand = Bent | Pulled


@dataclass(frozen=True, slots=True)
class Asked:
    """A demand, of the wood of its part that has least for it, and how much of that is used."""

    demand: Demand
    wood: Graded
    used: float


def most_asked(demands: Iterable[Demand], timber: Timber) -> Mapping[tuple[Rule, Standard], Asked]:
    """Of each rule and standard what uses most; the first of those alike."""
    found: dict[tuple[Rule, Standard], Asked] = {}
    known: set[object] = set()
    for demand in demands:
        woods = timber.woods(demand.part)
        alike = demand.alike, id(woods)
        if alike in known:
            continue
        known.add(alike)
        for wood in woods:
            used, key = demand.used(wood), (demand.rule, wood.standard)
            if key not in found or used > found[key].used * (1 + ALIKE):
                found[key] = Asked(demand, wood, used)
    return found
