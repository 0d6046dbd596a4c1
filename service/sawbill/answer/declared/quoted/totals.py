"""What a quote comes to: its price book, totals and their proof, what each line bears, what it may be sold for."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import NamedTuple

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered
from sawbill.answer.declared.quoted.making import Minutes as MinutesOf
from sawbill.answer.declared.writing import QuoteWriting
from sawbill.asked.lines import Line
from sawbill.asked.pricing import Pricing
from sawbill.cutting import Status
from sawbill.making.rates import Minutes
from sawbill.quoting import selling
from sawbill.quoting.quote import Quote
from sawbill.quoting.selling import Span, labour_of, selling_prices


class QuotedBook(Answered):
    """The price book that a quote was made from."""

    name = f.text("Its name; inline when it came with the request.", "sample-inch")
    revision = f.text("What names its content: any change gives another.", "781ea1b956718b153a0c1f7e42d9b86c")
    currency = f.text("The currency of every amount (ISO 4217).", "USD")
    prices_include_tax = f.flag("Whether its prices, and so the groups of the totals, hold the tax.", example=False)
    as_of = f.text("The day of its prices (ISO 8601).", "2026-11-01", lambda book, _: book.as_of.isoformat())
    sample = f.flag("Whether its prices are invented, to be replaced.", example=True)


class Totals(Answered):
    """What is spent. Where the book's prices hold the tax, so do the groups; tax is the part of them that is tax."""

    lumber = f.money("Boards.", "148.20")
    hardware = f.money("Fasteners and fittings, in whole packs.", "31.96")
    supplies = f.money("Glue and the like, in whole containers.", "14.50")
    trips = f.money("Trips to suppliers, and deliveries.", "9.00")
    tax = f.money("Tax, worked out once for each rate.", "12.65")
    total = f.money("All that is spent.", "207.31")
    used = f.money(
        "What of it goes into the furniture: leftovers taken off, tax left out where prices leave it out.", "160.02"
    )
    contingency = f.money(
        "What to set aside beside the total: the request's share of the total less its trips, rounded half up.", "19.83"
    )
    budget = f.money("The total and what to set aside.", "227.14")


class PlanTotals(Answered):
    """What is spent on boards. Where the book's prices hold the tax, so does the lumber; tax says how much."""

    lumber = Totals.lumber
    trips = Totals.trips
    tax = Totals.tax
    total = Totals.total
    used = Totals.used


class LabourCost(NamedTuple):
    """What the time at work costs, by what an hour costs [money]."""

    rate: Decimal
    span: Span


def paid(quote: Quote, out: QuoteWriting) -> Minutes:
    """The time at work that the labour is of [min]."""
    return out.work.paid(quote.request.pricing.labour_for)


def labour(quote: Quote, out: QuoteWriting) -> LabourCost | None:
    """What the time at work costs; None without a rate."""
    rate, cost = quote.request.pricing.labour_rate, labour_of(quote.request.pricing, paid(quote, out), out.decimals)
    return None if rate is None or cost is None else LabourCost(rate, cost)


def prices(quote: Quote, out: QuoteWriting) -> tuple[selling.SellingPrice, ...]:
    """Selling prices, one for each method that was asked for."""
    return selling_prices(quote.request.pricing, quote.totals.budget, paid(quote, out), out.decimals)


class Priced(NamedTuple):
    """What is asked on top of a purchase, and the time at work that is paid [min]."""

    by: Pricing
    minutes: Minutes


def priced(quote: Quote, out: QuoteWriting) -> Priced | None:
    """What prices are reckoned by; None where nothing is asked on top of the purchase."""
    by = quote.request.pricing
    asked = (by.contingency, by.labour_rate, by.factor, by.markup, by.margin)
    return None if all(each is None for each in asked) else Priced(by, paid(quote, out))


def _by(name: str) -> Callable[[Priced, QuoteWriting], float | None]:
    def read(priced: Priced, _: QuoteWriting) -> float | None:
        found = getattr(priced.by, name)
        return None if found is None else float(found)

    return read


class PricedBy(Answered):
    """What prices are reckoned by, as the request asks."""

    contingency = f.number(
        "What is set aside, of the materials [share of 1]; null: nothing.", 0.1, _by("contingency"), none=True
    )
    factor = f.number("What materials are multiplied by [times]; null: not asked.", 2.5, _by("factor"), none=True)
    markup = f.number(
        "What is added to the cost, as a share of it [share of 1]; null: not asked.", 0.3, _by("markup"), none=True
    )
    margin = f.number(
        "The share of the price that is above all cost [share of 1]; null: not asked.", 0.25, _by("margin"), none=True
    )
    minutes = f.group(MinutesOf, "The time at work that labour is paid for.")


class Labour(Answered):
    """What the time at work costs; each amount rounded half up once."""

    rate = f.money("What an hour costs.", "25.00")
    least = f.money("At the least time at work.", "310.00", "span.least")
    amount = f.money("Midway between the least and the most time.", "402.50", "span.usual")
    most = f.money("What the most time costs.", "495.00", "span.most")


