"""A comparison with more rows than are held at once: judged, told and written some rows at a time."""

from __future__ import annotations

import json
import time
import zlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sawbill.answer.compared import judged_json
from sawbill.answer.comparison import comparison_table
from sawbill.answer.forms import parquet
from sawbill.answer.forms.csvform import csv_bytes
from sawbill.answer.forms.jsonform import json_bytes
from sawbill.cutting import Status
from sawbill.prices.pricebook import PriceBook
from sawbill.quoting.comparing.compared import Compared
from sawbill.quoting.comparing.comparison import compare
from sawbill.quoting.comparing.grid import Grid
from sawbill.quoting.comparing.judging import judged
from sawbill.quoting.comparing.noted import row_read, row_text
from sawbill.quoting.comparing.standing import Ints, Numbers, Standing


@dataclass(frozen=True, slots=True)
class Stood:
    """How the rows stand; counts: how many there are of each kind; options: the columns of options, in their order."""

    standing: Standing
    counts: Mapping[str, int]
    options: tuple[str, ...]


def packed(lines: Iterable[bytes]) -> bytes:
    """Pack rows, a line each."""
    return zlib.compress(b"\n".join(lines))


def lines_of(part: bytes) -> list[bytes]:
    """Unpack rows, a line each."""
    return zlib.decompress(part).split(b"\n")


@dataclass(frozen=True, slots=True)
class Made:
    """Rows that were made: what each came to, a line each.

    proofs: how far the purchases of those that have one are proven; seconds: how long all took [s].
    """

    lines: tuple[bytes, ...]
    proofs: tuple[Status, ...]
    seconds: float


def made(books: Sequence[PriceBook], compared: Compared, numbers: range, places: Sequence[int]) -> Made:
    """Make some rows, one after the other; places: of the books that are shared, among those of the comparison."""
    began, at = time.perf_counter(), dict(zip(places, books, strict=True))
    rows = list(compare(compared.combinations[numbers.start : numbers.stop], compared.common, at))
    proofs = tuple(row.figures.proof for row in rows if row.figures is not None)
    return Made(tuple(row_text(row).encode() for row in rows), proofs, time.perf_counter() - began)


def standing(books: Sequence[PriceBook], compared: Compared, parts: Sequence[bytes]) -> Stood:
    """Judge the rows of all parts among each other, of which only their numbers are held."""
    numbers, counts = Numbers(books, compared.wishes), Counter[str]()
    every = (line for part in parts for line in lines_of(part))
    for combination, line in zip(compared.combinations, every, strict=True):
        row = row_read(line, combination)
        numbers.add(row)
        counts[row.status] += 1
    stood = numbers.standing()
    counts.update(rows=counts.total(), shown=len(stood))
    return Stood(stood, dict(counts), tuple(_options(compared.combinations, stood.numbers)))


def _options(grid: Grid, numbers: Ints) -> Iterable[str]:
    """Name the options of rows in the order in which they come up."""
    places, first = np.unique(np.searchsorted(grid.ends, numbers, side="right"), return_index=True)
    entries = [grid.entries[place] for place in places[np.argsort(first)].tolist()]
    return dict.fromkeys(name for entry in entries for name in (*entry.options, *grid.swept(entry)))


def told(
    books: Sequence[PriceBook], compared: Compared, lines: Sequence[bytes], standing: Standing, baseline: bytes | None
) -> bytes:
    """Write rows as they are told, in the order of their standing; lines: what they came to; baseline: likewise."""
    grid, wanted = compared.combinations, compared.wishes.baseline
    other = None if baseline is None or wanted is None else row_read(baseline, grid[wanted])

    def each() -> Iterator[bytes]:
        for (number, best, outdone), line in zip(standing, lines, strict=True):
            row = judged(row_read(line, grid[number]), best, outdone, other, books)
            yield json_bytes(judged_json(compared, books, row)).rstrip(b"\n")

    return packed(each())


def csv(_: Sequence[PriceBook], lines: bytes, options: Sequence[str], first: bool, bom: bool) -> bytes:
    """Write rows as CSV; first: whether the column names go before them; bom: whether a byte order mark does."""
    answer = _answer(lines)
    data = csv_bytes(comparison_table(answer, options), answer, bom=bom)
    return data if first else data.partition(b"\r\n")[2]


def columns(_: Sequence[PriceBook], lines: bytes, options: Sequence[str]) -> bytes:
    """Write rows as columns of Arrow; whoever asks has seen that what writes them is installed."""
    answer = _answer(lines)
    return parquet.columns(comparison_table(answer, options), answer)


def _answer(lines: bytes) -> dict[str, object]:
    return {"rows": [json.loads(line) for line in lines_of(lines) if line]}
