"""What is told of a kept quote: lists of them, and what became of one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Final, NamedTuple

from sawbill import store
from sawbill.answer import drift
from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered, Json
from sawbill.answer.drift import WHY
from sawbill.answer.quote import Quote
from sawbill.store import QuoteSummary


class KeptBook(Answered):
    """The price book that a stored quote was made from."""

    name = f.text("The name it was asked for by; inline when it came with the request.", "sample-inch", "book")
    revision = f.text("Its revision then, which is kept as long as the quote.", "781ea1b956718b153a0c1f7e42d9b86c")


def _address(end: str = "") -> f.Read:
    return lambda summary, _: f"/v1/quotes/{summary.id}{end}"


class KeptLinks(Answered):
    """Where to go on from a stored quote."""

    quote = f.text("The quote, as JSON.", "/v1/quotes/1f0c9a5be2d47a8036cd", _address())
    about = f.text(
        "This object, which tells of the quote.", "/v1/quotes/1f0c9a5be2d47a8036cd/about", _address("/about")
    )
    requote = f.text(
        "Where to have it priced by today's book.", "/v1/quotes/1f0c9a5be2d47a8036cd/requote", _address("/requote")
    )


def _whole(summary: QuoteSummary, _: f.Writing) -> QuoteSummary:
    return summary


class About(Answered):
    """What is told of a stored quote."""

    id = f.text("Its id, the last step of its address.", "1f0c9a5be2d47a8036cd")
    label = f.text("What its owner calls it; empty without a label.", "guest room, 2nd try")
    owner = f.text("Whose quote it is: the owner of the token that it was stored with.", "anna")
    stored = f.moment("When it was stored (RFC 3339, UTC).", "stored")
    engine = f.text("The version of Sawbill that made it.", "0.6.0")
    price_book = f.group(KeptBook, "The price book it was made from, as it was then.", _whole)
    designs = f.rows(f.text("A design.", "slatted-bed"), "The designs of its lines, each once, by name.")
    currency = f.text("The currency of its amounts (ISO 4217).", "USD")
    total = f.text("Its total. [the price book's currency]", "207.31")
    links = f.group(KeptLinks, "The addresses of what there is of it.", _whole)


class QuotePage(NamedTuple):
    """Some of the quotes kept, and the address of those after them."""

    quotes: tuple[QuoteSummary, ...]
    next: str | None


class KeptList(Answered):
    """Stored quotes, the newest first."""

    quotes = f.rows(About, "What is told of each.")
    next = f.text(
        "The address of the next page, as the header Link has it; null on the last.",
        "/v1/quotes?limit=20&after=117", none=True,
    )  # fmt: skip


class Link(Answered):
    """A link that reads one stored quote, or one table of it, less its secret."""

    id = f.text("Its id, by which it is revoked; it opens nothing.", "7c1d0a94e6b2f85303aa")
    table = f.text("The one table that it reads; null: the whole quote.", "cut-list", none=True)
    made = f.moment("When it was made (RFC 3339, UTC).", "made")
    expires = f.moment("When it ends (RFC 3339, UTC); null: not by itself.", "expires", none=True)
    revoked = f.moment("When it was revoked (RFC 3339, UTC); null: it was not.", "revoked", none=True)


@dataclass(frozen=True, slots=True)
class MadeLink(store.Link):
    """A link that was just made, with its secret."""

    secret: str


def _opened(link: MadeLink, _: f.Writing) -> str:
    table = f"{link.table}.csv" if link.table else "shopping-list.csv"
    return f"/v1/quotes/{link.quote}/{table}?link={link.secret}"


class NewLink(Link):
    """A link as it is made, with its secret, which cannot be had again."""

    secret = f.text("Its secret, to be sent as ?link=…", "sawbill_…")
    address = f.text(
        "An address that it opens; its other forms have their suffixes.",
        "/v1/quotes/1f0c9a5be2d47a8036cd/cut-list.csv?link=sawbill_…", _opened,
    )  # fmt: skip


class LinkList(Answered):
    """The links to a quote."""

    links = f.rows(Link, "The links, the oldest first, those that open nothing any more too.", lambda found, _: found)


def new_link_json(link: store.Link, secret: str) -> Json:
    """Give a new link as the JSON object of an answer, with its secret."""
    return NewLink.written(MadeLink(**asdict(link), secret=secret), f.PLAIN)


class Bought(Answered):
    """What is bought of an item."""

    quantity = f.whole("How many there are.", 14)
    each = f.money("The price of one.", "4.28")
    amount = f.money("The price of all.", "59.92")


def _hardware_name(row: Any) -> str:
    size = " x ".join(filter(None, (row["size"], row["length"] and row["length"]["text"])))
    return f"{row['item']} {size}".strip() + f", pack of {row['pack']}"


_NAMES: Final[Mapping[str, Callable[[Any], str]]] = {
    "lumber": lambda row: f"{row['section']} x {row['length']['text']}, {row['species']} {row['grade']}",
    "hardware": _hardware_name,
    "supply": lambda row: f"{row['item']}, {row['container']}",
}
"""How each kind of row is called in words."""


class LineDrift(Answered):
    """What became of an item of the shopping list; change = by_price + by_quantity, exactly."""

    kind = f.text("Whether it is lumber, hardware or a supply.", "lumber", choices=["lumber", "hardware", "supply"])
    supplier = f.text("The supplier that sells it.", "Yard A", lambda line, _: line.row["supplier"])
    item_code = f.text("The supplier's code for it.", "A-204-08", lambda line, _: line.row["item_code"])
    name = f.text(
        "What it is, as a person would say it.", "2x4 x 96 in, SPF No.2", lambda line, _: _NAMES[line.kind](line.row)
    )
    before = f.group(Bought, "What the stored quote buys of it; null for nothing.", none=True)
    after = f.group(Bought, "What is bought of it now; null for nothing.", none=True)
    change = f.money("What more it costs now; below zero for less.", "7.36")
    by_price = f.money("What the price of one did: its change times the quantity now.", "3.08")
    by_quantity = f.money("What the quantity did: its change times the price before; all, where one is null.", "4.28")
    why = f.rows(f.text("A reason.", "price-rose", choices=list(WHY)), "Why it changed; nothing where it did not.")


class AmountDrift(Answered):
    """What became of an amount."""

    name = f.text("Which amount: a total by its key, or a supplier to go to.", "lumber")
    before = f.money("The amount in the stored quote.", "148.20")
    after = f.money("The amount in today's quote.", "155.56")
    change = f.money("What more it is now; below zero for less.", "7.36")


class Reason(Answered):
    """Why a quote changed."""

    code = f.text(
        "The reason, as a word that programs may go by.", "price-rose", lambda code, _: code, choices=list(WHY)
    )
    message = f.text("The reason in words.", WHY["price-rose"], lambda code, _: WHY[code])


class Drift(Answered):
    """What became of a quote, and why. In another currency nothing can be compared, and every list but why is empty."""

    why = f.rows(Reason, "Why it changed, the reasons that concern the whole of it first.")
    totals = f.rows(AmountDrift, "The totals that both quotes have.")
    trips = f.rows(AmountDrift, "Trips and deliveries, by supplier.")
    lines = f.rows(LineDrift, "Every item that either buys: as the newer quote has them, then the rest.")


def drift_json(found: drift.Drift, decimals: int) -> Json:
    """Give what became of a quote as the JSON object of an answer; decimals: of its currency."""
    return Drift.written(found, f.Writing("metric", decimals))


class Drifted(NamedTuple):
    """What became of a stored quote; drift: as JSON; currency, total: of the quote made of its request today."""

    before: QuoteSummary
    drift: Mapping[str, Any]
    currency: str
    total: str


class DriftOf(Answered):
    """What a stored quote's request would cost by today's book."""

    before = f.group(About, "The stored quote; it stays as it is.")
    drift = f.group(Drift, "What became of it.", written=True)
    currency = f.text("The currency of today's amounts (ISO 4217).", "USD")
    total = f.text("The total today. [the price book's currency]", "214.67")


class Requoted(NamedTuple):
    """A stored quote and the one made of its request today; drift, quote: as JSON; kept: the new one's address."""

    before: QuoteSummary
    drift: Mapping[str, Any]
    kept: str | None
    quote: Mapping[str, Any]


class Requote(Answered):
    """A stored quote's request, priced by today's book."""

    before = f.group(About, "The stored quote; it stays as it is.")
    drift = f.group(Drift, "What changed between the two, and why.", written=True)
    kept = f.text("Where the new quote is kept; null where it is not.", "/v1/quotes/88b1c05d77e3f12a94d0", none=True)
    quote = f.group(Quote, "The new quote.", written=True)
