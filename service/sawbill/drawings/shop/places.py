"""Where each carried piece stands, and from where its sheet looks at it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Final

from sawbill.drawings.paper.scale import counted, printed_span
from sawbill.drawings.paper.table import Table
from sawbill.drawings.shop.datum import Span, datum
from sawbill.drawings.shop.folding import folded
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import bounds

FEW: Final = 2
"""Up to so many places are told in a line each, and not in a table."""


def place_tables(subject: Subject) -> list[Table]:
    """One row for a piece, or for pieces alike that stand in a row."""
    alike: dict[tuple[str, ...], list[tuple[str, ...]]] = defaultdict(list)
    for piece in subject.pieces:
        letters = " ".join(dict.fromkeys(subject.labels[key] for key in piece.parts))
        alike[piece.kind, letters].append(piece.parts)
    rows = [
        (counted(kind, count), letters, *cells)
        for (kind, letters), pieces in alike.items()
        for count, *cells in _rows(subject, pieces)
    ]
    remark = f"each with each; the picture of the whole shows the {subject.frame.sides.y[0]} side in front"
    return [Table("WHERE EACH PIECE STANDS", remark, ("piece", "parts", *_columns(subject), "seen"), _words(rows))]


def standing_table(subject: Subject, pieces: Sequence[tuple[str, ...]]) -> Table:
    """Where all stand that one sheet is for, and from where each is seen as the sheet shows it."""
    rows = _rows(subject, pieces)
    if len(rows) <= FEW:
        columns = _columns(subject)
        told = [
            "; ".join([*(f"{cell} {column}" for cell, column in zip(cells, columns, strict=True)), f"seen {seen}"])
            for _, *cells, seen in rows
        ]
        name = "WHERE IT STANDS" if len(pieces) == 1 else "WHERE THEY STAND"
        return Table(name, ". ".join(told), (), ())
    return Table("WHERE THEY STAND", "each with each", ("how many", *_columns(subject), "seen"), _words(rows))


def _columns(subject: Subject) -> tuple[str, str, str]:
    """From which side each of three spans is counted."""
    sides = subject.frame.sides
    return f"from the {sides.x[0]}", f"from the {sides.y[0]}", "above the floor"


def _rows(subject: Subject, pieces: Sequence[tuple[str, ...]]) -> list[tuple[int, str, str, str, str]]:
    """How many, their spans along three axes, and from where they are seen; those that agree but for one as one."""
    whole = subject.frame.bounds
    alike: dict[str, list[tuple[Span, Span, Span]]] = defaultdict(list)
    for parts in pieces:
        boxes = subject.boxes(parts)
        box = bounds(boxes)
        a, b, c = ((box.low[k] - whole.low[k], box.high[k] - whole.low[k]) for k in range(3))
        alike[subject.seen_from(datum(boxes, whole).view)].append((a, b, c))
    found = []
    for seen, places in alike.items():
        for row in folded(places):
            x, y, z = (", ".join(printed_span(span, subject.system) for span in values) for values in row)
            found.append((len(row[0]) * len(row[1]) * len(row[2]), x, y, z, seen))
    return found


def _words(rows: Sequence[tuple[object, ...]]) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(str(cell) for cell in row) for row in rows)
