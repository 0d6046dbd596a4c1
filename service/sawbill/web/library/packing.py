"""Price books packed for the engines: each once, and a large one as an engine gave it."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from sawbill.backroom import packed
from sawbill.backroom.task import Shared
from sawbill.prices.pricebook import PriceBook, canonical
from sawbill.web.reckoning import books as reckoning

SMALL: Final = 1_000
"""How many rows a book may have that is written, compared or packed where it is asked for."""


def shared(book: PriceBook) -> Shared:
    """Pack a book for the engines, which hold it by its key."""
    return _packed(_ByKey(key(book), lambda: _pack(book)))


def opened(data: bytes) -> PriceBook:
    """Unpack a book that an engine has read; packed as it is, it goes on to the others."""
    book = pickle.loads(data)  # packed by an engine of ours
    assert isinstance(book, PriceBook)
    _packed(_ByKey(key(book), lambda: Shared(key(book), data)))
    return book


def stored(name: str, revision: str, content: bytes) -> Shared:
    """Pack a book as it is stored: it is an engine that reads it."""
    return packed(f"{name}@{revision}", _Stored(name, content))


def is_small(book: PriceBook) -> bool:
    """Whether what is done with all its rows takes no longer than some 50 ms."""
    return len(book.lumber) + len(book.hardware) + len(book.supplies) <= SMALL


def key(book: PriceBook) -> str:
    """Name a book's content, and the book."""
    return f"{book.name}@{book.revision}"


@dataclass(frozen=True, slots=True)
class _ByKey:
    """A book that is told from others by its key; pack: packs it."""

    key: str
    pack: Callable[[], Shared] = field(compare=False)


@lru_cache(maxsize=16)
def _packed(held: _ByKey) -> Shared:
    return held.pack()


def _pack(book: PriceBook) -> Shared:
    return packed(key(book), book) if is_small(book) else stored(book.name, book.revision, canonical(book))


@dataclass(frozen=True, slots=True)
class _Stored:
    """A book as it is stored; once it is unpacked, it is the book."""

    name: str
    content: bytes

    def __reduce__(self) -> tuple[Callable[[str, bytes], PriceBook], tuple[str, bytes]]:
        return reckoning.kept, (self.name, self.content)
