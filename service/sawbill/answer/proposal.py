"""The tables of a proposal: the best, what nothing beats, what wishes cost, and what became of every combination."""

from __future__ import annotations

from typing import Final

from sawbill.answer import columns as c
from sawbill.answer.columns import CURRENCY, Column, Json, Reader, Table, listed
from sawbill.answer.declared.proposed import OfWish, ProposalProof, ProposedRow, as_text
from sawbill.answer.proposed import Proposal

OPTION: Final = "option_"
"""What the name of an option's column begins with."""
_FOUND: Final = c.columns(
    c.of(ProposedRow.label), c.of(ProposedRow.design), c.of(ProposedRow.price_book), c.of(ProposedRow.quantity),
    c.of(ProposedRow.currency), c.of(ProposedRow.total), c.of(ProposedRow.saves), c.of(ProposedRow.boards),
    c.of(ProposedRow.mass_kg), c.of(ProposedRow.heaviest_piece_kg), c.of(ProposedRow.longest_piece),
    c.of(ProposedRow.hands_on_minutes), c.of(ProposedRow.proof),
    c.of(ProposedRow.usual_total, shown=False), c.of(ProposedRow.suppliers, shown=False),
    c.of(ProposedRow.clear_height, shown=False), c.of(ProposedRow.failed_checks, shown=False),
    c.of(ProposedRow.warnings, between=", ", shown=False), c.of(ProposedRow.quote, shown=False),
)  # fmt: skip
_WISHES: Final = c.columns(
    c.of(OfWish.wish), c.of(OfWish.least), c.of(OfWish.most), c.of(OfWish.value),
    c.text(CURRENCY, "What the amounts are in.", "USD", lambda row: _without(row, CURRENCY)),
    c.money(OfWish.costs.key, c.meaning_of(OfWish.costs), str(OfWish.costs.example)),
    (Column("total_without", "The total of the best without it, or of the nearest.", "money", "210.46",
            lambda row: _without(row, "total"), f"the column {CURRENCY}"),),
    c.of(OfWish.kept, between=", "), c.of(OfWish.proven),
    c.text("quote_without", "Where the quote of that is.", "/v1/designs/slatted-bed/quote?price_book=sample-inch",
           lambda row: _without(row, "quote"), shown=False),
)  # fmt: skip
_PROOF: Final = c.columns(*(c.of(each) for each in ProposalProof.fields))


def best_table(answer: Json) -> Table:
    """The best, the best first; the options of all rows have a column each."""
    return _rows("proposals", "Proposals", Proposal.proposals.meaning, answer)


def trade_off_table(answer: Json) -> Table:
    """What nothing beats in total, mass and time at once."""
    return _rows("trade_off", "Trade-off", Proposal.trade_off.meaning, answer)


def tables_of(answer: Json) -> list[Table]:
    """All tables of a proposal's JSON."""
    return [
        best_table(answer), trade_off_table(answer),
        Table("wishes", "Wishes", Proposal.wishes.meaning, _WISHES, listed("wishes")),
        Table("proof", "Proof", Proposal.proof.meaning, _PROOF, lambda told: [told["proof"]]),
    ]  # fmt: skip


def _rows(key: str, title: str, meaning: str, answer: Json) -> Table:
    names = dict.fromkeys(name for row in answer[key] for name in row["options"])
    chosen = [c.text(OPTION + name, f"The option {name}.", "queen", _option(name)) for name in names]
    return Table(key.replace("_", "-"), title, meaning, c.columns(*chosen, _FOUND), listed(key))


def _option(name: str) -> Reader:
    return lambda row: as_text(row["options"].get(name))


def _without(row: Json, key: str) -> str | None:
    found: str | None = (row["without"] or {}).get(key)
    return found
