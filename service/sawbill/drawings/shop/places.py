"""Where each carried piece stands, and from where its sheet looks at it."""

from __future__ import annotations

from collections import defaultdict

from sawbill.drawings.paper.scale import counted, printed_span
from sawbill.drawings.paper.table import Table
from sawbill.drawings.shop.datum import SEEN_FROM, Span, datum
from sawbill.drawings.shop.folding import folded
from sawbill.drawings.subject import Subject
from sawbill.trade.boxes import bounds


def place_tables(subject: Subject) -> list[Table]:
    """One row for a piece, or for pieces alike that agree in all but one place."""
    whole = subject.frame.bounds
    alike: dict[tuple[str, str, str], list[tuple[Span, Span, Span]]] = defaultdict(list)
    for piece in subject.pieces:
        box = bounds(subject.boxes(piece.parts))
        a, b, c = ((box.low[k] - whole.low[k], box.high[k] - whole.low[k]) for k in range(3))
        letters = " ".join(dict.fromkeys(subject.labels[key] for key in piece.parts))
        seen = SEEN_FROM[datum(subject.boxes(piece.parts), whole).view.name]
        alike[piece.kind, letters, seen].append((a, b, c))
    rows = []
    for (kind, letters, seen), places in alike.items():
        for row in folded(places):
            count = len(row[0]) * len(row[1]) * len(row[2])
            cells = (", ".join(printed_span(span, subject.system) for span in values) for values in row)
            rows.append((counted(kind, count), letters, *cells, seen))
    return [
        Table("WHERE EACH PIECE STANDS", "front: the side that the picture of the whole shows in front",
              ("piece", "parts", "from the left", "from the front", "above the floor", "its sheet looks"), tuple(rows))
    ]  # fmt: skip
