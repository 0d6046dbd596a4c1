"""The order in which a frame goes together: what is joined in the shop and stays, and what goes up where it stands."""

from __future__ import annotations

from dataclasses import dataclass

from sawbill.trade.boxes import bounds
from sawbill.trade.frame import CarriedPiece, Frame, Glued, Hung, Joint, Resting

REST = "rest"
"""What the parts are called that no carried piece holds."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A carried piece, or pieces alike, in its turn.

    parts: of all of them; stays: its own joints, made in the shop; joins: those with pieces placed before it;
    onto: the names of these pieces, in the order they were placed.
    """

    name: str
    parts: tuple[str, ...]
    count: int
    stays: tuple[Joint, ...]
    joins: tuple[Joint, ...]
    onto: tuple[str, ...]


def assembly(frame: Frame) -> tuple[Placed, ...]:
    """The carried pieces in the order they go up: none before what it rests on or hangs from; every part once.

    To take the frame apart is the reverse.
    """
    pieces = placed_with(frame)
    of = {key: piece for piece, each in enumerate(pieces) for key in each.parts}
    order = _order(frame, pieces, of)
    turn = {piece: i for i, piece in enumerate(order)}
    stays: list[list[Joint]] = [[] for _ in pieces]
    joins: list[list[Joint]] = [[] for _ in pieces]
    for joint in frame.joints:
        among = {of[key] for key in joint.parts}
        made = stays if len(among) == 1 or isinstance(joint, Glued) else joins
        made[max(among, key=turn.__getitem__)].append(joint)
    return tuple(
        Placed(pieces[i].name, pieces[i].parts, pieces[i].count, tuple(stays[i]), tuple(joins[i]),
               tuple(pieces[other].name for other in order if other in _others(i, joins[i], of)))
        for i in order
    )  # fmt: skip


def _others(piece: int, joins: list[Joint], of: dict[str, int]) -> set[int]:
    return {of[key] for joint in joins for key in joint.parts} - {piece}


def placed_with(frame: Frame) -> list[CarriedPiece]:
    """The carried pieces, each part in the first that names it; what none names is a piece of its own."""
    seen: set[str] = set()
    pieces = []
    for piece in frame.carried_pieces:
        parts = tuple(key for key in dict.fromkeys(piece.parts) if key not in seen)
        seen.update(parts)
        if parts:
            pieces.append(CarriedPiece(piece.name, parts, piece.count))
    rest = tuple(key for key in frame.by_key if key not in seen)
    return [*pieces, CarriedPiece(REST, rest)] if rest else pieces


def _order(frame: Frame, pieces: list[CarriedPiece], of: dict[str, int]) -> list[int]:
    """First what stands, then what can be joined to it; a piece waits for those that carry it, if none waits for it."""
    carriers: list[set[int]] = [set() for _ in pieces]
    partners: list[set[int]] = [set() for _ in pieces]
    for joint in frame.joints:
        joined = {of[key] for key in joint.parts}
        for each in joined:
            partners[each] |= joined - {each}
        if isinstance(joint, Resting | Hung):
            *carried, carrier = (of[key] for key in joint.parts)
            for each in carried:
                carriers[each] |= {carrier} - {each}
    heights = [bounds(frame.boxes[key] for key in piece.parts).low[2] for piece in pieces]
    bearing, floor = set().union(*carriers), frame.bounds.low[2]
    left = set(range(len(pieces)))

    def turn(piece: int) -> tuple[int, bool, int, int, int]:
        """Joined at two places, or at all; standing where others are joined to it; joined at one; the rest."""
        there, lacking = len(partners[piece] - left), len(partners[piece] & left)
        stands = heights[piece] == floor
        if there > 1 or (there and not lacking):
            return 0, piece not in bearing, lacking, heights[piece], piece
        if stands and lacking > 1:
            return 1, False, -there - lacking, 0, piece
        return 3 - (there > 0), not stands, 0, heights[piece], piece

    order: list[int] = []
    while left:
        ready = [each for each in left if not carriers[each] & left] or left
        order.append(min(ready, key=turn))
        left.remove(order[-1])
    return order
