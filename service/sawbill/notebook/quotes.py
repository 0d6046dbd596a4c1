"""Quotes: what to buy for designs and parts of your own, how to cut it, what it costs, what the checks found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

import pandas as pd

from sawbill import registry
from sawbill.answer.quote import quote_json
from sawbill.asked.request import Pointer, read_request
from sawbill.notebook import shown
from sawbill.notebook.answers import Answer, Tabled
from sawbill.notebook.asking import given, lumber_of, made, pricing_of, settings_of, tables_of, understood
from sawbill.notebook.books import Book, price_book
from sawbill.notebook.faults import Fault, FaultsError
from sawbill.notebook.given import LengthUnit, Rows, Settings, names, rows, written
from sawbill.notebook.placing import placed_parts
from sawbill.trade.lengths import System


class Quote(Answer):
    """A quote: `quote` makes it.

    Its tables are DataFrames, with the unit and the meaning of each column in `attrs`; each is made anew when it is
    asked for, so that it may be changed.
    """

    shopping_list = Tabled()
    cut_list = Tabled()
    cutting_plan = Tabled()
    saw_stops = Tabled()
    hardware = Tabled()
    supplies = Tabled()
    leftovers = Tabled()
    checks = Tabled()
    steps = Tabled()
    tools = Tabled()
    carried_pieces = Tabled()
    shares = Tabled()
    near_misses = Tabled()
    warnings = Tabled()
    costs = Tabled()
    calculations = Tabled()
    drilling = Tabled()
    housings = Tabled()
    selling_prices = Tabled()

    @property
    def frame(self) -> pd.DataFrame:
        """Every part in its place: its lower corner and its size along x, y and z [mm], line by line."""
        return placed_parts(self._made)

    @cached_property
    def _json(self) -> Mapping[str, Any]:
        return quote_json(self._made)

    def __repr__(self) -> str:
        """Tell it in a line."""
        return f"<Quote {shown.line_of(self._json)}>"

    def _repr_html_(self) -> str:
        """Tell it in a notebook: what fails first, the total, how far it is proven, a picture."""
        return shown.page_of(self._json, self._subjects)


def line(
    design: str | None = None, *, quantity: int = 1, label: str | None = None, lumber: Settings | None = None,
    parts: Rows | None = None, hardware: Rows | None = None, lengths_in: LengthUnit | None = None,
    options: Settings | None = None, **named: object,
) -> dict[str, Any]:  # fmt: skip
    """Write one of several lines of a quote: so many of a design, or parts and hardware of your own.

    design: its name
    named: its options by name
    quantity: how many
    label: what the line is called
    lumber: which will do for it: species, grades
    parts: a DataFrame, or mappings, with name, section, length and quantity, and if you like shortest, species and
        grades
    hardware: likewise, with item, size, length and quantity
    lengths_in: the unit of lengths that are plain numbers: mm, cm, m, in or ft
    options: more options, for a name that stands for something else here

    >>> line("bench", quantity=2, length="48 in")
    {'quantity': 2, 'design': 'bench', 'label': 'bench', 'options': {'length': '48 in'}}
    """
    asked: dict[str, Any] = {"quantity": written(quantity)}
    if design is not None:
        asked |= {"design": design, "label": label or design}
        asked |= given(options=written({**named, **(options or {})}) or None)
    else:
        asked |= given(label=label, options=written({**named, **(options or {})}) or None)
    asked |= given(
        parts=None if parts is None else rows(parts, lengths_in, ("species", "grades")),
        hardware=None if hardware is None else rows(hardware, lengths_in),
        lumber=lumber_of(lumber),
    )
    return asked


def quote(
    design: str | Mapping[str, object] | Sequence[str | Mapping[str, object]],
    book: str | Path | Book | Mapping[str, object] = "sample-inch",
    *,
    quantity: int = 1,
    label: str | None = None,
    units: System | None = None,
    shop: Settings | None = None,
    site: Settings | None = None,
    lumber: Settings | None = None,
    on_hand: Rows | None = None,
    owned_hardware: Rows | None = None,
    owned_supplies: Rows | None = None,
    lengths_in: LengthUnit | None = None,
    pricing: Settings | None = None,
    rates: Settings | None = None,
    trace: str | Iterable[str] | None = None,
    placed: bool = False,
    ways_out: bool = False,
    exact: bool = False,
    options: Settings | None = None,
    **named: object,
) -> Quote:
    """Quote a design: what to buy, how to cut it, the hardware, the checks and the total.

    The purchase is the cheapest there is, proven, or tells how far it may be from that. The first quote on a machine
    compiles the planner's loops, which takes half a minute.

    design: its name; or several lines, each a name or as `line` writes it, which are bought and cut together
    named: options of the design by name, each as text with its unit; `designs()` lists them
    book: a price book, as `price_book` reads it
    quantity: how many
    label: what it is called; unset: as the design
    units: the system lengths are written in, inch or metric; unset: the book's
    shop: how the shop cuts, where not as the book says, such as `{"kerf": "1/8 in", "longest_board": "12 ft"}`
    site: where it is to stand, and the way there, such as `{"ceiling": "8 ft", "one_person": "20 kg"}`
    lumber: which will do, such as `{"species": "SPF"}`
    on_hand: boards that you have, a DataFrame or mappings, with section, length, quantity, species and grade; the
        `leftovers` of another quote may be given as they are
    owned_hardware: fasteners that you have, with item, size, length and quantity
    owned_supplies: supplies that you have, with item and amount
    lengths_in: the unit of lengths in these tables that are plain numbers: mm, cm, m, in or ft
    pricing: what is reckoned on top, such as `{"contingency": "10 %", "labour_rate": 25}` [the book's currency]
    rates: your own times of work, by name
    trace: rules of strength whose calculation is written out, by name, or all
    placed: whether `to_dict` tells every part in its place, as `frame` does
    ways_out: whether changes are looked for with which checks pass that fail; they are in `to_dict()["ways_out"]`
    exact: numbers and amounts of the tables as Decimal, which add up to the cent, instead of floats
    options: more options of the design, for a name that stands for something else here

    What each group and table may hold, `settings()` lists.

    Raises FaultsError: with every fault of what is asked, each with its field and what would be right;
    CannotBeBoughtError: the book lacks something that is needed.

    >>> bed = quote("slatted-bed", "sample-inch", mattress="queen", clear_height="10 in")
    >>> bed
    <Quote slatted-bed: ... USD, proven; no check failed; sample-inch>
    >>> bed.cut_list[["part", "quantity", "name", "length"]].head(2)
      part  quantity       name length
    0    A         2  side rail  85 in
    1    B         2     ledger  74 in
    """
    chosen = {**named, **(options or {})}
    lines, bare = _lines(design, quantity, label, chosen)
    asked = {
        "lines": lines,
        **given(
            units=units, shop=settings_of(shop), site=settings_of(site), lumber=lumber_of(lumber),
            pricing=pricing_of(pricing), rates=settings_of(rates), trace=None if trace is None else names(trace),
            placed=placed or None, ways_out=ways_out or None,
        ),
        **tables_of(lengths_in, on_hand=on_hand, owned_hardware=owned_hardware, owned_supplies=owned_supplies),
    }  # fmt: skip
    prices = price_book(book).prices
    request = understood(asked, lambda raw: read_request(raw, prices, registry.designs()), bare)
    return Quote(made(request, prices), exact=exact)


def _lines(
    design: str | Mapping[str, object] | Sequence[str | Mapping[str, object]], quantity: int, label: str | None,
    chosen: Settings,
) -> tuple[list[Any], list[Pointer]]:  # fmt: skip
    """Write the lines, and what the fields of a single design are within. Raises FaultsError."""
    if isinstance(design, str):
        asked = line(design, quantity=quantity, label=label, options=chosen)
        return [asked], [("lines", 0, "options"), ("lines", 0)]
    beside = {"quantity": None if quantity == 1 else quantity, "label": label, **chosen}
    if told := [name for name, value in beside.items() if value is not None]:
        detail = 'say it in each line: sawbill.line("slatted-bed", quantity=2, mattress="queen")'
        raise FaultsError(Fault(name, beside[name], "not-both", detail) for name in told)
    each_line = [design] if isinstance(design, Mapping) else design
    return [line(each) if isinstance(each, str) else written(each) for each in each_line], []
