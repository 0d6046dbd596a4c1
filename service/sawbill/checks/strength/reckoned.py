"""All that is reckoned of the strength of a frame, once: what its findings and its calculations are told from."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from typing import NamedTuple

from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import Case, Weights, always, cases
from sawbill.checks.members import Member, Support
from sawbill.checks.racking import Direction, Leaning, rack
from sawbill.checks.resistance.bolt_places import BoltPlaces
from sawbill.checks.resistance.screwed import ScrewedJoints
from sawbill.checks.resistance.timber import Timber
from sawbill.checks.resistance.wood import Standard
from sawbill.checks.site import Site
from sawbill.checks.statics.model import Model, Patch, Solved
from sawbill.checks.strength.beams import Beam, Sag, beams_of, bent, sagging
from sawbill.checks.strength.hangers import hung
from sawbill.checks.strength.holes import Weakened, bored, weakened
from sawbill.checks.strength.joints import Face, Near, bolted, faces_of, nearest_bolts, pressed
from sawbill.checks.strength.least import least_solved
from sawbill.checks.strength.posts import Post, buckling, posts_of
from sawbill.checks.strength.pushes.demands import Asked, Rule, most_asked
from sawbill.checks.strength.pushes.follow import Pushed
from sawbill.checks.strength.screws import Group, groups_of, nearest_screws, screwed
from sawbill.checks.strength.twist import Twisted, twisted, twists
from sawbill.checks.strength.used import Columns, Used
from sawbill.trade.frame import Frame
from sawbill.trade.lumber import Materials


class Under(NamedTuple):
    """What a frame is under: what is always on each member, and what that does with each of its cases."""

    there: Mapping[Member, Sequence[Patch]]
    solved: Solved
    columns: Columns


class Loaded:
    """A frame under its cases, whatever wood is cut for it: reckoned once, however many woods are tried.

    user: what one who uses it weighs [g]; cases: none where nobody uses it.
    """

    def __init__(self, frame: Frame, site: Site) -> None:
        """Of a frame where it stands; it is measured once something is asked."""
        self.frame, self.user = frame, site.heaviest_user
        self._known: dict[object, Under] = {}

    @cached_property
    def paths(self) -> LoadPaths:
        """Where its members meet."""
        return LoadPaths(self.frame)

    @cached_property
    def cases(self) -> Sequence[Case]:
        """What it carries."""
        return list(cases(self.paths, self.user))

    @cached_property
    def model(self) -> Model:
        """Its springs and beams."""
        return Model(self.paths)

    @cached_property
    def pushed(self) -> Pushed:
        """What pushes ask of it."""
        return Pushed(self.paths, self.user)

    @cached_property
    def leaning(self) -> Leaning:
        """It pushed along, and across."""
        return Leaning(self.paths, self.user)

    @cached_property
    def bearing(self) -> Sequence[Support]:
        """What carries those on whom something is put, and what carries that, down to the floor."""
        return list(self.paths.under(member for case in self.cases for member in case.loads))

    @cached_property
    def bolts(self) -> BoltPlaces:
        """Where its bolts are."""
        return BoltPlaces(self.paths)

    @cached_property
    def faces(self) -> Sequence[Face]:
        """Where it is pressed across the grain."""
        return list(faces_of(self.paths))

    @cached_property
    def screwed_joints(self) -> ScrewedJoints:
        """The joints that screws carry, in no wood."""
        return ScrewedJoints(self.paths, Timber(self.paths, {}))

    @cached_property
    def screws(self) -> Sequence[Group]:
        """The screws that carry alone."""
        return list(groups_of(self.bearing, self.paths, self.screwed_joints))

    def in_wood(self, materials: Materials, under: Under | None = None) -> Reckoned:
        """Reckon it in wood; under: under what, if it is asked of some parts alone, those whose materials are given."""
        timber = Timber(self.paths, materials, some=under is not None, places=self.bolts)
        there, solved, columns = under or self.under(materials)
        weights = {member: sum(load for _, _, load in patches) for member, patches in there.items()}
        return Reckoned(
            self, there, timber, solved, columns,
            beams_of(self.paths, self.model, timber), posts_of(self.paths, timber, weights),
        )  # fmt: skip

    def under(self, weighing: Materials) -> Under:
        """What is always there if its parts weigh as these, and what its cases do on top of that."""
        there = always(self.paths, weighing)
        key = tuple(tuple(there[member]) for member in self.paths.members)
        if key not in self._known:
            solved = self.model.solve(there, [case.loads for case in self.cases])
            self._known[key] = Under(there, solved, Columns(self.cases, solved))
        return self._known[key]

    def at_least(self, light: Materials, heavier: Iterable[Materials], cases: Sequence[Case]) -> Under:
        """What some of its cases do to it at least, whatever it weighs between the lightest and the heaviest wood.

        heavier: for each group of parts that weigh alike, the lightest wood with these in their heaviest.
        """
        weights: Weights = {}
        there = always(self.paths, light, weights)
        more = (always(self.paths, each, weights) for each in heavier)
        solved = least_solved(self.model, there, more, [case.loads for case in cases])
        return Under(there, solved, Columns(cases, solved))


@dataclass(frozen=True)
class Reckoned:
    """A frame in its wood under its cases; there: what is always on each member."""

    loaded: Loaded
    there: Mapping[Member, Sequence[Patch]]
    timber: Timber
    solved: Solved
    columns: Columns
    beams: Sequence[Beam]
    posts: Sequence[Post]

    @property
    def paths(self) -> LoadPaths:
        """Where its members meet."""
        return self.loaded.paths

    @property
    def cases(self) -> Sequence[Case]:
        """What it carries."""
        return self.loaded.cases

    @property
    def model(self) -> Model:
        """Its springs and beams."""
        return self.loaded.model

    @property
    def pushed(self) -> Pushed:
        """What pushes ask of it."""
        return self.loaded.pushed

    @property
    def bearing(self) -> Sequence[Support]:
        """What carries those on whom something is put, and what carries that, down to the floor."""
        return self.loaded.bearing

    @cached_property
    def screwed_joints(self) -> ScrewedJoints:
        """The joints that screws carry."""
        return self.loaded.screwed_joints.in_wood(self.timber)

    @property
    def screws(self) -> Sequence[Group]:
        """The screws that carry alone."""
        return self.loaded.screws

    @cached_property
    def weakened(self) -> Sequence[Weakened]:
        """Beams at the holes of bolts."""
        return list(weakened(self.beams, self.paths, self.model))

    @cached_property
    def twisted(self) -> Sequence[Twisted]:
        """Beams at their holds, twisted by what they carry beside their middle."""
        return list(twisted(self.beams, self.paths))

    @cached_property
    def worst(self) -> Mapping[tuple[str, Standard], Used]:
        """The most that is used of each rule by each standard."""
        return self.columns.worst(chain.from_iterable(uses() for uses in self._uses.values()))

    def worst_of(self, rule: str) -> Mapping[tuple[str, Standard], Used]:
        """The same of a rule, and of those that are reckoned with it."""
        return self.columns.worst(next(uses() for rules, uses in self._uses.items() if rule in rules))

    @property
    def _uses(self) -> Mapping[Sequence[str], Callable[[], Iterable[Used]]]:
        """What is used, by the rules that are reckoned together."""
        return {
            ("bending", "shear"): lambda: bent(self.beams, self.columns),
            ("posts",): lambda: buckling(self.posts, self.columns),
            ("bolts", "bolted-end"): lambda: bolted(self.paths, self.timber, self.columns),
            ("bearing",): lambda: pressed(self.loaded.faces, self.timber, self.columns),
            ("screws",): lambda: screwed(self.screws, self.screwed_joints, self.columns),
            ("net-section",): lambda: bored(self.weakened, self.columns),
            ("torsion",): lambda: twists(self.twisted, self.columns),
            ("hangers",): lambda: hung(self.paths, self.timber, self.columns),
        }

    @cached_property
    def asked(self) -> Mapping[tuple[Rule, Standard], Asked]:
        """The most that pushes use of each rule by each standard."""
        return most_asked(self.pushed.demands, self.timber)

    @cached_property
    def nearest(self) -> Mapping[str, Mapping[Standard, Near]]:
        """The shortest distance of bolts and of screws that carry, for what it should be, by rule and standard."""
        return {
            "bolt-distance": nearest_bolts(self.bearing, self.timber),
            "screw-distance": nearest_screws(self.screws, self.paths.frame, self.timber),
        }

    @cached_property
    def directions(self) -> Sequence[Direction]:
        """The frame pushed along, and across."""
        return list(rack(self.loaded.leaning, self.timber, self.screwed_joints))

    @cached_property
    def sag(self) -> Sag | None:
        """The greatest sag for its span."""
        return sagging(self.beams, self.model, self.columns)


def reckon(frame: Frame, site: Site, materials: Materials) -> Reckoned | None:
    """Reckon a frame; None: nobody uses it."""
    loaded = Loaded(frame, site)
    return loaded.in_wood(materials) if loaded.cases else None
