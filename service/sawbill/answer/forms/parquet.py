"""A table as Parquet, some rows at a time, by PyArrow, which is an extra (`sawbill[parquet]`).

Amounts are decimals with four places, other numbers 64 bits wide; what there is not is null.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from importlib.util import find_spec
from typing import TYPE_CHECKING, Final

from sawbill.answer.columns import Cell, Column, Json, Table

if TYPE_CHECKING:
    import pyarrow

DIGITS: Final = 24
PLACES: Final = 4
"""Of an amount, in all and behind the point: as many as the currencies with the most have (ISO 4217: CLF, UYW)."""


def is_there() -> bool:
    """Whether PyArrow is installed."""
    return find_spec("pyarrow") is not None


def columns(table: Table, answer: Json) -> bytes:
    """Write a table's rows as columns. Raises ImportError: PyArrow is not installed."""
    import pyarrow

    schema = _schema(table)
    cells = list(zip(*table.rows(answer), strict=True)) or [()] * len(table.columns)
    arrays = [
        pyarrow.array([_value(column, cell) for cell in of], type=field.type)
        for column, field, of in zip(table.columns, schema, cells, strict=True)
    ]
    sink = pyarrow.BufferOutputStream()
    with pyarrow.ipc.new_stream(sink, schema) as writer:
        writer.write_batch(pyarrow.record_batch(arrays, schema=schema))
    return bytes(sink.getvalue())


def file_of(parts: Iterable[bytes]) -> Iterator[bytes]:
    """Write a file from columns that came in parts, each a row group. Raises ImportError: PyArrow is not installed."""
    import pyarrow
    from pyarrow import parquet

    sink, writer = _Sink(), None
    for part in parts:
        rows = pyarrow.ipc.open_stream(part).read_all()
        if writer is None:
            writer = parquet.ParquetWriter(sink, rows.schema, compression="zstd")
        writer.write_table(rows)
        yield sink.taken()
    if writer is not None:
        writer.close()
        yield sink.taken()


class _Sink:
    """A file that is handed on as it is written."""

    closed = False

    def __init__(self) -> None:
        self._written = bytearray()

    def write(self, data: bytes) -> int:
        self._written += data
        return len(data)

    def taken(self) -> bytes:
        taken, self._written = bytes(self._written), bytearray()
        return taken

    def flush(self) -> None:
        """Nothing is held back."""

    def close(self) -> None:
        """Nothing is to be closed."""


def _schema(table: Table) -> pyarrow.Schema:
    import pyarrow

    kinds = {
        "text": pyarrow.string(), "whole": pyarrow.int64(), "number": pyarrow.float64(), "flag": pyarrow.bool_(),
        "money": pyarrow.decimal128(DIGITS, PLACES),
    }  # fmt: skip
    return pyarrow.schema([pyarrow.field(column.name, kinds[column.kind]) for column in table.columns])


def _value(column: Column, cell: Cell) -> Cell | float:
    return float(cell) if column.kind == "number" and isinstance(cell, Decimal) else cell
