"""Orders of several sections that only a few rows tie together: each section by itself, for every way to share those.

A row that several groups of boards can give, ripped parts nearly always, makes one problem of what are several, each
far easier. What each group gives of it takes few values, as blanks are few and give many parts at once. So

    least cost  =  min over ways to share the tied rows  of  sum over groups of the least cost of a group's share,

and no group gives more than its share but for nothing. The search is best first over the ways by what their groups cost
at least: by prices u, sound for any share, that linear programmes for some shares found (see bound.py),

    cost of share d  >=  sum u_i d_i - sum m_k A_k,

then by the programme for the share itself, then by the search for its cheapest plan. Groups and shares that several
ways have in common are worked out once.
"""

from __future__ import annotations

import time
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from heapq import heappop, heappush
from itertools import accumulate, islice, product
from math import prod
from operator import le

from sawbill.cutting.closing.dive import dive, together
from sawbill.cutting.closing.known import ALL, Known
from sawbill.cutting.closing.portion import Portion, portion
from sawbill.cutting.closing.search import closed
from sawbill.cutting.linear import greedy, reduced
from sawbill.cutting.linear.bound import sound_duals
from sawbill.cutting.linear.columns import Duals
from sawbill.cutting.linear.greedy import Plan
from sawbill.cutting.linear.knapsack import Knapsack
from sawbill.cutting.linear.relaxation import Relaxation, relax
from sawbill.cutting.linear.rough import rough
from sawbill.cutting.problem import Problem

MOST_WAYS = 20_000  # to share the tied rows, beyond which they are not listed

Share = tuple[int, ...]  # what a group gives of each tied row
Way = tuple[Share, ...]  # the share of each group


def tied_rows(problem: Problem) -> list[int]:
    """The rows that several groups can give."""
    groups: dict[int, set[int]] = {}
    for group in {bin_.group for bin_ in problem.bins}:
        for item in problem.groups[group]:
            groups.setdefault(item.row, set()).add(group)
    return sorted(row for row, own in groups.items() if len(own) > 1)


def ways(problem: Problem, tied: Sequence[int]) -> list[Way] | None:
    """Every way to share the tied rows that no other makes needless; None when they are too many, or but one."""
    groups = sorted({bin_.group for bin_ in problem.bins})
    choices, left = list[list[Share]](), MOST_WAYS
    for row in tied:
        choices.append(_amounts(problem, row, groups, left))
        left //= max(1, len(choices[-1]))
        if not left:
            return None
    if prod(map(len, choices)) <= 1:
        return None
    return [tuple(zip(*way, strict=True)) for way in product(*choices)]


def _amounts(problem: Problem, row: int, groups: Sequence[int], most: int) -> list[Share]:
    """What each group may give of a row, without what gives all groups as much as another and one of them more.

    Where these are more than so many, as many and one.
    """
    demand = problem.rows[row].demand
    able = [_made_up({item.gives for item in problem.groups[group] if item.row == row}, demand) for group in groups]
    order = sorted(range(len(able)), key=lambda n: len(able[n]))  # whoever gives most or nothing first: few dead ends
    found = islice(least_amounts([able[n] for n in order], demand), most + 1)
    return sorted(tuple(own[order.index(n)] for n in range(len(able))) for own in found)


def least_amounts(able: Sequence[Sequence[int]], demand: int) -> Iterator[Share]:
    """Every way to reach the demand by one amount of each, with which it is missed if any were the next less.

    able: the amounts of each, ascending from 0.
    """
    rest = list(accumulate((each[-1] for each in reversed(able)), initial=0))[-2::-1]  # what all after each can give
    waiting: list[tuple[Share, int, int]] = [((), 0, demand + 1)]
    while waiting:
        taken, total, beyond = waiting.pop()  # so much beyond the demand, one of those taken is needless
        if len(taken) == len(able):
            yield taken
            continue
        each, left, more = able[len(taken)], demand - total, list[tuple[Share, int, int]]()
        for at in range(bisect_left(each, left - rest[len(taken)]), len(each)):
            spare = min(beyond, each[at] - each[at - 1]) if at else beyond
            if each[at] - left >= spare:
                break
            more.append(((*taken, each[at]), total + each[at], spare))
        waiting += reversed(more)


