"""What a proposal answers: its rows, what wishes cost, and what became of every combination."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlencode

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.compared import ComparedRow, RowOf
from sawbill.answer.declared.fields import Answered, Field
from sawbill.answer.declared.rounded import kilograms
from sawbill.quoting.proposing.measures import Found
from sawbill.quoting.proposing.proposal import Row

IN_A_QUERY: Final = ("shop", "site", "lumber")
"""What all combinations ask for that an address can say, beside their units; what is at hand takes a body."""


@dataclass(frozen=True, slots=True)
class Proposed(RowOf):
    """A row of a proposal; common: what all combinations ask for; named: whether its price book has a name."""

    proposed: Row | None = None
    common: Mapping[str, Any] | None = None
    named: bool = True

    @property
    def own(self) -> Row:
        """The row."""
        assert self.proposed is not None
        return self.proposed

    @property
    def found(self) -> Found:
        """What was measured of it."""
        return self.own.found

    @property
    def line(self) -> dict[str, Any]:
        """The line of a request for its quote."""
        asked = self.asked
        return {"label": asked.label, "design": asked.design.name, "options": dict(asked.options),
                "quantity": asked.quantity}  # fmt: skip

    @property
    def request(self) -> dict[str, Any]:
        """A request for its quote."""
        return {"price_book": self.book.name, "lines": [self.line], **(self.common or {})}

    @property
    def quote(self) -> str | None:
        """Where its quote is; None: an address cannot say all that it asks for."""
        if not self.named:
            return None
        asked = self.asked
        return quote_address(asked.design.name, self.book.name, asked.options, asked.quantity, self.common or {})


def quote_address(
    design: str, book: str, options: Mapping[str, Any], quantity: int, common: Mapping[str, Any]
) -> str | None:  # fmt: skip
    """The address of a quote; None: an address cannot say all that it asks for. common: what is asked beside lines."""
    if not common.keys() <= {"units", *IN_A_QUERY}:
        return None
    query: dict[str, Any] = {"price_book": book, **{name: as_text(value) for name, value in options.items()}}
    query |= {} if quantity == 1 else {"quantity": quantity}
    query |= {"units": common["units"]} if "units" in common else {}
    for key in IN_A_QUERY:
        query |= {name: as_text(value) for name, value in common.get(key, {}).items()}
    return f"/v1/designs/{design}/quote?{urlencode(query, safe=',')}"


def as_text(value: Any) -> str | None:
    """A value of a request as an address says it, and a cell."""
    if isinstance(value, dict):
        return " x ".join(str(value[key]) for key in ("size", "width", "length", "thickness") if key in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ",".join(map(str, value))
    return None if value is None else str(value)


def _amount(meaning: str, example: str, read: f.Read | str) -> Field:
    return f.money(f"{meaning} [the currency of the row].", example, read, none=True)


class ProposedChange(Answered):
    """An option that is not as usual."""

    option = f.text("The option, by name.", "slat_retention", lambda each, _: each[0].name)
    usual = f.text("What it is where nothing is said.", "blocks", lambda each, _: as_text(each[0].usual), none=True)
    value = f.text("What it is in this proposal.", "screws", lambda each, _: as_text(each[1]), none=True)


class ProposedRow(ComparedRow):
    """A combination that is proposed, with the figures of its quote, as a row of a comparison has them, and more."""

    heaviest_piece_kg = f.number(
        "The mass of the heaviest piece that is carried [kg].", 10.7, lambda row, _: kilograms(row.found.heaviest_piece)
    )
    suppliers = f.whole("The suppliers that are visited, or deliver.", 2, "found.suppliers")
    clear_height = f.length(
        "From the floor to the lowest part that does not stand on it, steps of ladders apart.", 203.2, "8 in",
        "found.clear_height", none=True,
    )  # fmt: skip
    warnings = f.rows(
        f.text("A rule.", "sway"), "The rules whose checks warn, by name.", lambda row, _: sorted(row.found.warned)
    )
    changes = f.rows(ProposedChange, "What of the open options is not as usual.", "own.changed")
    usual_total = _amount(
        "What it costs with the usual options; null where nothing does", "214.60",
        lambda row, _: None if row.own.usual is None else row.own.usual.figures.total,
    )  # fmt: skip
    saves = _amount("By how much it costs less than that; more, where it is negative", "7.29", "own.saves")
    quote = f.text(
        "Where its quote is; null where an address cannot say all that it asks for.",
        "/v1/designs/slatted-bed/quote?price_book=sample-inch&rail=2x8", "quote", none=True,
    )  # fmt: skip
    request = f.free("The same as a request for a quote.", {"price_book": "sample-inch"}, lambda row, _: row.request)


class OfWish(Answered):
    """What a wish costs; or, where nothing keeps to all wishes, what comes nearest to this one."""

    wish = f.text("The wish, by the name of what it limits.", "heaviest_piece")
    least = f.text("The least it may be.", "10 in", none=True)
    most = f.text("The most it may be.", "12 kg", none=True)
    kept = f.rows(f.text("A wish.", "failed_checks"), "The other wishes that `without` keeps to.")
    value = f.text("What of it `without` has; null without one.", "13.2 kg", none=True)
    costs = f.text(
        "What the best costs more than `without`, in the currency of its row; null where there is no best, or no "
        "`without`.", "4.10", none=True,
    )  # fmt: skip
    without = f.group(
        ProposedRow,
        "The best that need not keep to this wish; where nothing keeps to all wishes, the nearest to it that keeps to "
        "the others, or to the checks alone where nothing does. Null: there is none.", none=True,
    )  # fmt: skip
    proven = f.flag("Whether nothing better than `without` is left.", example=True)


class ProposalProof(Answered):
    """What became of every combination; the numbers up to `by_bound` add up to all of them."""

    combinations = f.whole("How many combinations there are in all.", 288)
    refused = f.whole("How many the design refuses.", 12)
    not_sold = f.whole("For which the price book lacks something.", 0)
    failing = f.whole("That fail a check, or give a new warning, whatever wood is bought.", 90)
    beyond = f.whole("Beyond a wish, whatever is bought.", 30)
    quoted = f.whole("How many were quoted.", 41)
    alike = f.whole("Not quoted, for they are like a better one.", 9)
    by_bound = f.whole("Not quoted, for a bound shows that they cannot be among the best.", 106)
    purchases = f.whole("How many purchases were begun in all.", 77)
    proven = f.flag("Whether nothing better than what is proposed is left.", example=True)
    late = f.flag("Whether a clock cut a purchase short: another time the answer may differ.", example=False)


class OpenedTable(Answered):
    """What was left open of one design with one price book."""

    design = f.text("The design, by name.", "slatted-bed", "entry.design.name")
    label = f.text("What it is called.", "slatted-bed", "entry.label")
    book = f.whole("The place of the price book, from 0.", 0)
    options = f.free(
        "The values of each.", {"rail": ["2x6", "2x8"]},
        lambda table, _: {each.name: list(each.values) for each in table.opened},
    )  # fmt: skip