class SellingPrice(Answered):
    """What all of it may be sold for, by one of the usual ways (common practice); each amount rounded half up once."""

    method = f.text(
        "The way, by its name.", "materials-and-labour",
        choices=["materials-times-factor", "materials-and-labour", "cost-plus-markup", "cost-and-margin"],
    )  # fmt: skip
    rule = f.text("How it is reckoned; materials are the budget.", "materials + hours x 25.00")
    least = f.money("The price with the least time at work.", "537.14", "amount.least")
    amount = f.money("With the time midway between; sales tax is not in it.", "629.64", "amount.usual")
    most = f.money("The price with the most time at work.", "722.14", "amount.most")


class Proof(Answered):
    """How far it is proven that nothing cheaper does: other plans, other quantity prices, other suppliers."""

    status = f.text(
        "proven: the gap is 0.00; within_tolerance: the search ended with a gap; time_limit: a clock ended it.",
        "proven", "status.value", choices=[status.value for status in Status],
    )  # fmt: skip
    bound = f.money(
        "No purchase has boards for less than this, what it leaves over credited; under no_slivers, none without "
        "slivers.", "148.20",
    )  # fmt: skip
    gap = f.money(
        "What another purchase could save at most: the lumber, less what is credited, less the bound. What was paid "
        "for fewer set-ups (extra_for_fewer_setups) is part of it.", "0.00",
    )  # fmt: skip
    credited = f.money(
        "What the offcuts that are kept are worth, where the shop gives them a value (offcut_value): the purchase is "
        "the cheapest with this taken off, and one that pays less may leave less. It is no part of the total.", "0.00",
    )  # fmt: skip
    setups_at_least = f.whole(
        "No plan as cheap, of no more boards of the same prices, has fewer set-ups than this; with "
        "extra_for_fewer_setups, no plan that may be paid for. Where the plan has as many, they are proven the "
        "fewest. A set-up is one way to cut boards of one length and price: those of another price, or on hand, have "
        "set-ups of their own.", 4, "few",
    )  # fmt: skip
    stage = f.text("The step of the planner that ended the search.", "reduced costs")


class Trip(Answered):
    """How the goods of one supplier come home."""

    supplier = f.text("The supplier.", "Yard A")
    by = f.text(
        "Fetched or brought, whichever costs less: a supplier with a minimum_order brings what reaches it.", "trip",
        lambda visit, _: "delivery" if visit.delivered else "trip", choices=["trip", "delivery"],
    )  # fmt: skip
    amount = f.money("What it costs.", "6.00")
    goods = f.money("What is bought there, at the prices of the book.", "84.30")
    minimum = f.money("What the goods must come to for this delivery; 0.00 where there is no such rule.", "0.00")
    beyond_need = f.money("What of the goods is more than is needed, bought to reach the minimum.", "0.00", "beyond")
    tax_rate = f.number(
        "The tax on the goods [share of 1]; where prices hold the tax, what it comes to is in them.", 0.0825,
        lambda visit, out: float(out.quote.book.tax_rate_at(visit.supplier)),
    )  # fmt: skip


class NearMiss(Answered):
    """A part that, cut a little shorter, saves money: as short as its design, or its own `shortest`, allows."""

    part = f.text("The part of the cut list.", "I")
    length = f.length("Its length in this quote.", 1524, "60 in")
    shorter = f.length("The length that saves.", 1519.2375, "59 13/16 in")
    saves = f.money("What it saves of the total for certain, whatever is not proven.", "4.10")


class NumberedLine(NamedTuple):
    """A line of the request, by its number."""

    number: int
    line: Line


class QuotedLine(Answered):
    """A line of the request."""

    line = f.whole("Its place in the request, from 0.", 0, "number")
    label = f.text("What it is called.", "guest room", "line.label")
    design = f.text("Its design; null for own parts and hardware.", "slatted-bed", "line.design", none=True)
    quantity = f.whole("How many of it are made.", 2, "line.quantity")


class Share(Answered):
    """What a line bears of the purchase; the shares of all lines add up to the totals.

    A board's price is shared by the lengths that the parts on it take up, a saw's width with each, so its leftover is
    too; boards that nothing is cut from are shared as the others of their kind; packs by the pieces used; supplies by
    what each line would need by itself; trips and tax as all these together. What rounding down leaves of each goes,
    one smallest coin at a time, to the lines it took most from.
    """

    line = f.whole("The line of the request, from 0.", 0)
    label = f.text("What the line is called.", "guest room", lambda share, out: out.label(share.line))
    quantity = f.whole("How many of it are made.", 2, lambda share, out: out.quote.request.lines[share.line].quantity)
    lumber = f.money("Its share of the boards.", "148.20")
    hardware = f.money("Its share of the hardware.", "31.96")
    supplies = f.money("Its share of the supplies.", "14.50")
    trips = f.money("Its share of trips and deliveries.", "9.00")
    tax = f.money("Its share of the tax.", "12.65")
    total = f.money("Its share of all that is spent.", "216.31")
    each = f.money("What one of its quantity bears, rounded down.", "108.15")
    remainder = f.money("What is left of its share when each bears that.", "0.01")
