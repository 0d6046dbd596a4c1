"""The packaged tables of the trade: one CSV each, read once, every row with its source."""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final, Protocol, TypeVar

Row = Mapping[str, str]

SOURCE: Final = "source"
_SHOWN: Final = 12
_SIGNS: Final = str.maketrans({"×": "x", "#": "no", '"': "in", "″": "in", "”": "in", "\u2044": "/"})  # noqa: RUF001
_MOST_READ: Final = 60


class TableError(ValueError):
    """A packaged table that is damaged, named by file and line."""


class UnknownNameError(ValueError):
    """A name that no table lists; `nearest` holds the listed names most like it."""

    def __init__(self, kind: str, name: str, known: Iterable[str]) -> None:
        names = {simplified(each): each for each in known}
        near = difflib.get_close_matches(simplified(name[:_MOST_READ]), names, n=5, cutoff=0.6)
        self.nearest = tuple(names[each] for each in near)
        shown = name if len(name) <= _MOST_READ else f"{name[:_MOST_READ]}…"
        super().__init__(f"there is no {kind} {shown!r}; {_remedy(self.nearest, tuple(names.values()))}")


class Named(Protocol):
    """Anything that a table lists under a name."""

    @property
    def name(self) -> str:
        """The name, unique in its table."""


T = TypeVar("T")
N = TypeVar("N", bound=Named)


@cache
def rows(
    table: str, *columns: str, may_be_empty: tuple[str, ...] = (), package: str = "sawbill.trade"
) -> tuple[Row, ...]:
    """Read a table, packaged under `data` of a package, that has exactly these columns and a source.

    Raises TableError: another heading, a row too short or too long, an empty cell where none may be.
    """
    heading, *lines = csv.reader(_text(table, package).splitlines(), strict=True)
    if heading != [*columns, SOURCE]:
        raise TableError(f"{table}.csv, line 1: the columns are {heading}, not {[*columns, SOURCE]}")
    return tuple(_row(f"{table}.csv, line {n}", heading, cells, may_be_empty) for n, cells in enumerate(lines, 2))


def by_name(things: Iterable[N]) -> Mapping[str, N]:
    """Key things by their names, in their order. Raises TableError: two that a name could mean."""
    known: dict[str, N] = {}
    seen: set[str] = set()
    for thing in things:
        if (plain := simplified(thing.name)) in seen:
            raise TableError(f"the name {thing.name!r} is listed twice")
        seen.add(plain)
        known[thing.name] = thing
    return MappingProxyType(known)


def find(kind: str, name: str, known: Mapping[str, T]) -> T:
    """Find what is listed under a name, whatever its case, spaces, hyphens and brackets.

    Raises UnknownNameError: nothing is; the message gives the nearest names.
    """
    if name in known:
        return known[name]
    wanted = simplified(name) if len(name) <= _MOST_READ else name
    for listed, thing in known.items():
        if simplified(listed) == wanted:
            return thing
    raise UnknownNameError(kind, name, known)


@lru_cache(maxsize=1_024)
def simplified(name: str) -> str:
    """Reduce a name to what tells it from others: `2 × 4` to `2x4`, `No. 2` and `#2` to `no2`."""  # noqa: RUF002
    plain = name.casefold().translate(_SIGNS)
    return re.sub(r"(?<=\d)\s*inch(?:es)?$", "in", re.sub(r"(?<=[a-z])\.|[\s_()-]", "", plain))


def _text(table: str, package: str) -> str:
    return (files(package) / "data" / f"{table}.csv").read_text(encoding="utf-8")


def _row(place: str, heading: list[str], cells: list[str], may_be_empty: tuple[str, ...]) -> Row:
    if len(cells) != len(heading):
        raise TableError(f"{place}: it has {len(cells)} cells, not {len(heading)}")
    row = {column: cell.strip() for column, cell in zip(heading, cells, strict=True)}
    for column, cell in row.items():
        if not cell and column not in may_be_empty:
            raise TableError(f"{place}: the column {column} is empty")
    return MappingProxyType(row)


def _remedy(nearest: tuple[str, ...], known: tuple[str, ...]) -> str:
    if nearest:
        return f"the nearest known are {', '.join(nearest)}"
    more = f" and {len(known) - _SHOWN} more" if len(known) > _SHOWN else ""
    return f"known are {', '.join(known[:_SHOWN])}{more}"
