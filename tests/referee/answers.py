"""An answer held against its request with a ruler and a till: whether it can be sawn, bought and paid as it says."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Any

from tests.referee.needs import DECIMALS, Cut, Needs, least_blank, strips
from tests.referee.written import length, money, rounded_half_up, section_size

Json = dict[str, Any]


@dataclass(frozen=True)
class Till:
    """What an answer comes to: goods at each supplier, visits, and the printed total [minor units]."""

    goods: dict[str, int]
    visits: int
    total: int

    def exact(self, needs: Needs) -> Fraction:
        """What is spent, its tax not rounded."""
        rates = {each.name: Fraction(0) if needs.included else each.tax for each in needs.suppliers}
        return sum(((1 + rates[name]) * amount for name, amount in self.goods.items()), Fraction(self.visits))


def faults_of(request: Json, needs: Needs, answer: Json) -> tuple[list[str], Till]:
    """Tell in words everything about an answer that cannot be, begun by the word for its kind; and what it comes to."""
    decimals = DECIMALS[request["price_book"]["currency"]]
    bought, goods, wrong_prices = _bought(needs, answer, decimals)
    visits, wrong_visits = _visits(needs, answer, goods, decimals)
    till = Till(goods, visits, money(answer["totals"]["total"], decimals))
    sawn = [fault for row in answer["cutting_plan"] for fault in _sawn(needs, row)]
    sawn += [*_counted(needs, answer), *_leftovers(needs, answer)]
    paid = [*wrong_prices, *_enough(needs, answer, bought), *_totals(needs, answer, till, decimals)]
    named = {"saw": sawn, "till": paid, "delivery": wrong_visits}
    return [f"{name}: {fault}" for name, faults in named.items() for fault in faults], till


# ---- at the saw


def _sawn(needs: Needs, row: Json) -> Iterator[str]:
    """One row of the cutting plan: boards cut alike."""
    kerf, trim, stock = needs.shop.kerf, length(row["trim"]), length(row["stock_length"])
    usable, cuts = stock - trim, sorted(row["cuts"], key=lambda cut: length(cut["at"]))
    spans = [(length(cut["at"]), length(cut["at"]) + length(cut["length"])) for cut in cuts]
    if row["count"] < 1 or not spans or spans[0][0] < 0 or spans[-1][1] > usable:
        yield f"{row['count']} boards of {usable} nm with pieces at {spans}"
        return
    if any(after < end + kerf for (_, end), (after, _) in pairwise(spans)):
        yield f"no kerf between pieces at {spans}"
    spare = usable - spans[-1][1]
    if needs.shop.no_slivers and 0 < spare < kerf:
        yield f"a sliver of {spare} nm"
    left, pieces = length(row["leftover"]), sum(end - begin for begin, end in spans)
    if left != max(0, spare - kerf) or length(row["kerf"]) != usable - left - pieces:
        yield f"leftover {left} nm and kerf {row['kerf']} of {usable} nm with pieces at {spans}"
    yield from _carried(needs, row, usable, trim, spans)
    yield from _pieces(needs, row)


def _carried(needs: Needs, row: Json, usable: int, trim: int, spans: list[tuple[int, int]]) -> Iterator[str]:
    longest, yard = needs.shop.longest, [length(each) for each in row["yard_cuts"]]
    if row["on_hand"] or longest is None or usable + trim <= longest:
        if yard:
            yield "it is cut at the yard without need"
        return
    position, lengths = 0 if row["yard_squares"] else -trim, []
    for each in yard:
        lengths.append((position, position + each))
        position += each + needs.shop.kerf
    whole = all(any(low <= begin and end <= high for low, high in lengths) for begin, end in spans)
    if not needs.shop.yard_cuts or not whole or max(yard, default=longest + 1) > longest or position < usable:
        yield f"it cannot be carried as {yard} nm with pieces at {spans}, {longest} nm at most"


def _pieces(needs: Needs, row: Json) -> Iterator[str]:
    cuts = {cut.part: cut for cut in needs.cuts}
    for each in row["cuts"]:
        cut = cuts[each["part"]]
        if not _will_do(cut, row):
            yield f"{cut} is cut from {row['section']} {row['species']} {row['grade']}"
        if each["blank"]:
            most = _parts_of(cut, row["section"], length(each["length"]), needs)
            if cut.ripped is None or not 1 <= each["parts"] <= most:
                yield f"{each} gives at most {most} of {cut}"
        elif (length(each["length"]), each["parts"], cut.ripped) != (cut.length, 1, None):
            yield f"{each} is not {cut}"


def _will_do(cut: Cut, row: Json) -> bool:
    same = row["section"] == cut.section
    if cut.ripped is not None:
        same = section_size(row["section"])[0] == section_size(cut.section)[0]
    known = ((cut.species, row["species"]), (cut.grades, row["grade"]))
    return same and all(not named or word is None or word in named for named, word in known)


def _parts_of(cut: Cut, section: str, blank: int, needs: Needs) -> int:
    """How many parts come out of a blank; none where it is too short to be ripped safely."""
    kerf = needs.shop.kerf
    if blank < least_blank(needs.shop.step):
        return 0
    return (blank + kerf) // (cut.length + kerf) * strips(section, cut.ripped or 0, kerf)


def _counted(needs: Needs, answer: Json) -> Iterator[str]:
    had: Counter[str] = Counter()
    for row in answer["cutting_plan"]:
        for cut in row["cuts"]:
            had[cut["part"]] += cut["parts"] * row["count"]
    for cut in needs.cuts:
        if had[cut.part] < cut.count or (cut.ripped is None and had[cut.part] > cut.count):
            yield f"{had[cut.part]} of {cut}"


def _leftovers(needs: Needs, answer: Json) -> Iterator[str]:
    """What is worth keeping is told: offcuts as they are carried, and whole spare boards."""
    kept: Counter[tuple[str, int]] = Counter()

    def keep(section: str, left: int, carry: int | None, count: int) -> None:
        while left > 0:
            part = min(left, carry or left)
            kept[section, part] += count if part >= needs.shop.keep else 0
            left -= part + needs.shop.kerf

    whole = {board.item: board.length for board in needs.boards if board.item}
    for row in answer["cutting_plan"]:
        keep(row["section"], length(row["leftover"]), needs.shop.longest if row["yard_cuts"] else None, row["count"])
    for row in answer["shopping_list"]:
        if row["kind"] == "lumber" and row["spare"]:
            keep(row["section"], whole[row["supplier"], row["item_code"]], needs.shop.longest, row["spare"])
    told: Counter[tuple[str, int]] = Counter()
    for row in answer["leftovers"]:
        told[row["section"], length(row["length"])] += row["quantity"]
    if +kept != told:
        yield f"leftovers {dict(told)}, not {dict(+kept)}"


# ---- at the till


def _bought(needs: Needs, answer: Json, decimals: int) -> tuple[Counter[tuple[str, str]], dict[str, int], list[str]]:
    """The items bought, what they come to at each supplier, and what is wrong with the shopping list."""
    bought: Counter[tuple[str, str]] = Counter()
    goods: defaultdict[str, int] = defaultdict(int)
    faults = []
    for row in answer["shopping_list"]:
        name, quantity = (row["supplier"], row["item_code"]), row["quantity"]
        each, amount = money(row["each"], decimals), money(row["amount"], decimals)
        item = needs.items[name]
        if amount != each * quantity or not any(p.each == each and quantity >= p.least for p in item.prices):
            faults.append(f"{quantity} of {name} at {each} come to {amount}, by {item.prices}")
        bought[name] += quantity
        goods[row["supplier"]] += amount
    for name, quantity in bought.items():
        stock = needs.items[name].stock
        if stock is not None and quantity > stock:
            faults.append(f"{quantity} of {name} are bought, {stock} are there")
    return bought, dict(goods), faults


def _enough(needs: Needs, answer: Json, bought: Counter[tuple[str, str]]) -> Iterator[str]:
    """Every board that is cut is bought or on hand, and packs hold what is needed."""
    cut: Counter[object] = Counter()
    codes = {board.item[1]: board for board in needs.boards if board.item}
    for row in answer["cutting_plan"]:
        board = codes.get(row["item_code"])
        if row["on_hand"]:
            cut[_kind_of(row)] += row["count"]
        elif board is None or (board.length, board.trim) != (length(row["stock_length"]), length(row["trim"])):
            yield f"a board {row['item_code']} of {row['stock_length']} is cut, it is {board}"
        else:
            cut[board.item] += row["count"]
    there: Counter[object] = Counter(bought)
    for board in needs.boards:
        if not board.item:
            there[(board.section, board.species, board.grade, board.length)] += board.available or 0
    yield from (f"{count} of {board} are cut, {there[board]} are there" for board, count in (cut - there).items())
    for name, quantity in needs.other.items():
        held = sum(needs.items[item].holds * bought[item] for item in needs.sold.get(name, ()))
        if held < quantity:
            yield f"{held} of {name}, {quantity} are needed"


def _kind_of(row: Json) -> tuple[str, str | None, str | None, int]:
    return row["section"], row["species"], row["grade"], length(row["stock_length"])


def _visits(needs: Needs, answer: Json, goods: dict[str, int], decimals: int) -> tuple[int, list[str]]:
    """Whoever sells something is driven to, or delivers what reaches the least order."""
    rows, faults, total = {row["supplier"]: row for row in answer["trips"]}, [], 0
    if {*rows} != {name for name, amount in goods.items() if amount}:
        faults.append(f"visits to {[*rows]}, goods from {[*goods]}")
    for supplier in needs.suppliers:
        if supplier.name not in rows:
            continue
        row = rows[supplier.name]
        amount = money(row["amount"], decimals)
        total += amount
        if amount != (supplier.delivery if row["by"] == "delivery" else supplier.trip):
            faults.append(f"{row} costs {amount}, by {supplier}")
        if "goods" in row and money(row["goods"], decimals) != goods.get(supplier.name, 0):
            faults.append(f"{row} tells other goods than {goods.get(supplier.name, 0)}")
        if row["by"] == "delivery" and goods.get(supplier.name, 0) < supplier.minimum:
            faults.append(f"{supplier} delivers goods of {goods.get(supplier.name, 0)}")
    return total, faults


def _totals(needs: Needs, answer: Json, till: Till, decimals: int) -> Iterator[str]:
    told = {name: money(text, decimals) for name, text in answer["totals"].items()}
    kinds: Counter[str] = Counter()
    for row in answer["shopping_list"]:
        kinds[row["kind"]] += money(row["amount"], decimals)
    for kind, name in (("lumber", "lumber"), ("hardware", "hardware"), ("supply", "supplies")):
        if name in told and told[name] != kinds[kind]:
            yield f"{name} {told[name]}, not {kinds[kind]}"
    taxed: defaultdict[Fraction, int] = defaultdict(int)
    for supplier in needs.suppliers:
        taxed[supplier.tax] += till.goods.get(supplier.name, 0)
    within = (lambda rate: rate / (1 + rate)) if needs.included else (lambda rate: rate)
    tax = sum(rounded_half_up(amount * within(rate)) for rate, amount in taxed.items())
    total = sum(till.goods.values()) + till.visits + (0 if needs.included else tax)
    if (told["trips"], told["tax"], told["total"]) != (till.visits, tax, total):
        yield f"trips, tax and total {told['trips']}, {told['tax']}, {told['total']}: not {till.visits}, {tax}, {total}"
