"""What the cutting planner is asked, and what it answers: plain values, whole numbers only."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Stock:
    """Boards of one length that may be used.

    key: the caller's handle, unique in an order; material: what the board is (section, species, grade), the
    word by which pieces say what they may be cut from; length [nm]; price [minor units] each, 0 for boards
    on hand; available: how many there are, None for as many as asked; trim: lost at the board's end to square
    it, the blade's own width included [nm]; carry: the longest that may be carried, so that a longer board is first
    cut at the yard into lengths of at most that; None when any may [nm].
    """

    key: str
    material: str
    length: int
    price: int
    available: int | None = None
    trim: int = 0
    on_hand: bool = False
    carry: int | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece to be cut to length: so many of a length [nm] out of any of the materials named."""

    key: str
    length: int
    count: int
    materials: frozenset[str]


@dataclass(frozen=True, slots=True)
class SmallPart:
    """A part too small to be ripped by itself: blanks are ripped into strips, the strips cut to length.

    length: of one finished part [nm]; strips: how many strips a blank of that material gives side by side;
    least_blank: the shortest blank that is safe to rip [nm].
    """

    key: str
    length: int
    count: int
    strips: Mapping[str, int] = field(hash=False)
    least_blank: int


@dataclass(frozen=True, slots=True)
class Order:
    """Everything that decides a cutting plan.

    kerf: wood lost to one cut [nm]; no_slivers: forbid a last cut that would leave less than the blade's width;
    keep: the shortest leftover worth keeping [nm], None when none is; credit: what a kept leftover is worth
    [minor units per nm], each rounded down, and at most half of what any board bought costs per nm, lest boards
    be bought to own leftovers; extra_cost: the share of the least cost that may be spent
    on fewer cutting set-ups (Fraction(1, 100) is one per cent).
    """

    stocks: tuple[Stock, ...]
    pieces: tuple[Piece, ...]
    small_parts: tuple[SmallPart, ...] = ()
    kerf: int = 0
    no_slivers: bool = False
    keep: int | None = None
    credit: Fraction = Fraction(0)
    extra_cost: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Cut:
    """One piece, or one blank for small parts, as it lies in a board.

    key: of the Piece or SmallPart; at: where it begins, from the squared end of the board's raw length [nm];
    parts: 1 for a piece; for a blank, how many small parts come out of it.
    """

    key: str
    at: int
    length: int
    parts: int = 1
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Board:
    """So many boards of one stock cut alike; leftover: what remains after the last cut's kerf [nm].

    carried: the lengths that the yard cuts a board into, a kerf between each two, none where it is carried whole [nm].
    They begin with the squared end, its trim still on it unless that makes the first too long: then the yard squares
    it first.
    """

    stock: str
    count: int
    cuts: tuple[Cut, ...]
    leftover: int
    carried: tuple[int, ...] = ()


class Status(StrEnum):
    """How far a plan is proven."""

    PROVEN = "proven"
    WITHIN_TOLERANCE = "within_tolerance"
    TIME_LIMIT = "time_limit"


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """Boards to use and how each is cut.

    cost: of the boards bought [minor units]; credited: what the kept leftovers are worth, less what boards that
    cost nothing were worth uncut [minor units], 0 unless the order credits leftovers; bound: no plan has a
    lower cost - credited [minor units]; stage: which step closed the gap between them; few: no plan of that cost, with
    no more boards, has fewer set-ups, nor one that `extra_cost` allows where it is given. A set-up is one way to cut
    boards of one material, length and price: those of another price, or on hand, have set-ups of their own. late: a
    clock cut the search short, be it only among plans that cost as much.
    """

    boards: tuple[Board, ...]
    cost: int
    bound: int
    status: Status
    stage: str
    credited: int = 0
    few: int = 0
    late: bool = False

    @property
    def stocks(self) -> dict[str, int]:
        """How many boards of each stock, by key."""
        counts: Counter[str] = Counter()
        for board in self.boards:
            counts[board.stock] += board.count
        return dict(counts)


@dataclass(frozen=True, slots=True)
class Shortfall:
    """Why a piece cannot be had: too long for every board (longest: what the longest allows, 0 when there is
    no board of its material at all), or not enough boards (missing: how many cannot be cut)."""

    key: str
    missing: int
    longest: int


@dataclass(frozen=True, slots=True)
class Infeasible:
    """No plan exists; what falls short, and by how much.

    proven: False when the search was cut short, so that a plan with less missing, or with nothing, may exist;
    bound: such a plan costs no less [minor units].
    """

    shortfalls: tuple[Shortfall, ...]
    proven: bool = True
    bound: int = 0
