"""Every way to cut one board, listed in plain Python.

Lengths are whole nanometres. A board of usable length U holds pieces of lengths l with a cut of width k between each
two when sum (l + k) <= U + k. A small part is ripped from blanks: a blank is at least so long as is safe to rip and may
be longer than its parts take, so where a last cut would leave a sliver, a blank may take the spare length itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache


class TooManyWaysError(Exception):
    """There are more ways to cut a board than are worth listing."""


@dataclass(frozen=True)
class Kind:
    """Pieces of one length [nm], of which so many are wanted.

    strips: None for a piece cut to length; for a small part, how many lie side by side in a blank;
    least_blank: the shortest blank that is safe to rip [nm].
    """

    length: int
    wanted: int
    strips: int | None = None
    least_blank: int = 0


@dataclass(frozen=True)
class Wood:
    """What decides how a board may be cut: usable length, and the longest that may be carried if the yard cuts it."""

    usable: int
    carry: int | None = None


@dataclass(frozen=True)
class Rules:
    """Kerf [nm]; whether slivers are forbidden; whether each way is listed, or only those that hold no piece more.

    most: how many ways are listed before it is too much.
    """

    kerf: int
    no_slivers: bool = False
    every_way: bool = False
    most: int = 20_000


@dataclass(frozen=True)
class Way:
    """How many of each kind come out of the board, and what is left after the last cut [nm]."""

    gives: tuple[int, ...]
    left: int


@dataclass(frozen=True)
class _Choice:
    """Some of one kind in a board: how many, the length they take with a kerf each, how far blanks may be stretched."""

    gives: int
    takes: int
    stretch: int = 0


def ways(wood: Wood, kinds: Sequence[Kind | None], rules: Rules) -> list[Way]:
    """List the ways to cut a board; a kind that may not come from it is None. The empty way is left out.

    Raises TooManyWaysError.
    """
    order = sorted((i for i, kind in enumerate(kinds) if kind), key=lambda i: -(kinds[i] or Kind(0, 0)).length)
    choices = [_choices(kinds[i], wood, rules) for i in order]
    found: dict[tuple[int, ...], int] = {}
    for chosen in _combined(choices, wood.usable + rules.kerf, rules.every_way):
        left = _left(chosen, wood, rules)
        gives = [0] * len(kinds)
        for i, choice in zip(order, chosen, strict=True):
            gives[i] = choice.gives
        if left is None or not any(gives):
            continue
        found[tuple(gives)] = max(left, found.get(tuple(gives), 0))
        if len(found) > rules.most:
            raise TooManyWaysError
    return [Way(gives, left) for gives, left in found.items()]


def _choices(kind: Kind | None, wood: Wood, rules: Rules) -> list[_Choice]:
    """None of a kind, one, two, and so on, as far as the board and the number wanted go."""
    assert kind is not None
    reach = min(wood.usable, wood.carry or wood.usable)
    none = [_Choice(0, 0)]
    if kind.strips is not None:
        return none + list(_blanks(kind, kind.strips, reach, wood, rules)) if kind.strips else none
    if kind.length > reach:
        return none
    most = min(kind.wanted, (wood.usable + rules.kerf) // (kind.length + rules.kerf))
    return [_Choice(n, n * (kind.length + rules.kerf)) for n in range(most + 1)]


def _blanks(kind: Kind, strips: int, reach: int, wood: Wood, rules: Rules) -> Iterator[_Choice]:
    """So many rows of strips, in as many blanks as may be; a blank may be as long as can be carried."""
    room, kerf = wood.usable + rules.kerf, rules.kerf

    def blank(rows: int) -> int:
        return max(kind.least_blank, rows * (kind.length + kerf) - kerf)

    @cache
    def shortest(rows: int, number: int) -> int | None:
        """The least length of that many blanks with that many rows in all, a kerf after each [nm]."""
        if number == 0:
            return 0 if rows == 0 else None
        lengths = [
            blank(own) + kerf + rest
            for own in range(1, rows + 1)
            if blank(own) <= reach and (rest := shortest(rows - own, number - 1)) is not None
        ]
        return min(lengths, default=None)

    for rows in range(1, min(-(-kind.wanted // strips), room // (kind.length + kerf)) + 1):
        numbered = [(takes, number) for number in range(1, rows + 1) if (takes := shortest(rows, number)) is not None]
        fitting = sorted((takes, number) for takes, number in numbered if takes <= room)
        for takes, number in fitting if rules.no_slivers else fitting[:1]:
            yield _Choice(rows * strips, takes, number * (reach + kerf) - takes)


def _combined(choices: Sequence[Sequence[_Choice]], room: int, every: bool) -> Iterator[tuple[_Choice, ...]]:
    """One choice of each kind that fit together; unless every way is wanted, only those with no room for more."""

    def further(i: int, free: int) -> Iterator[tuple[_Choice, ...]]:
        if i == len(choices):
            yield ()
            return
        fitting = [choice for choice in choices[i] if choice.takes <= free]
        if i == len(choices) - 1 and not every:
            fitting = [max(fitting, key=lambda choice: (choice.gives, -choice.takes))]
        for choice in fitting:
            for rest in further(i + 1, free - choice.takes):
                yield (choice, *rest)

    for chosen in further(0, room):
        if every or not _has_room(chosen, choices, room - sum(choice.takes for choice in chosen)):
            yield chosen


def _has_room(chosen: Sequence[_Choice], choices: Sequence[Sequence[_Choice]], free: int) -> bool:
    """Whether more of some kind would fit beside the rest."""
    return any(
        more.gives > own.gives and more.takes - own.takes <= free
        for own, kind in zip(chosen, choices, strict=True)
        for more in kind
    )


def _left(chosen: Sequence[_Choice], wood: Wood, rules: Rules) -> int | None:
    """What is left after the last cut [nm]; None where that cut would leave a forbidden sliver."""
    spare = wood.usable + rules.kerf - sum(choice.takes for choice in chosen)
    if rules.no_slivers and 0 < spare < rules.kerf:
        return 0 if sum(choice.stretch for choice in chosen) >= spare else None
    return max(0, spare - rules.kerf)
