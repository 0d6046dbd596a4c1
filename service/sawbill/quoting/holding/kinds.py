"""Parts by what they may be cut from: those of a cut line that are alike in the frame must hold in the same woods."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sawbill.asked.request import OnHand, Request
from sawbill.buying.lots import material_of, will_do
from sawbill.buying.takeoff import CutLine, TakeOff, lettered
from sawbill.checks.load_paths import LoadPaths
from sawbill.checks.loads import looks
from sawbill.prices.pricebook import LumberOffer
from sawbill.trade.lumber import Material

Woods = frozenset[Material]


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """Parts of one cut line that are alike in the frame: they mirror each other, or lie side by side.

    number: its place among all kinds of a quote; line: the place of its cut line; keys: its parts in one frame;
    woods: all that they may be cut from as long as nobody asks whether that holds, in a fixed order.
    """

    number: int
    line: int
    cut: CutLine
    keys: tuple[str, ...]
    woods: tuple[Material, ...]

    @property
    def lightest(self) -> Material:
        """The wood of which it weighs least."""
        return min(self.woods, key=lambda wood: wood.weight_kg_m3)

    @property
    def heaviest(self) -> Material:
        """The wood of which it weighs most."""
        return max(self.woods, key=lambda wood: wood.weight_kg_m3)


def kinds_of(
    off: TakeOff, request: Request, offers: Sequence[LumberOffer], paths: Mapping[int, LoadPaths]
) -> list[Kind]:
    """The kinds of every cut line of a frame; those that nothing on sale or on hand is long enough for are left out."""
    found: list[Kind] = []
    for number, cut in enumerate(off.cut_list):
        woods = tuple(sorted(set(woods_for(cut, request, offers)), key=_order)) if cut.keys else ()
        for keys in _alike(cut, paths[cut.line]) if woods else ():
            found.append(Kind(len(found), number, cut, keys, woods))
    return found


def _alike(cut: CutLine, paths: LoadPaths) -> Iterator[tuple[str, ...]]:
    groups: dict[object, list[str]] = {}
    for key in cut.keys:
        member = paths.of[key]
        groups.setdefault("idle" if member in paths.idle else looks(paths, member), []).append(key)
    yield from map(tuple, groups.values())


def woods_for(cut: CutLine, request: Request, offers: Sequence[LumberOffer]) -> Iterator[Material]:
    """What a part may be cut from: boards of its section, for a ripped one any as thick that are as wide."""
    boards: list[LumberOffer | OnHand] = [*offers, *request.on_hand]
    for board in boards:
        section, wanted = board.section, cut.section
        fits = (
            section.name == wanted.name and section == wanted  # by name alone most are told apart at once
            if cut.ripped is None
            else section.thickness == wanted.thickness and section.width >= cut.ripped
        )
        if not fits:
            continue
        long = board.length if isinstance(board, OnHand) else board.usable_length - request.shop.end_trim
        if long >= (cut.least or cut.length) and will_do(board, cut, request):
            yield material_of(board)


def _order(wood: Material) -> tuple[str, ...]:
    species, grade = wood.species, wood.grade
    return (
        wood.section.name, species.name if species else "", grade.name if grade else "", wood.design_values or "",
        str(wood.treated),
    )  # fmt: skip


def narrowed(off: TakeOff, kinds: Sequence[Kind], allowed: Mapping[Kind, Woods], *, split: bool) -> TakeOff | None:
    """A take-off whose parts are cut from allowed wood alone: lines split by that, or else what suits all their parts.

    None: nothing suits all parts of a line.
    """
    of: dict[int, list[Kind]] = {}
    for kind in kinds:
        of.setdefault(kind.line, []).append(kind)
    lines: list[CutLine] = []
    for number, cut in enumerate(off.cut_list):
        groups: dict[Woods, list[str]] = {}
        for kind in of.get(number, ()):
            groups.setdefault(allowed[kind], []).extend(kind.keys)
        if groups and not split:
            both = frozenset.intersection(*groups)
            groups = {both: list(cut.keys)}
        if not all(groups):
            return None
        lines += [_part_of(cut, woods, keys, of[number][0]) for woods, keys in groups.items()] or [cut]
    return replace(off, cut_list=lettered(lines))


def _part_of(cut: CutLine, woods: Woods, keys: Sequence[str], kind: Kind) -> CutLine:
    """Those parts of a cut line that may be cut from the same woods, in the order of the frame."""
    chosen = tuple(key for key in cut.keys if key in set(keys))
    each = cut.quantity // len(cut.keys)
    may_be = None if woods == frozenset(kind.woods) else tuple(wood for wood in kind.woods if wood in woods)
    return replace(cut, keys=chosen, quantity=each * len(chosen), may_be=may_be)
