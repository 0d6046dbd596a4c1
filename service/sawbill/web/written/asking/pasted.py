"""Rows that were pasted into a page's form, from a sheet or typed: read as the rows of a request."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sawbill.asked.faults import RequestFault
from sawbill.prices.rows.cells import nearest
from sawbill.prices.rows.faults import shown
from sawbill.trade.declaring.members import Group

BETWEEN = ("\t", ";", ",")
"""What may stand between cells: tabs come from a sheet; the first of these that the text has is meant."""
WITHIN = "|"
"""What stands between the entries of one cell, where it may have several."""


@dataclass(frozen=True, slots=True)
class Pasted:
    """The rows of a text, each as the JSON of a request, with the line it stands in; faults: what is wrong so far."""

    rows: tuple[Mapping[str, Any], ...]
    lines: tuple[int, ...]
    faults: tuple[RequestFault, ...] = ()


def read(text: str, group: Group, order: Sequence[str]) -> Pasted:
    """Read a text; group: what a row may hold; order: of its cells, unless the first line names other columns."""
    between = next((each for each in BETWEEN if each in text), BETWEEN[-1])
    written = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    cells = [(number, [cell.strip() for cell in line.split(between)]) for number, line in written]
    columns, faults = [*order], list[RequestFault]()
    if cells and _is_heading(cells[0][1], group):
        number, columns = cells.pop(0)
        columns = [name.lower().replace(" ", "_") for name in columns]
        faults += [_unknown(number, name, group) for name in columns if name and name not in group.members]
    for number, row in cells:
        if len(row) > len(columns):
            told = f"line {number} has {len(row)} cells; it may have {len(columns)}: {', '.join(columns)}"
            faults.append(RequestFault((number,), "too-many", told))
    rows = [_row(columns, row, group) for _, row in cells]
    return Pasted(tuple(rows), tuple(number for number, _ in cells), tuple(faults))


def _is_heading(cells: Sequence[str], group: Group) -> bool:
    """Whether a line names columns: one cell that is such a name is enough, for no value is."""
    return any(cell.lower().replace(" ", "_") in group.members for cell in cells)


def _unknown(number: int, name: str, group: Group) -> RequestFault:
    told = f"line {number}: there is no column {shown(name)}; {nearest(name[:60], group.members)}"
    return RequestFault((number,), "unknown-column", told)


def _row(columns: Sequence[str], cells: Sequence[str], group: Group) -> dict[str, Any]:
    given = {name: text for name, text in zip(columns, cells, strict=False) if name in group.members and text}
    return {name: group.members[name].kind.from_text(text, WITHIN) for name, text in given.items()}
