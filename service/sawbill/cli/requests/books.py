"""Price books found by how they are named."""

from __future__ import annotations

from pathlib import Path

from sawbill.cli.output.ending import misused, refuse
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.forms.forms import BY_SUFFIX, saved_otherwise
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.prices.shelf import Shelf, UnknownBookError, sample_folder


def find_book(name: str) -> PriceBook:
    """Find a price book. Raises UnknownBookError. Ends the command where the book has faults, with all of them."""

    path = Path(name)
    form = BY_SUFFIX.get(path.suffix.lower())
    try:
        if form is not None and path.is_file():
            return form.read(path.stem, path.read_bytes())
        return read_folder(path) if path.is_dir() else Shelf(sample_folder()).get(name)
    except UnknownBookError as error:
        raise UnknownBookError(
            f"{name} is not a folder or a {' or '.join(BY_SUFFIX)} file, and {error}{saved_otherwise(name)}"
        ) from None
    except BookFaultsError as error:
        refuse(map(form.told if form is not None and path.is_file() else str, error.faults))


def read_book(name: str, option: str = "--prices") -> PriceBook:
    """Find a price book, or end the command; option: by which it is named."""

    try:
        return find_book(name)
    except UnknownBookError as error:
        misused([f"{option}: {error}"])
