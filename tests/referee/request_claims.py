"""What an answer over HTTP claims, held against the referee."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import Any

from tests.referee import answers
from tests.referee.needs import DECIMALS, Needs, read
from tests.referee.order_claims import Verdict
from tests.referee.purchases import credit_rate, least_exact, least_total, worth_of
from tests.referee.ways import TooManyWaysError
from tests.referee.written import length, money

Json = dict[str, Any]


@cache
def client() -> Any:
    """The service, asked without a socket."""
    from sawbill.web.app import create_app
    from sawbill.web.running.settings import Settings

    return create_app(Settings()).test_client()


@cache
def sample_book() -> Json:
    """The metric sample book."""
    found: Json = client().get("/v1/price-books/sample-metric.json").get_json()
    return found


def ask(address: str, request: Json) -> tuple[int, Json]:
    """Post a request; the status and the JSON of the answer."""
    answer = client().post(address, json=request)
    return answer.status_code, answer.get_json(force=True)


def judge(address: str, request: Json) -> Verdict:
    """Ask for a quote or a plan, and hold what comes against the referee."""
    status, answer = ask(address, request)
    designs = any("design" in line for line in request.get("lines", ()))
    try:
        if status == 200:
            return _answered(address, request, read(request, answer if designs else None), answer)
        if answer["type"] == "/problems/cannot-be-bought":
            return _refused(read(request, _with_plenty(address, request) if designs else None), answer)
    except TooManyWaysError:
        return Verdict((), proven=status == 200 and answer["proof"]["status"] == "proven", judged=False)
    return Verdict((f"crash: {status} {answer.get('errors') or answer}",), proven=False)


def _refused(needs: Needs, answer: Json) -> Verdict:
    least = least_total(needs)
    told = () if least.high is None else (f"refusal: {answer['detail']}, though {least.high} buys all",)
    return Verdict(told, proven=True, judged=least.known or least.high is not None)


def _with_plenty(address: str, request: Json) -> Json:
    """The answer if long boards of all sections were for sale as well: its cut list is what the designs take."""
    changed = copy.deepcopy(request)
    book = changed["price_book"]
    book["suppliers"].append({"name": "Plenty"})
    book["shop"].pop("longest_board", None)
    for i, section in enumerate(sorted({*book["usual_sections"].values()})):
        row = {"supplier": "Plenty", "item_code": f"P{i}", "section": section, "species": "spruce", "grade": "C24"}
        book["lumber"].append({**row, "length": "12 m", "price": "100", "per": "each"})
    return ask(address, changed)[1]


def _answered(address: str, request: Json, needs: Needs, answer: Json) -> Verdict:
    decimals = DECIMALS[request["price_book"]["currency"]]
    told, till = answers.faults_of(request, needs, answer)
    proven = answer["proof"]["status"] == "proven"
    exact, parts = least_exact(needs)
    if exact.impossible:
        return Verdict((*told, "impossible: it is answered, the referee has no way"), proven)
    if exact.high is None:
        return Verdict(tuple(told), proven, judged=False)
    credited = _credited(needs, answer)
    if money(answer["proof"]["credited"], decimals) != credited:
        told.append(f"credited: {answer['proof']['credited']} is told, the offcuts are worth {credited}")
    net = till.exact(needs) - credited * (1 + _tax_on_boards(needs))
    gap = money(answer["proof"]["gap"], decimals)
    told += _costs(needs, net, gap, (Fraction(exact.low, parts), Fraction(exact.high, parts)), proven, sound=not told)
    if not told and not needs.shop.offcut_value:
        told += _cent(needs, till.total, proven)
        told += _near_misses(address, request, needs, answer)
    return Verdict(tuple(told), proven, exact.known)


def _costs(
    needs: Needs, net: Fraction, gap: int, least: tuple[Fraction, Fraction], proven: bool, *, sound: bool
) -> Iterator[str]:
    """What is spent, net of credit, against the least there is, which lies between two values [minor units].

    sound: whether it can be sawn and paid as it says; what cannot may well cost less than the least.
    """
    low, high = least
    if net < low and sound:
        yield f"impossible: {float(net)} is spent, at least {float(low)} by the referee"
    if needs.shop.extra:
        if proven and net > high * (1 + needs.shop.extra):
            yield f"roof: {float(net)} is more than may be spent: {float(high)} and {needs.shop.extra} of it"
        return
    if proven and net > high:
        yield f"cost: {float(net)} is called the least, and {float(high)} is possible"
    if net - gap > high:
        yield f"bound: {float(net)} less {gap} is called a bound, and {float(high)} is possible"


def _credited(needs: Needs, answer: Json) -> int:
    """What the offcuts kept are worth [minor units]."""
    rate, longest = credit_rate(needs), needs.shop.longest
    return sum(
        row["count"] * worth_of(needs, length(row["leftover"]), longest if row["yard_cuts"] else None, rate)
        for row in answer["cutting_plan"]
    )


def _tax_on_boards(needs: Needs) -> Fraction:
    """The tax that what offcuts are worth is counted with, where one supplier decides it."""
    rates = {each.tax for each in needs.suppliers}
    return Fraction(0) if needs.included or len(rates) > 1 else rates.pop()


def _cent(needs: Needs, total: int, proven: bool) -> Iterator[str]:
    """The printed total is the least one could print, too: tax is rounded once a rate."""
    least = least_total(needs)
    if proven and least.high is not None and total > least.high and not needs.shop.extra:
        yield f"cent: {total} is printed, and {least.high} could be"


def _near_misses(address: str, request: Json, needs: Needs, answer: Json) -> Iterator[str]:
    """A part cut shorter saves what its near miss says, or more, and so does asking for it at that length.

    Not judged where more than the least may be spent: then what is spent beyond it comes and goes, too.
    """
    decimals = DECIMALS[request["price_book"]["currency"]]
    for miss in answer["near_misses"] if not needs.shop.extra else ():
        shorter, saves = length(miss["shorter"]), money(miss["saves"], decimals)
        cuts = tuple(replace(cut, length=shorter) if cut.part == miss["part"] else cut for cut in needs.cuts)
        asked, other = least_total(needs), least_total(replace(needs, cuts=cuts))
        if other.impossible:
            yield f"near miss: {miss} cannot be bought"
        elif asked.high is not None and other.known and other.high is not None and saves > asked.high - other.high:
            yield f"near miss: {miss['part']} at {shorter} nm saves {asked.high - other.high}, not {saves}"
        elif (again := _asked_shorter(address, request, needs, miss)) is not None:
            less = money(answer["totals"]["total"], decimals) - money(again["totals"]["total"], decimals)
            if less < saves:
                yield f"near miss: {miss['part']} at {shorter} nm, asked for, costs {less} less, not {saves}"


def _asked_shorter(address: str, request: Json, needs: Needs, miss: Json) -> Json | None:
    """The answer when a part is asked for at the length of a near miss; None for a part of a design."""
    changed = copy.deepcopy(request)
    lines = changed.get("lines", [{"parts": changed.get("pieces", ())}])
    parts = [part for line in lines for part in line.get("parts", ())]
    place = next(i for i, cut in enumerate(needs.cuts) if cut.part == miss["part"])
    if any("design" in line for line in lines):
        return None
    del parts[place]["shortest"]
    parts[place]["length"] = f"{Fraction(length(miss['shorter']), 10**6)} mm"
    return ask(address, changed)[1]
