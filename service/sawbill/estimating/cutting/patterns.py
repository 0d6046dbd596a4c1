"""Every way of cutting one board that a cheapest plan may need, when they are few."""

from __future__ import annotations

from collections.abc import Iterator

from sawbill.estimating.cutting.problem import Pattern, Problem


class TooMany(Exception):
    """There are more patterns than were asked for."""


def all_patterns(problem: Problem, limit: int) -> list[Pattern] | None:
    """The patterns of every bin that no other dominates, or None when the search for them passes the limit.

    A pattern to which a piece can be added is dominated by the fuller one, as surplus pieces cost nothing;
    where leftovers are worth something none dominates another, and all are returned.
    """
    found: list[Pattern] = []
    try:
        for bin_index in range(len(problem.bins)):
            found.extend(_of_bin(problem, bin_index, limit - len(found)))
    except TooMany:
        return None
    return found


def _of_bin(problem: Problem, bin_index: int, limit: int) -> Iterator[Pattern]:
    bin_ = problem.bins[bin_index]
    items = problem.groups[bin_.group]
    order = sorted(range(len(items)), key=lambda i: -items[i].length)
    most = [problem.most(bin_index, items[i]) for i in order]
    lengths = [items[i].length for i in order]
    dominance = not any(row.exact for row in problem.rows)
    fill_up = dominance and not problem.no_slivers
    counts = [0] * len(order)
    steps = found = 0

    def extend(depth: int, room: int) -> Iterator[Pattern]:
        nonlocal steps, found
        steps += 1
        if steps > 20 * limit + 100:
            raise TooMany
        if depth == len(order):
            used = bin_.room - room
            if used and problem.admits(bin_index, used) and not (dominance and grows(room, used)):
                found += 1
                if found > limit:
                    raise TooMany
                yield problem.pattern(bin_index, zip(order, counts, strict=True))
            return
        full = min(most[depth], room // lengths[depth])
        least = full if fill_up and depth == len(order) - 1 else 0
        for count in range(full, least - 1, -1):
            counts[depth] = count
            yield from extend(depth + 1, room - count * lengths[depth])
        counts[depth] = 0

    def grows(room: int, used: int) -> bool:
        return any(
            counts[i] < most[i] and lengths[i] <= room and problem.admits(bin_index, used + lengths[i])
            for i in range(len(order))
        )

    yield from extend(0, bin_.room)
