"""Price books read and written in whatever form, and what changed from one to another."""

from __future__ import annotations

import json
import pickle
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sawbill.answer.declared.changes import changes_json
from sawbill.answer.drift import drift, sold_by
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.answer.kept import drift_json
from sawbill.prices.changes import changes
from sawbill.prices.forms import forms
from sawbill.prices.forms.asjson import read_json
from sawbill.prices.forms.folder import read_folder
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import BookFaultsError, Fault
from sawbill.web.http import problems
from sawbill.web.http.bodies import read_json_text
from sawbill.web.http.problems import Problem
from sawbill.web.schemas.price_book import book_json


def book(_: Sequence[PriceBook], name: str, media_type: str, data: bytes) -> bytes | Problem:
    """Read a whole price book, and give it packed, or tell every fault of it."""
    form = forms.BY_MEDIA_TYPE.get(media_type)
    try:
        return _packed(form.read(name, data) if form else read_json(name, read_json_text(data)))
    except BookFaultsError as error:
        place = form.place if form else lambda fault: {"pointer": fault.pointer}
        return problems.sent_book_faulty(error.faults, place)
    except Problem as problem:
        return problem


def written(shared: Sequence[PriceBook], suffix: str) -> bytes:
    """Write the price book that is shared, as JSON or in the form of a suffix."""
    form = forms.BY_SUFFIX.get(suffix)
    return form.write(shared[0]) if form else json_bytes(book_json(shared[0]))


def changed(shared: Sequence[PriceBook]) -> bytes:
    """Write what changed from the first price book to the last, which may be the same."""
    old, new = shared[0], shared[-1]
    return json_bytes(changes_json(changes(old, new), old, new))


def drifted(shared: Sequence[PriceBook], before: bytes, after: bytes) -> dict[str, Any]:
    """Tell what became of a quote; the first and the last book that are shared: what each was made from."""
    then, now = shared[0], shared[-1]
    return drift_json(drift(json.loads(before), json.loads(after), sold_by(then), sold_by(now)), now.decimals)


def kept(name: str, content: bytes) -> PriceBook:
    """Read a price book as the store keeps it."""
    return read_json(name, json.loads(content))


def of_store(_: Sequence[PriceBook], name: str, content: bytes) -> bytes | tuple[Fault, ...]:
    """Read a price book as the store keeps it, and give it packed, or every fault of it."""
    try:
        return _packed(kept(name, content))
    except BookFaultsError as error:
        return error.faults


def of_folder(_: Sequence[PriceBook], folder: Path) -> bytes | tuple[Fault, ...]:
    """Read a price book in a folder, and give it packed, or every fault of it."""
    try:
        return _packed(read_folder(folder))
    except BookFaultsError as error:
        return error.faults


def _packed(book: PriceBook) -> bytes:
    """Pack a book: it goes on to other engines as it is, and whoever asked for it unpacks it himself."""
    return pickle.dumps(book, pickle.HIGHEST_PROTOCOL)
