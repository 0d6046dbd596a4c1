"""The referee's answer to an order at the planner's door: one integer programme over every way to cut every board."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model
from tests.referee.optimum import Least, least
from tests.referee.ways import Kind, Rules, Wood, ways

from sawbill.cutting import Order, Piece, SmallPart, Stock


@dataclass
class Programme:
    """The programme of an order: what it costs net of credit, how many boards it takes, and what goes missing.

    times: how often each way to cut each wood is used.
    """

    model: cp_model.CpModel
    cost: cp_model.LinearExprT
    boards: cp_model.LinearExprT
    missing: cp_model.LinearExprT
    times: list[cp_model.IntVar]


def least_cost(order: Order) -> Least:
    """The least net cost of an order [minor units]."""
    programme = programme_of(order)
    programme.model.add(programme.missing == 0)
    return least(programme.model, programme.cost)


def fewest_boards(order: Order, cost: int) -> Least:
    """The fewest boards, those on hand among them, at a net cost [minor units]."""
    programme = programme_of(order)
    programme.model.add(programme.missing == 0)
    programme.model.add(programme.cost == cost)
    return least(programme.model, programme.boards)


def fewest_setups(order: Order, cost: int, boards: int, seconds: float) -> Least:
    """The fewest set-ups that a plan of a net cost, with no more boards, may have.

    A set-up is one way to cut boards of one material, length and price.
    """
    programme = programme_of(order, every_way=True)
    model, used = programme.model, []
    model.add(programme.missing == 0)
    model.add(programme.cost == cost)
    model.add(programme.boards <= boards)
    for times in programme.times:
        is_used = model.new_bool_var("")
        model.add(times == 0).only_enforce_if(~is_used)
        used.append(is_used)
    return least(model, sum(used), seconds)


def least_missing(order: Order) -> Least:
    """How many pieces and small parts cannot be had at the least."""
    programme = programme_of(order)
    return least(programme.model, programme.missing)


def programme_of(order: Order, *, every_way: bool = False) -> Programme:
    """Build the programme.

    Where leftovers count, every way to cut is listed and pieces come out exactly as often as asked; elsewhere ways
    with no room for more are enough, for what is too much is left in the board.
    """
    model = cp_model.CpModel()
    wanted = [each for each in (*order.pieces, *order.small_parts) if each.count]
    groups = _alike(wanted)
    demand = [sum(each.count for each in group) for group in groups]
    had: list[list[cp_model.LinearExprT]] = [[] for _ in groups]
    costs: list[cp_model.LinearExprT] = []
    boards: list[cp_model.LinearExprT] = []
    all_times: list[cp_model.IntVar] = []
    exact = every_way or order.no_slivers or (order.keep is not None and order.credit > 0)
    rules = Rules(order.kerf, order.no_slivers, every_way=exact)
    for (material, wood, _), stocks in _woods(order, by_price=every_way).items():
        kinds = [_kind(group, number, material) for group, number in zip(groups, demand, strict=True)]
        cut = []
        for way in ways(wood, kinds, rules):
            times = model.new_int_var(0, max(demand), "")
            cut.append(times)
            for row, number in enumerate(way.gives):
                had[row].append(number * times)
            costs.append(-_worth(order, wood, way.left) * times)
        used = [_used(model, stock, sum(demand)) for stock in stocks]
        all_times += cut
        model.add(sum(cut) == sum(used))
        boards += used
        costs += [
            (stock.price or _worth(order, wood, wood.usable)) * number
            for stock, number in zip(stocks, used, strict=True)
        ]
    short = [model.new_int_var(0, number, "") for number in demand]
    for group, number, terms, lack in zip(groups, demand, had, short, strict=True):
        if exact and isinstance(group[0], Piece):
            model.add(sum(terms) + lack == number)
        else:
            model.add(sum(terms) + lack >= number)
    return Programme(model, sum(costs), sum(boards), sum(short), all_times)


def _alike(wanted: Sequence[Piece | SmallPart]) -> list[list[Piece | SmallPart]]:
    """Pieces of one length and the same materials together; every small part by itself."""
    groups: dict[object, list[Piece | SmallPart]] = {}
    for each in wanted:
        name = (each.length, each.materials) if isinstance(each, Piece) else each.key
        groups.setdefault(name, []).append(each)
    return list(groups.values())


def _kind(group: Sequence[Piece | SmallPart], number: int, material: str) -> Kind | None:
    first = group[0]
    if isinstance(first, Piece):
        return Kind(first.length, number) if material in first.materials else None
    strips = first.strips.get(material, 0)
    return Kind(first.length, number, strips, first.least_blank) if strips > 0 else None


def _woods(order: Order, *, by_price: bool) -> dict[tuple[str, Wood, int], list[Stock]]:
    """Stocks by what may be cut out of their boards, those of unlike prices apart if asked."""
    found: dict[tuple[str, Wood, int], list[Stock]] = {}
    for stock in order.stocks:
        carry = stock.carry if stock.carry is not None and stock.length > stock.carry else None
        if stock.length > stock.trim:
            wood = Wood(stock.length - stock.trim, carry)
            found.setdefault((stock.material, wood, stock.price if by_price else 0), []).append(stock)
    return found


def _used(model: cp_model.CpModel, stock: Stock, most: int) -> cp_model.IntVar:
    there = most if stock.available is None else min(most, stock.available)
    return model.new_int_var(0, there, "")


def _worth(order: Order, wood: Wood, left: int) -> int:
    """What a leftover is worth, cut at the yard into the longest that may be carried and the rest [minor units]."""
    if order.keep is None or order.credit == 0:
        return 0
    parts, carry = [], wood.carry or left
    while left > carry:
        parts.append(carry)
        left -= carry + order.kerf
    kept = [part for part in (*parts, max(0, left)) if part >= order.keep]
    return sum(part * order.credit.numerator // order.credit.denominator for part in kept)
