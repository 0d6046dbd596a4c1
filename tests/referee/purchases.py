"""The referee's answer to a whole purchase: one integer programme over boards, packs, suppliers, trips and taxes."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm

from ortools.sat.python import cp_model
from tests.referee.needs import Board, Cut, Needs, Supplier, least_blank, strips
from tests.referee.optimum import Least, least
from tests.referee.ways import Kind, Rules, Wood, ways
from tests.referee.written import section_size

ItemName = tuple[str, str]


@dataclass
class Purchase:
    """The programme of a purchase; goods: what is spent at each supplier, before the way there [minor units].

    visits: what trips and deliveries cost; credited: what offcuts that are kept are worth.
    """

    needs: Needs
    model: cp_model.CpModel
    goods: defaultdict[str, list[cp_model.LinearExprT]] = field(default_factory=lambda: defaultdict(list))
    visits: list[cp_model.LinearExprT] = field(default_factory=list)
    credited: list[cp_model.LinearExprT] = field(default_factory=list)


def least_total(needs: Needs) -> Least:
    """The least that is spent in all, each rate's tax rounded as it is printed [minor units]."""
    purchase = programme_of(needs)
    spent = [amount for amounts in purchase.goods.values() for amount in amounts] + purchase.visits
    return least(purchase.model, sum([*spent, *_printed_taxes(purchase)]))


def least_exact(needs: Needs) -> tuple[Least, int]:
    """The least that is spent net of credit, tax not rounded, in fractions of a minor unit; and how many make one."""
    purchase = programme_of(needs)
    factors = {each.name: Fraction(1) if needs.included else 1 + each.tax for each in needs.suppliers}
    parts = lcm(*(factor.denominator for factor in factors.values()))
    whole = {name: int(factor * parts) for name, factor in factors.items()}
    spent = [whole[name] * amount for name, amounts in purchase.goods.items() for amount in amounts]
    spent += [parts * amount for amount in purchase.visits]
    if purchase.credited:
        assert len(set(whole.values())) == 1, "what an offcut is worth is told by one rate of tax only"
        spent += [-next(iter(whole.values())) * amount for amount in purchase.credited]
    return least(purchase.model, sum(spent)), parts


def programme_of(needs: Needs) -> Purchase:
    """Build the programme."""
    purchase = Purchase(needs, cp_model.CpModel())
    bought = {name: _bought(purchase, name) for name in _wanted(needs)}
    _cut_boards(purchase, bought)
    for name, quantity in needs.other.items():
        packs = [needs.items[item].holds * bought[item] for item in needs.sold.get(name, ())]
        purchase.model.add(sum(packs) >= quantity)
    for supplier in needs.suppliers:
        _go_there(purchase, supplier)
    return purchase


# ---- what is bought, at which price


def _wanted(needs: Needs) -> list[ItemName]:
    """What may be bought: boards that some part can be cut from, and packs of what is needed, not just anything."""
    boards = [board.item for board in needs.boards if any(_kind(cut, board, needs) for cut in needs.cuts)]
    packs = [item for name in needs.other for item in needs.sold.get(name, ())]
    return list(dict.fromkeys([*filter(None, boards), *packs]))


def _bought(purchase: Purchase, name: ItemName) -> cp_model.LinearExprT:
    """How many of an item are bought, all at the lowest of its prices that holds for so many."""
    model, item = purchase.model, purchase.needs.items[name]
    quantities, taken = [], []
    for price in item.prices:
        most = _most(purchase.needs, name, price.least, price.each)
        lower = [other.least for other in item.prices if other.each < price.each]
        quantity, takes = model.new_int_var(0, most, ""), model.new_bool_var("")
        model.add(quantity >= price.least * takes)
        model.add(quantity <= min([most, *(least_of_lower - 1 for least_of_lower in lower)]) * takes)
        purchase.goods[item.supplier].append(price.each * quantity)
        quantities.append(quantity)
        taken.append(takes)
    model.add_at_most_one(taken)
    return sum(quantities)


