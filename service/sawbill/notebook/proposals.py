"""Proposals: the best that open options may become within wishes, and the proof."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cached_property
from html import escape
from pathlib import Path
from typing import Any

import pandas as pd

from sawbill import registry
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.proposal import OPTION, best_table, trade_off_table
from sawbill.answer.proposed import proof_text, proposal_json
from sawbill.notebook.asking import given, lumber_of, settings_of, tables_of, understood
from sawbill.notebook.books import Book, price_book
from sawbill.notebook.frames import frame
from sawbill.notebook.given import LengthUnit, Rows, Settings, names, written
from sawbill.notebook.quotes import Quote, quote
from sawbill.quoting.proposing import proposal
from sawbill.quoting.proposing.proposed import read_proposal
from sawbill.trade.lengths import System


class Proposal:
    """A proposal: `propose` makes it. `proposals` is its table, the best first; `quote` makes the quote of a row."""

    def __init__(self, made: proposal.Proposal, books: Sequence[Book], *, exact: bool) -> None:
        self._made, self._books, self._exact = made, books, exact

    @cached_property
    def _json(self) -> Mapping[str, Any]:
        return proposal_json(self._made, [book.prices for book in self._books])

    @property
    def proposals(self) -> pd.DataFrame:
        """The best few, really different ones, the best first; empty where nothing keeps to all wishes."""
        return frame(best_table(self._json), self._json, exact=self._exact)

    @property
    def trade_off(self) -> pd.DataFrame:
        """What nothing beats in total, mass and time at once, of all that costs up to a quarter more than the best."""
        return frame(trade_off_table(self._json), self._json, exact=self._exact)

    @property
    def wishes(self) -> pd.DataFrame:
        """What every wish costs; where nothing keeps to all of them, what comes nearest to each."""
        keys = ("wish", "least", "most", "costs", "value", "proven")
        return pd.DataFrame([{key: each[key] for key in keys} for each in self._json["wishes"]], columns=list(keys))

    @property
    def proof(self) -> Mapping[str, Any]:
        """What became of every combination: how many were refused, quoted, ruled out by a bound; whether proven."""
        return dict(self._json["proof"])

    def quote(self, place: int = 0) -> Quote:
        """Make the whole quote of a proposal, by its place from 0.

        Raises IndexError: there is no such proposal.
        """
        asked = dict(self._json["proposals"][place]["request"])
        book = next(book for book in self._books if book.name == asked.pop("price_book"))
        [line] = asked.pop("lines")
        return quote(line, book, exact=self._exact, **asked)

    def to_dict(self) -> dict[str, Any]:
        """Give the whole answer as the service does, in plain lists and dicts; each time a copy."""
        found: dict[str, Any] = json.loads(self.to_json())
        return found

    def to_json(self) -> str:
        """Give the whole answer as the service sends it, byte for byte in UTF-8."""
        return json_bytes(self._json).decode()

    def __repr__(self) -> str:
        """Tell it in a line."""
        rows = self._json["proposals"]
        best = f"best {rows[0]['total']} {rows[0]['currency']}" if rows else "nothing keeps to all wishes"
        return f"<Proposal {len(rows)} of {self.proof['combinations']} combinations; {best}>"

    def _repr_html_(self) -> str:
        """Tell it in a notebook: the best few, what wishes cost, and the proof."""
        rows = self.proposals.dropna(axis="columns", how="all")
        told = rows.rename(columns=lambda name: str(name).removeprefix(OPTION).replace("_", " ")).to_html(na_rep="")
        wishes = "" if self.wishes.empty else self.wishes.to_html(na_rep="", index=False)
        return f"{told}{wishes}<p>{escape(proof_text(self._json['proof']))}</p>"


def propose(
    design: str | Mapping[str, object] | Sequence[str | Mapping[str, object]],
    books: str | Path | Book | Sequence[str | Path | Book] = "sample-inch",
    *,
    open: Mapping[str, object] | None = None,
    least: Settings | None = None,
    most: Settings | None = None,
    tools: Sequence[str] | None = None,
    make_least: str | None = None,
    proposals: int | None = None,
    quantity: int | None = None,
    units: System | None = None,
    shop: Settings | None = None,
    site: Settings | None = None,
    lumber: Settings | None = None,
    on_hand: Rows | None = None,
    owned_hardware: Rows | None = None,
    owned_supplies: Rows | None = None,
    lengths_in: LengthUnit | None = None,
    rates: Settings | None = None,
    exact: bool = False,
    options: Mapping[str, object] | None = None,
    **named: object,
) -> Proposal:
    """Find the best that a design may become: cheapest unless told, within wishes, and proven.

    design: a name, or several; one with options of its own is a mapping with design, label and options
    named: options that stay as they are told, by name
    books: a price book, or several of one currency, each as `price_book` reads it
    open: the options left open: each a list of values, a range such as `"8 in to 12 in by 1 in"`, "near" or "any";
        unset: the main sections, bolts and yes-or-no options, near
    least, most: the wishes, such as `most={"heaviest_piece": "12 kg"}`
    tools: the tools at hand; no others are to be needed
    make_least: what to make least, such as "mass"; proposals: how many to make
    options: more options, for a name that stands for something else here
    the rest: as for `quote`

    Raises FaultsError: with every fault.

    >>> bed = propose("slatted-bed", mattress="twin", open={"rail": ["2x4", "2x6"]}, most={"heaviest_piece": "30 kg"})
    >>> bed.proof["combinations"], bed.proof["proven"]
    (2, True)
    >>> bed.quote().currency
    'USD'
    """
    shelf = [price_book(each) for each in ([books] if isinstance(books, str | Path | Book) else books)]
    asked = {
        "designs": written([design] if isinstance(design, str | Mapping) else design),
        **given(
            options=settings_of({**named, **(options or {})} or None), open=settings_of(open),
            wishes=_wishes(least, most), tools=tools and names(tools), make_least=make_least, proposals=proposals,
            quantity=quantity, units=units,
            shop=settings_of(shop), site=settings_of(site), lumber=lumber_of(lumber), rates=settings_of(rates),
        ),
        **tables_of(lengths_in, on_hand=on_hand, owned_hardware=owned_hardware, owned_supplies=owned_supplies),
    }  # fmt: skip
    prices = [book.prices for book in shelf]
    read = understood(asked, lambda raw: read_proposal(raw, prices, registry.designs()), [("options",), ("wishes",)])
    return Proposal(proposal.propose(read, prices), shelf, exact=exact)


def _wishes(least: Settings | None, most: Settings | None) -> dict[str, Any] | None:
    found: dict[str, Any] = {}
    for end, bounds in (("least", settings_of(least)), ("most", settings_of(most))):
        for name, value in (bounds or {}).items():
            found.setdefault(name, {})[end] = value
    return found or None
