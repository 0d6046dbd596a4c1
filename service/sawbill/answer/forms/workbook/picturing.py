"""The pictures of a workbook's first sheet: furniture as it stands, in pixels, for sheets show no other."""

from __future__ import annotations

import struct
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from sawbill.drawings.catalogue import page
from sawbill.drawings.paper.sheet import inner
from sawbill.drawings.pixels import NoWriterError, png
from sawbill.drawings.subject import Subject

MOST: Final = 4
"""How many pictures are shown."""


@dataclass(frozen=True, slots=True)
class Picture:
    """Furniture as it stands; data: PNG (ISO/IEC 15948)."""

    title: str
    data: bytes

    @property
    def pixels(self) -> tuple[int, int]:
        """How wide and tall it is, as its header says (ISO/IEC 15948, 11.2.2)."""
        width, height = struct.unpack(">II", self.data[16:24])
        return width, height


def pictures(subjects: Iterable[Subject]) -> Sequence[Picture] | None:
    """Draw the first of these; None: what makes pixels is not installed."""
    try:
        return [_picture(subject) for subject in islice(subjects, MOST)]
    except NoWriterError:
        return None


def _picture(subject: Subject) -> Picture:
    drawn = page(subject, "isometric")
    assert drawn is not None
    return Picture(subject.title, png(inner(drawn, subject.paper, "furniture")))