def _most(needs: Needs, name: ItemName, least_quantity: int, each: int) -> int:
    """The most of an item that can be of use: for the need, for a price, or to reach the least order."""
    item = needs.items[name]
    need = (
        sum(cut.count for cut in needs.cuts) + needs.shop.spare + max(needs.other.values(), default=0) // item.holds + 1
    )
    minimum = max(supplier.minimum for supplier in needs.suppliers if supplier.name == item.supplier)
    most = max(need, least_quantity) + -(-minimum // each)
    return most if item.stock is None else min(most, item.stock)


# ---- the boards, and every way to cut them


def _cut_boards(purchase: Purchase, bought: dict[ItemName, cp_model.LinearExprT]) -> None:
    needs, model = purchase.needs, purchase.model
    rate = credit_rate(needs)
    exact = needs.shop.no_slivers or rate > 0
    rules = Rules(needs.shop.kerf, needs.shop.no_slivers, every_way=exact)
    had: list[list[cp_model.LinearExprT]] = [[] for _ in needs.cuts]
    spare = _spare(purchase)
    for (wood, kinds), boards in _woods(needs).items():
        times = []
        for way in ways(wood, kinds, rules):
            cut = model.new_int_var(0, max(each.count for each in needs.cuts), "")
            times.append(cut)
            for row, number in enumerate(way.gives):
                had[row].append(number * cut)
            if worth := worth_of(needs, way.left, wood.carry, rate):
                purchase.credited.append(worth * cut)
        used = []
        for board in boards:
            number = model.new_int_var(0, sum(each.count for each in needs.cuts), "")
            model.add(number + sum(spare[board.item]) <= (bought[board.item] if board.item else board.available or 0))
            used.append(number)
        model.add(sum(times) == sum(used))
    for cut_line, terms in zip(needs.cuts, had, strict=True):
        if exact and cut_line.ripped is None:
            model.add(sum(terms) == cut_line.count)
        else:
            model.add(sum(terms) >= cut_line.count)


def _spare(purchase: Purchase) -> defaultdict[ItemName | None, list[cp_model.LinearExprT]]:
    """Boards to buy beyond the plan, of each section all alike: any that its longest piece can be cut from."""
    needs, model = purchase.needs, purchase.model
    found: defaultdict[ItemName | None, list[cp_model.LinearExprT]] = defaultdict(list)
    pieces = sorted((cut for cut in needs.cuts if cut.ripped is None), key=lambda cut: cut.length)
    for cut in {cut.section: cut for cut in pieces}.values() if needs.shop.spare else ():
        fitting = [
            board for board in needs.boards
            if board.item and _kind(cut, board, needs) and board.length - board.trim >= cut.length
            and (needs.shop.longest is None or board.length <= needs.shop.longest)
        ]  # fmt: skip
        taken = {board.item: model.new_bool_var("") for board in fitting}
        for item, takes in taken.items():
            found[item].append(needs.shop.spare * takes)
        if taken:
            model.add_exactly_one(taken.values())
    return found


def _woods(needs: Needs) -> dict[tuple[Wood, tuple[Kind | None, ...]], list[Board]]:
    """Boards by what may be cut out of them, and how."""
    found: defaultdict[tuple[Wood, tuple[Kind | None, ...]], list[Board]] = defaultdict(list)
    for board in needs.boards:
        longest = needs.shop.longest
        carry = longest if board.item and longest is not None and board.length > longest else None
        kinds = tuple(_kind(cut, board, needs) for cut in needs.cuts)
        if board.length > board.trim and any(kinds):
            found[Wood(board.length - board.trim, carry), kinds].append(board)
    return found


def _kind(cut: Cut, board: Board, needs: Needs) -> Kind | None:
    """A part as it comes out of a board, if its section, species and grade will do; what is not known will."""
    wanted = ((cut.species, board.species), (cut.grades, board.grade))
    if any(named and word is not None and word not in named for named, word in wanted):
        return None
    if cut.ripped is None:
        return Kind(cut.length, cut.count) if board.section == cut.section else None
    if section_size(board.section)[0] != section_size(cut.section)[0]:
        return None
    number = strips(board.section, cut.ripped, needs.shop.kerf)
    return Kind(cut.length, cut.count, number, least_blank(needs.shop.step)) if number else None


def credit_rate(needs: Needs) -> Fraction:
    """What a kept offcut is worth [minor units per nm]; nothing where wood on hand of a needed thickness may be cut."""
    thicknesses = {section_size(cut.section)[0] for cut in needs.cuts}
    own = [
        board for board in needs.boards
        if section_size(board.section)[0] in thicknesses
        and (board.item is None or any(_kind(cut, board, needs) for cut in needs.cuts))
    ]  # fmt: skip
    rates = [Fraction(min(p.each for p in needs.items[b.item].prices), b.length) for b in own if b.item]
    if not needs.shop.offcut_value or not rates or len(rates) < len(own):
        return Fraction(0)
    return needs.shop.offcut_value * min(rates)


def worth_of(needs: Needs, left: int, carry: int | None, rate: Fraction) -> int:
    """What a leftover is worth, carried in lengths that may be, each rounded down [minor units]."""
    total = 0
    while rate and left > 0:
        part = min(left, carry or left)
        total += int(part * rate) if part >= needs.shop.keep else 0
        left -= part + needs.shop.kerf
    return total


# ---- the way there, and the tax


def _go_there(purchase: Purchase, supplier: Supplier) -> None:
    """Whoever sells something is driven to, or delivers, where that is offered and the goods reach the least order."""
    model, goods = purchase.model, sum(purchase.goods[supplier.name])
    driven, delivered = model.new_bool_var(""), model.new_bool_var("")
    most = sum(
        price.each * _most(purchase.needs, name, price.least, price.each)
        for name, item in purchase.needs.items.items()
        if item.supplier == supplier.name
        for price in item.prices
    )
    model.add(goods <= most * (driven + delivered))
    model.add(goods >= supplier.minimum * delivered)
    if supplier.delivery is None:
        model.add(delivered == 0)
    purchase.visits += [supplier.trip * driven, (supplier.delivery or 0) * delivered]


def _printed_taxes(purchase: Purchase) -> list[cp_model.IntVar]:
    """The tax at each rate, worked out once on what is taxed at it and rounded half up."""
    needs, model = purchase.needs, purchase.model
    if needs.included:
        return []
    taxed: defaultdict[Fraction, list[cp_model.LinearExprT]] = defaultdict(list)
    for supplier in needs.suppliers:
        taxed[supplier.tax] += purchase.goods[supplier.name]
    taxes = []
    for rate, amounts in taxed.items():
        if rate and amounts:
            tax = model.new_int_var(0, 10**12, "")
            # The least whole number that is not below amount x rate - 1/2 by more than nothing: halves go up.
            model.add(2 * rate.denominator * tax >= 2 * rate.numerator * sum(amounts) - rate.denominator + 1)
            taxes.append(tax)
    return taxes
