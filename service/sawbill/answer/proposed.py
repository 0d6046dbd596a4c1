"""A proposal, declared, and as text: what the service, the command line and Python all give."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any, Final

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered, Json, Writing
from sawbill.answer.declared.proposed import OfWish, OpenedTable, ProposalProof, Proposed, ProposedRow
from sawbill.answer.declared.quoted.totals import QuotedBook
from sawbill.answer.quote import ENGINE
from sawbill.prices.money import from_minor_units
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.comparison import Row as ComparedRow
from sawbill.quoting.proposing import proposal
from sawbill.quoting.proposing.measures import MEASURES, NEW_WARNINGS, TOOLS, Number, Wish
from sawbill.quoting.proposing.proposal import Row
from sawbill.trade.lengths import System, format_length
from sawbill.trade.measures import told

_OUT: Final = Writing("metric", 0)
"""Writes what holds no length and no amount but those of rows, which have their own."""


@dataclass(frozen=True)
class Made:
    """A proposal that is made; named: whether its price books have names to ask by."""

    made: proposal.Proposal
    books: Sequence[PriceBook]
    named: bool = True

    @cached_property
    def proposals(self) -> list[Proposed]:
        """The best."""
        return [self.row(row) for row in self.made.rows]

    @property
    def trade_off(self) -> list[Proposed]:
        """What nothing beats."""
        return [self.row(row) for row in self.made.trade_off]

    @property
    def wishes(self) -> list[OfWishOf]:
        """What wishes cost."""
        return [self._wish(each) for each in self.made.wishes]

    def row(self, row: Row) -> Proposed:
        """A row with all that it is written from."""
        asked = self.made.asked
        combination = row.spot.combination(asked.grid.quantity)
        return Proposed(
            ComparedRow(combination, row.found.figures), self.books[combination.book], asked.common.get("units"),
            proposed=row, common=asked.common, named=self.named,
        )  # fmt: skip

    def _wish(self, each: proposal.OfWish) -> OfWishOf:
        book, best = self.books[0], next(iter(self.made.rows), None)
        more = None
        if best is not None and each.without is not None:
            more = best.found.figures.total - each.without.found.figures.total

        def told(value: Number | None) -> str | None:
            return None if value is None else written(each.wish, value, book)

        return OfWishOf(
            each.wish.name, told(each.wish.least), told(each.wish.most), each.kept, told(each.value),
            None if more is None else _money(more, book), None if each.without is None else self.row(each.without),
            each.proven,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class OfWishOf:
    """What is told of a wish."""

    wish: str
    least: str | None
    most: str | None
    kept: tuple[str, ...]
    value: str | None
    costs: str | None
    without: Proposed | None
    proven: bool


class Proposal(Answered):
    """A proposal. Checked for planning only, not a certificate."""

    engine = f.text("The version of Sawbill that made it.", "0.11.0", lambda *_: ENGINE)
    price_books = f.rows(QuotedBook, "The price books, in the order asked.", "books")
    make_least = f.text("What was made least.", "total", "made.asked.least")
    open = f.rows(OpenedTable, "What was left open.", "made.asked.grid.tables")
    proposals = f.rows(ProposedRow, "The best, the best first, each unlike those before it.")
    wishes = f.rows(OfWish, "What every wish costs, or which is in the way.")
    trade_off = f.rows(
        ProposedRow,
        "What nothing beats in total, mass and time at once, of all that costs up to a quarter more than the best; "
        "empty where another measure than the total is made least.",
    )
    trade_off_proven = f.flag(
        "Whether there are no others: an answer at once looks at a limited number of combinations, a job at more.",
        "made.trade_off_proven", example=True,
    )  # fmt: skip
    proof = f.group(ProposalProof, "What became of every combination.", "made.proof")


def proposal_json(made: proposal.Proposal, books: Sequence[PriceBook], *, named: bool = True) -> Json:
    """Give a whole proposal as the JSON object of an answer; named: whether its price books have names to ask by."""
    return Proposal.written(Made(made, books, named), _OUT)


def written(wish: Wish, value: Number, book: PriceBook) -> str:
    """What a wish limits, as it may be asked for."""
    kind = "count" if wish.name in (TOOLS, NEW_WARNINGS) else MEASURES[wish.name].kind
    if kind == "money":
        return _money(int(value), book)
    if kind == "length":
        return format_length(int(value), book.units)
    if kind == "mass":
        return f"{float(value) / 1000:g} kg"
    if kind == "time":
        return f"{int(value)} min"
    return f"{float(value * 100):.1f} %" if kind == "share" else str(int(value))


def proposal_text(answer: Json, units: System) -> str:
    """Write a proposal for a terminal and for plain reading; units: of who reads it."""
    proof, lines = answer["proof"], list[str]()
    for place, row in enumerate(answer["proposals"], 1):
        lines.append(f"{place}. {row['label']}: {_in_short(row, units)}")
        lines += [f"   {each}" for each in _changes(row)]
    if not answer["proposals"]:
        lines.append("Nothing keeps to all that is wished.")
    lines += ["", *(_wish_text(each, units) for each in answer["wishes"])] if answer["wishes"] else []
    if len(answer["trade_off"]) > 1:
        lines += ["", "Nothing beats these in total, mass and time at once:"]
        lines += [f"   {_in_short(row, units)}" for row in answer["trade_off"]]
    return "\n".join([*lines, "", proof_text(proof)])


def _in_short(row: Json, units: System) -> str:
    whole, piece = (told(Decimal(str(row[name])), "kg", units) for name in ("mass_kg", "heaviest_piece_kg"))
    return (
        f"{row['total']} {row['currency']}, {whole}, heaviest piece {piece}, "
        f"longest {row['longest_piece']['text']}, {row['hands_on_minutes']['most']} min at work at most"
    )


def _changes(row: Json) -> list[str]:
    found = [f"{each['option']}: {each['value']} (usual: {each['usual']})" for each in row["changes"]]
    if row["saves"] is not None and row["changes"]:
        less = not row["saves"].startswith("-")
        found.append(f"{row['saves'].lstrip('-')} {'less' if less else 'more'} than with the usual options")
    return found or ["all as usual"]


def _wish_text(each: Json, units: System) -> str:
    limits = " ".join(f"{end} {each[end]}" for end in ("least", "most") if each[end] is not None)
    name, row = each["wish"].replace("_", " "), each["without"]
    doubt = "" if each["proven"] else " (as far as was looked)"
    if row is None:
        return f"{name}, {limits}: nothing keeps to the other wishes either{doubt}."
    if each["costs"] is not None:
        return f"{name}, {limits}: costs {each['costs']} {row['currency']}{doubt}."
    others = f" with {', '.join(each['kept']).replace('_', ' ')} kept" if each["kept"] else ""
    return f"{name}, {limits}: the nearest{others} is {each['value']}, at {_in_short(row, units)}{doubt}."


def proof_text(proof: Mapping[str, Any]) -> str:
    """Say how the answer is proven."""
    parts = [
        (proof["refused"], "refused by the design"), (proof["not_sold"], "that the price book does not sell"),
        (proof["failing"], "failing a check whatever wood is bought, or giving a new warning"),
        (proof["beyond"], "beyond the wishes"), (proof["alike"], "like a better one"),
        (proof["by_bound"], "ruled out by a bound"), (proof["quoted"], "quoted"),
    ]  # fmt: skip
    told = "; ".join(f"{number} {words}" for number, words in parts if number)
    if proof["proven"]:
        end = "There is nothing better."
    elif not proof["alike"] and not proof["by_bound"]:
        end = "Not every purchase could be worked out to the end: there may be something better."
    else:
        end = "Not all could be looked at: there may be something better."
    return f"{proof['combinations']} combinations: {told}. {end}"


def _money(minor_units: int, book: PriceBook) -> str:
    return f"{from_minor_units(minor_units, book.decimals):f}"
