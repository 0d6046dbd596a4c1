"""What a plan, or a refusal, claims at the planner's door, held against the referee."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tests.referee import plans
from tests.referee.orders import fewest_boards, fewest_setups, least_cost, least_missing
from tests.referee.ways import TooManyWaysError

from sawbill import cutting
from sawbill.cutting import CuttingPlan, Infeasible, Order, Status

SETUP_SECONDS = 2.0
"""How long the referee may look for fewer set-ups: what it has found by then counts."""


@dataclass(frozen=True)
class Verdict:
    """differences: what does not hold, each begun by the word for its kind; proven: whether the answer says so.

    judged: whether the referee came to an end.
    """

    differences: tuple[str, ...]
    proven: bool
    judged: bool = True


def judge(order: Order) -> Verdict:
    """Plan an order and hold what comes against the referee."""
    try:
        found = cutting.plan(order)
    except Exception as error:
        return Verdict((f"crash: {type(error).__name__}: {error}",), proven=False)
    try:
        if isinstance(found, Infeasible):
            return _refused(order, found)
        return _planned(order, found)
    except TooManyWaysError:
        return Verdict((), proven=isinstance(found, CuttingPlan) and found.status is Status.PROVEN, judged=False)


def _refused(order: Order, found: Infeasible) -> Verdict:
    least = least_missing(order)
    missing = sum(shortfall.missing for shortfall in found.shortfalls)
    told = []
    if least.high == 0:
        told.append(f"refusal: {found.shortfalls} though all can be had")
    elif found.proven and least.known and least.high != missing:
        told.append(f"missing: {missing} pieces are said to be missing, {least.high} must be")
    return Verdict(tuple(told), found.proven, least.known)


def _planned(order: Order, plan: CuttingPlan) -> Verdict:
    told = [f"saw: {fault}" for fault in plans.faults_of(order, plan)]
    least, net = least_cost(order), plan.cost - plan.credited
    proven = plan.status is Status.PROVEN
    if least.impossible:
        return Verdict((*told, "impossible: a plan is given, the referee has none"), proven)
    if net < least.low:
        told.append(f"impossible: it costs {net} net, at least {least.low} by the referee")
    if least.high is not None and plan.bound > least.high:
        told.append(f"bound: {plan.bound} is called a bound, and {least.high} net is possible")
    if least.high is not None and proven and net > least.high and not order.extra_cost:
        told.append(f"cost: {net} net is called the least, and {least.high} is possible")
    if least.high is not None and proven and order.extra_cost and net > least.high * (1 + order.extra_cost):
        told.append(f"roof: {net} net is more than may be spent: {least.high} and {order.extra_cost} of it")
    if proven and least.known and not told and not order.extra_cost and not any(s.on_hand for s in order.stocks):
        told += [*_fewest_boards(order, plan, net), *_fewest_setups(order, plan, net)]
    return Verdict(tuple(told), proven, least.known)


def _fewest_boards(order: Order, plan: CuttingPlan, net: int) -> Iterator[str]:
    fewest = fewest_boards(order, net)
    used = sum(board.count for board in plan.boards)
    if fewest.known and used != fewest.high:
        yield f"boards: {used} of them, {fewest.high} would do at that cost"


def _fewest_setups(order: Order, plan: CuttingPlan, net: int) -> Iterator[str]:
    """The number that no plan goes below, as told; of blanks it matters how they are ripped, so they are left out."""
    if not order.small_parts:
        fewest = fewest_setups(order, net, sum(board.count for board in plan.boards), SETUP_SECONDS)
        if fewest.high is not None and plan.few > fewest.high:
            yield f"setups: no plan is said to have fewer than {plan.few}, and one has {fewest.high}"
