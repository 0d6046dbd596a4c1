"""What is asked in Python, read into a request against a price book, and made; every fault at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any, TypeVar

from sawbill.asked.faults import Pointer, RequestFaultsError
from sawbill.asked.request import Request
from sawbill.buying.boards import NothingFitsError
from sawbill.notebook import faults
from sawbill.notebook.given import LengthUnit, Rows, names, rows, written
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.quote import Quote, make_quote

T = TypeVar("T")


def understood(
    asked: Mapping[str, Any], read: Callable[[Mapping[str, Any]], T], bare: Sequence[Pointer] = ()
) -> T:  # fmt: skip
    """Read what is asked. bare: what its fields are within, where nobody wrote so, innermost first.

    Raises FaultsError: with every fault, one a field.
    """
    try:
        return read(asked)
    except RequestFaultsError as error:
        raise faults.of_request(error.faults, asked, bare) from None


def made(request: Request, book: PriceBook) -> Quote:
    """Make a quote. Raises CannotBeBoughtError: the price book lacks something."""
    try:
        return make_quote(request, book)
    except NothingFitsError as error:
        raise faults.of_order(error.lacking) from None


def given(**settings: object) -> dict[str, Any]:
    """Give the settings that are given: not None."""
    return {name: value for name, value in settings.items() if value is not None}


def settings_of(group: object) -> Any:
    """Write a group of settings."""
    return None if group is None else written(group)


def lumber_of(group: object) -> Any:
    """Write which lumber will do; one name stands for a list of it."""
    told = settings_of(group)
    if not isinstance(told, dict):
        return told
    return told | {name: names(told[name]) for name in ("species", "grades") if name in told}


def pricing_of(group: object) -> Any:
    """Write what is reckoned on top; plain numbers are text there."""
    told = settings_of(group)
    if not isinstance(told, dict):
        return told
    return {name: f"{Decimal(str(each)):f}" if isinstance(each, int | float) else each for name, each in told.items()}


def tables_of(unit: LengthUnit | None, **tables: Rows | None) -> dict[str, Any]:
    """Write the tables that are given."""
    return {name: rows(table, unit) for name, table in tables.items() if table is not None}