def _made_up(gives: set[int], demand: int) -> list[int]:
    """What blanks, or pieces, add up to, until it is all that is asked."""
    amounts = {0}
    for amount in range(demand):
        if amount in amounts:
            amounts |= {min(demand, amount + more) for more in gives}
    return sorted(amounts)


class _Section:
    """A group's boards, with what the linear programmes for some shares tell of all of them."""

    def __init__(self, problem: Problem, group: int, tied: Sequence[int]) -> None:
        self.problem, self.group, self.tied = problem, group, tied
        self.rows = sorted({item.row for item in problem.groups[group]})
        self.widest = self.part({row: problem.rows[row].demand for row in self.rows}).problem
        self.cuts: list[tuple[int, tuple[int, ...], int]] = []

    @cached_property
    def fillers(self) -> list[Knapsack]:
        """For the largest share, so that they find the patterns of any."""
        return greedy.knapsacks(self.widest)

    def part(self, demand: Mapping[int, int]) -> Portion:
        """This section alone, with so much of its rows; those of which nothing is asked are left out."""
        wanted = [demand.get(row, 0) for row in range(len(self.problem.rows))]
        return portion(self.problem, wanted, [bin_.available for bin_ in self.problem.bins], {self.group})

    def asked(self, share: Share) -> dict[int, int]:
        """What is asked of each row, at a share of the tied ones."""
        return {row: self.problem.rows[row].demand for row in self.rows} | {
            row: amount for row, amount in zip(self.tied, share, strict=True) if row in self.rows
        }

    def least(self, share: Share) -> int:
        """No plan for the share costs less, by the prices learnt so far."""
        most, step = 0, self.widest.step
        for sure, prices, scale in self.cuts:
            total = sure + sum(u * amount for u, amount in zip(prices, share, strict=True))
            most = max(most, -(-total // (scale * step)) * step)
        return most

    def learn(self, rows: Sequence[int], duals: Duals) -> None:
        """What a share's prices tell of others, once sound for the patterns of all; no price where nothing is asked."""
        own = [0] * len(self.widest.rows)
        for row, u in zip(rows, duals.rows, strict=True):
            own[self.rows.index(row)] = u
        sound = sound_duals(self.widest, self.fillers, Duals(tuple(own), duals.bins, duals.scale))
        prices = dict(zip(self.rows, sound.rows, strict=True))
        loose = {row: prices.get(row, 0) for row in self.tied}
        sure = reduced.floor_cost(self.widest, sound)
        sure -= sum(u * self.problem.rows[row].demand for row, u in loose.items())
        self.cuts.append((sure, tuple(loose.values()), sound.scale))


@dataclass(slots=True)
class _Part:
    """A section's share: its problem, what is known of it, and how many efforts it was given."""

    own: Portion
    fillers: list[Knapsack]
    known: Known
    relaxation: Relaxation | None
    efforts: int = 0


class Sections:
    """The search over all ways."""

    def __init__(self, problem: Problem, all_ways: Sequence[Way], known: Known, end: float) -> None:
        self.problem, self.known, self.end = problem, known, end
        tied = tied_rows(problem)
        groups = sorted({bin_.group for bin_ in problem.bins})
        self.sections = [_Section(problem, group, tied) for group in groups]
        self.parts: list[dict[Share, _Part]] = [{} for _ in groups]
        self.ways = all_ways

    def run(self) -> Known:
        """The cheapest plan of all ways, and the bound: the least of what is left."""
        waiting = sorted((0, self.least(way), n) for n, way in enumerate(self.ways))
        aside: list[int] = []
        while waiting and self.known.open and time.monotonic() < self.end:
            effort, least, n = heappop(waiting)
            now = max(least, self.least(self.ways[n]))
            if now > least:  # the others may be cheaper; the bound waits, for ways are many
                if now < self.known.cost:
                    heappush(waiting, (effort, now, n))
                continue
            if now < self.known.cost and not self._go_on(self.ways[n], effort):
                effort += 1
            if effort > ALL:
                aside.append(now)
            elif now < self.known.cost:
                heappush(waiting, (effort, max(now, self.least(self.ways[n])), n))
            self._bounded(aside, waiting)
        self._bounded(aside, waiting)
        return self.known

    def _bounded(self, aside: Sequence[int], waiting: Sequence[tuple[int, int, int]]) -> None:
        """Take the least of what is left for the bound."""
        left = (least for _, least, _ in waiting)
        self.known = self.known.with_bound(min([self.known.cost, *aside, *left]), "sections")

    def least(self, way: Way) -> int:
        """What its groups cost at least."""
        return sum(self._least(n, share) for n, share in enumerate(way))

    def _least(self, n: int, share: Share) -> int:
        """By the prices learnt, and by what is known of this share and of those that it contains."""
        known = (part.known.bound for own, part in self.parts[n].items() if all(map(le, own, share)))
        return max(self.sections[n].least(share), *known, 0)

    def _go_on(self, way: Way, effort: int) -> bool:
        """Work on one of a way's sections, with no more effort than so much; whether there was any to work on."""
        for n, share in enumerate(way):
            if share not in self.parts[n]:
                self._begin(n, share)
                self._plan(way)
                return True
        own = [self.parts[n][share] for n, share in enumerate(way)]
        bounds = [self._least(n, share) for n, share in enumerate(way)]
        for part, bound in sorted(zip(own, bounds, strict=True), key=lambda each: len(each[0].own.rows)):
            enough = self.known.cost - sum(bounds) + bound
            part.known = part.known.with_bound(bound, "sections")
            if part.efforts <= effort and part.known.bound < min(enough, part.known.cost):
                self._search(part, enough)
                self._plan(way)
                return True
        self._plan(way)
        return False

    def _begin(self, n: int, share: Share) -> None:
        """The linear programme and a dive, or a plan for nothing."""
        section = self.sections[n]
        own = section.part(section.asked(share))
        if not own.rows:
            self.parts[n][share] = _Part(own, [], Known({}, 0, 0, "nothing to cut"), None)
            return
        fillers = greedy.knapsacks(own.problem)
        plan = greedy.complete(own.problem, fillers, {})
        bound, relaxation = relax(own.problem, fillers, plan, self.end)
        section.learn(own.rows, relaxation.master.duals())
        known = Known(plan, greedy.cost(plan), bound, "linear programme")
        quick = rough(own.problem, fillers)
        known = known.with_plan(dive(own.problem, quick, relaxation.master, plan, bound, self.end), "dive")
        self.parts[n][share] = _Part(own, fillers, known, relaxation)

    def _search(self, part: _Part, enough: int) -> None:
        """For a cheaper plan of a share, by all stages."""
        assert part.relaxation is not None
        effort = min(part.efforts, self.known.effort)
        part.efforts += 1
        known = replace(part.known, enough=enough, effort=effort, timed_out=False)
        part.known, part.relaxation = closed(part.own.problem, part.fillers, known, part.relaxation, self.end)

    def _plan(self, way: Way) -> None:
        """Keep a way's plan, if it is cheaper: of each section that for its share, or for one that contains it."""
        plan: Plan = {}
        if any(share not in self.parts[n] for n, share in enumerate(way)):
            return
        for n, share in enumerate(way):
            able = [part for own, part in self.parts[n].items() if all(map(le, share, own))]
            part = min(able, key=lambda part: part.known.cost)
            plan = together(plan, part.own.plan(part.known.plan))
        self.known = self.known.with_plan(plan, "sections")
