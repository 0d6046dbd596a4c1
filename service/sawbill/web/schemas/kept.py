"""What is told of a stored quote beside the quote itself, lists of them, and what became of one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, Final

from sawbill.answer.quote import Quote
from sawbill.prices.drift import WHY, Drift, Line, LineDrift
from sawbill.prices.money import currency_decimals, money_text
from sawbill.store import QuoteSummary
from sawbill.trade.kinds import Text
from sawbill.trade.members import Group, Member, members
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.declared import schema_of
from sawbill.web.schemas.described import schema_of as answer_schema
from sawbill.web.schemas.fields import Sent

Json = dict[str, Any]


class KeptBookSchema(Sent):
    """The price book that a stored quote was made from."""

    name = sent.text("The name it was asked for by; inline when it came with the request.", "sample-inch")
    revision = sent.text("Its revision then, which is kept as long as the quote.", "781ea1b956718b153a0c1f7e42d9b86c")


class KeptLinksSchema(Sent):
    """Where to go on from a stored quote."""

    quote = sent.text("The quote itself.", "/v1/quotes/1f0c9a5be2d47a8036cd")
    about = sent.text("What is told of it here.", "/v1/quotes/1f0c9a5be2d47a8036cd/about")
    requote = sent.text("Where to have it priced by today's book.", "/v1/quotes/1f0c9a5be2d47a8036cd/requote")


class AboutSchema(Sent):
    """What is told of a stored quote."""

    id = sent.text("What names it.", "1f0c9a5be2d47a8036cd")
    label = sent.text("What its owner calls it; empty without a label.", "guest room, 2nd try")
    owner = sent.text("Whose it is.", "anna")
    stored = sent.text("When it was stored (RFC 3339, UTC).", "2026-11-25T15:04:05.678901Z")
    engine = sent.text("The version of the engine that made it.", "0.6.0")
    price_book = sent.group(KeptBookSchema, "What it was made from.")
    designs = sent.rows(sent.text("A design.", "slatted-bed"), "The designs of its lines, each once, by name.")
    currency = sent.text("The currency of its amounts (ISO 4217).", "USD")
    total = sent.money("Its total.", "207.31")
    links = sent.group(KeptLinksSchema, "Where to go on from it.")


class KeptListSchema(Sent):
    """Stored quotes, the newest first."""

    quotes = sent.rows(AboutSchema, "What is told of each.")
    next = sent.text(
        "The address of the next page, as the header Link has it; null on the last.",
        "/v1/quotes?limit=20&after=117", none=True,
    )  # fmt: skip


ABOUT_ASKED: Final = Group("AboutAsked", "What may be changed about a stored quote.", members(
    Member("label", Text(), "What it is called; empty for no label.", "guest room, 2nd try", required=True),
))  # fmt: skip
AboutAskedSchema: Final = schema_of(ABOUT_ASKED)


class BoughtSchema(Sent):
    """What is bought of an item."""

    quantity = sent.whole("How many.", 14)
    each = sent.money("The price of one.", "4.28")
    amount = sent.money("The price of all.", "59.92")


class LineDriftSchema(Sent):
    """What became of an item of the shopping list; change = by_price + by_quantity, exactly."""

    kind = sent.text("What it is.", "lumber", choices=["lumber", "hardware", "supply"])
    supplier = sent.text("Who sells it.", "Yard A")
    item_code = sent.text("The supplier's code for it.", "A-204-08")
    name = sent.text("What it is, in words.", "2x4 x 96 in, SPF No.2")
    before = sent.group(BoughtSchema, "What the stored quote buys of it; null for nothing.", none=True)
    after = sent.group(BoughtSchema, "What is bought of it now; null for nothing.", none=True)
    change = sent.money("What more it costs now; below zero for less.", "7.36")
    by_price = sent.money("What the price of one did: its change times the quantity now.", "3.08")
    by_quantity = sent.money(
        "What the quantity did: its change times the price before; all, where one is null.", "4.28"
    )
    why = sent.rows(
        sent.text("A reason.", "price-rose", choices=list(WHY)), "Why it changed; nothing where it did not."
    )


class AmountDriftSchema(Sent):
    """What became of an amount."""

    name = sent.text("Which amount: a total by its key, or a supplier to go to.", "lumber")
    before = sent.money("In the stored quote.", "148.20")
    after = sent.money("Now.", "155.56")
    change = sent.money("What more it is now; below zero for less.", "7.36")


class ReasonSchema(Sent):
    """Why a quote changed."""

    code = sent.text("The reason.", "price-rose", choices=list(WHY))
    message = sent.text("The reason in words.", WHY["price-rose"])


class DriftSchema(Sent):
    """What became of a quote, and why. In another currency nothing can be compared, and every list but why is empty."""

    why = sent.rows(ReasonSchema, "Why it changed, the reasons that concern the whole of it first.")
    totals = sent.rows(AmountDriftSchema, "The totals that both quotes have.")
    trips = sent.rows(AmountDriftSchema, "Trips and deliveries, by supplier.")
    lines = sent.rows(LineDriftSchema, "Every item that either buys: as the newer quote has them, then the rest.")


class RequoteSchema(Sent):
    """A stored quote's request, priced by today's book."""

    before = sent.group(AboutSchema, "The stored quote; it stays as it is.")
    drift = sent.group(DriftSchema, "What became of it.")
    kept = sent.text("Where the new quote is kept; null where it is not.", "/v1/quotes/88b1c05d77e3f12a94d0", none=True)
    quote = sent.group(answer_schema(Quote), "The new quote.")


def about_json(summary: QuoteSummary) -> Json:
    """Tell of a stored quote."""
    address = f"/v1/quotes/{summary.id}"
    return {
        "id": summary.id,
        "label": summary.label,
        "owner": summary.owner,
        "stored": summary.stored.isoformat(timespec="microseconds").replace("+00:00", "Z"),
        "engine": summary.engine,
        "price_book": {"name": summary.book, "revision": summary.revision},
        "designs": list(summary.designs),
        "currency": summary.currency,
        "total": summary.total,
        "links": {"quote": address, "about": f"{address}/about", "requote": f"{address}/requote"},
    }


def drift_json(drift: Drift, currency: str) -> Json:
    """Give what became of a quote as the JSON object of an answer."""
    decimals = currency_decimals(currency)

    def money(amount: Decimal) -> str:
        return money_text(amount, decimals)

    def amount(name: str, before: Decimal, after: Decimal) -> Json:
        return {"name": name, "before": money(before), "after": money(after), "change": money(after - before)}

    def bought(line: Line | None) -> Json | None:
        if line is None:
            return None
        return {"quantity": line.quantity, "each": money(line.each), "amount": money(line.amount)}

    def line(each: LineDrift) -> Json:
        return {
            "kind": each.kind,
            "supplier": each.row["supplier"],
            "item_code": each.row["item_code"],
            "name": _NAMES[each.kind](each.row),
            "before": bought(each.before),
            "after": bought(each.after),
            "change": money(each.change),
            "by_price": money(each.by_price),
            "by_quantity": money(each.by_quantity),
            "why": list(each.why),
        }

    return {
        "why": [{"code": code, "message": WHY[code]} for code in drift.why],
        "totals": [amount(*each) for each in drift.totals],
        "trips": [amount(*each) for each in drift.trips],
        "lines": [line(each) for each in drift.lines],
    }


def _hardware_name(row: Any) -> str:
    size = " x ".join(filter(None, (row["size"], row["length"] and row["length"]["text"])))
    return f"{row['item']} {size}".strip() + f", pack of {row['pack']}"


_NAMES: Final[Mapping[str, Callable[[Any], str]]] = {
    "lumber": lambda row: f"{row['section']} x {row['length']['text']}, {row['species']} {row['grade']}",
    "hardware": _hardware_name,
    "supply": lambda row: f"{row['item']}, {row['container']}",
}
"""How each kind of row is called in words."""
