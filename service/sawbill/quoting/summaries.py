"""What is built and what is fetched, measured: the frames of a quote as they are carried, the boards as a load."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from sawbill.buying.lots import material_of
from sawbill.buying.purchase import Purchase
from sawbill.buying.suppliers import Sourcing
from sawbill.buying.takeoff import TakeOff
from sawbill.checks.carrying import carried_box, carried_mass, mass_of
from sawbill.prices.pricebook import LumberOffer
from sawbill.trade import lumber
from sawbill.trade.frame import Frame
from sawbill.trade.lengths import METRE


@dataclass(frozen=True, slots=True)
class CarriedSummary:
    """A piece as it is carried: how many alike, its longest side [nm], the mass of one [g]."""

    name: str
    count: int
    longest: int
    mass_g: int


@dataclass(frozen=True, slots=True)
class FrameSummary:
    """A frame of the quote, measured: outer size, tops of its mattresses by name [nm], mass [g], how it is carried."""

    line: int
    size: tuple[int, int, int]
    mattress_tops: tuple[tuple[str, int], ...]
    mass_g: int
    carried_pieces: tuple[CarriedSummary, ...]


@dataclass(frozen=True, slots=True)
class LoadHome:
    """The boards that are fetched, those delivered left out: their mass [g], the longest of them [nm], if any."""

    mass_g: int
    longest: int | None


def woods_of(bought: Purchase) -> Mapping[str, tuple[lumber.Material, ...]]:
    """By cut line, every kind of wood that is cut for its parts."""
    woods: defaultdict[str, dict[lumber.Material, None]] = defaultdict(dict)
    for boards in bought.boards.cut:
        material = material_of(boards.wood)
        for cut in boards.board.cuts:
            woods[cut.key][material] = None
    return {key: tuple(kinds) for key, kinds in woods.items()}


def materials_of(off: TakeOff, woods: Mapping[str, tuple[lumber.Material, ...]]) -> Mapping[int, lumber.Materials]:
    """By line and part, every kind of wood that is cut for the part and its like."""
    found: defaultdict[int, dict[str, tuple[lumber.Material, ...]]] = defaultdict(dict)
    for line in off.cut_list:
        found[line.line] |= dict.fromkeys(line.keys, woods[line.id])
    return found


def summary_of(number: int, frame: Frame, materials: lumber.Materials) -> FrameSummary:
    """Measure a frame, each part weighed as the heaviest wood that is cut for it."""
    carried = tuple(
        CarriedSummary(
            piece.name, piece.count, max(carried_box(frame, piece).size), carried_mass(frame, piece, materials)
        )
        for piece in frame.carried_pieces
    )  # fmt: skip
    tops = tuple((place.name, place.opening.high[2]) for place in frame.sleeping_places)
    return FrameSummary(
        number, frame.bounds.size, tops, round(mass_of(frame, tuple(frame.by_key), materials)), carried
    )  # fmt: skip


def load_home(sourcing: Sourcing, most: int | None) -> LoadHome:
    """The boards that are fetched; most: what the yard cuts longer boards to [nm], if anything."""
    delivered = {visit.supplier for visit in sourcing.visits if visit.delivered}
    fetched = [each for each in sourcing.purchase.boards.bought if each.offer.supplier not in delivered]
    mass = sum((_board_mass(each.offer) * each.quantity for each in fetched), Fraction(0))
    lengths = (each.offer.usable_length for each in fetched)
    return LoadHome(round(mass), max((min(length, most or length) for length in lengths), default=None))


def _board_mass(offer: LumberOffer) -> Fraction:
    """What one board weighs [g]."""
    volume = Fraction(offer.section.thickness * offer.section.width * offer.usable_length, METRE**3)
    return volume * lumber.species()[offer.species].weight_kg_m3 * 1000
