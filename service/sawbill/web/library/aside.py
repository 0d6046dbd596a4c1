"""Large price books, read by an engine: whoever asks for one waits and pays for it, and holds up nobody else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from flask import has_request_context

from sawbill.backroom import Rank, Room
from sawbill.prices.pricebook import PriceBook
from sawbill.prices.rows.faults import BookFaultsError
from sawbill.web.library import packing
from sawbill.web.reckoning import books as reckoning
from sawbill.web.work import handing_in
from sawbill.web.work.handing_in import Asker

_JOB: Final = Asker("", "a price book of a job", Rank.JOB)
"""Who asks outside of a request: it was asked for within one."""


def of_store(room: Room, name: str, content: bytes) -> PriceBook:
    """Read a book as the store keeps it. Raises BookFaultsError: it is at fault; Problem: it cannot be read now."""
    return _read(room, reckoning.of_store, name, content)


def of_folder(room: Room, folder: Path) -> PriceBook:
    """Read a book in a folder. Raises BookFaultsError: it is at fault; Problem: it cannot be read now."""
    return _read(room, reckoning.of_folder, folder)


def _read(room: Room, function: Callable[..., Any], *arguments: object) -> PriceBook:
    asker = handing_in.asker() if has_request_context() else _JOB
    found, _ = asker.done(room, function, arguments)
    if isinstance(found, bytes):
        return packing.opened(found)
    raise BookFaultsError(found)
