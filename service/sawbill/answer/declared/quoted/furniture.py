"""What is built: frames, measured."""

from __future__ import annotations

from typing import Any

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import Answered, Json
from sawbill.answer.declared.quoted.checks import NamedLength
from sawbill.answer.declared.quoted.placed import Placed, PlacedFrame
from sawbill.answer.declared.rounded import kilograms, square_metres
from sawbill.answer.declared.writing import QuoteWriting
from sawbill.asked.lines import Line
from sawbill.quoting.summaries import FrameSummary


class Areas(Answered):
    """Faces of all frames together."""

    glued_m2 = f.number(
        "Faces that are glued to each other, each pair once [m2].", 0.85, lambda off, _: square_metres(off.glued)
    )
    bare_m2 = f.number(
        "Faces left bare, to sand and finish [m2].", 11.2, lambda off, _: square_metres(off.exposed)
    )  # fmt: skip


class Size(Answered):
    """Outer size."""

    length = f.length("Along the bed or shelf.", 2159, "85 in", lambda size, _: size[0])
    width = f.length("Across it.", 1625.6, "64 in", lambda size, _: size[1])
    height = f.length("From the floor.", 342.9, "13 1/2 in", lambda size, _: size[2])


class CarriedPiece(Answered):
    """A piece that is carried as one when the frame is taken apart."""

    name = f.text("What the piece is called.", "left rail")
    count = f.whole("How many are alike.", 1)
    longest = f.length("Its longest side.", 2159, "85 in")
    mass_kg = f.number("The mass of one [kg], to a tenth.", 12.3, lambda piece, _: kilograms(piece.mass_g))


def _line(frame: FrameSummary, out: QuoteWriting) -> Line:
    return out.quote.request.lines[frame.line]


def _placed(summary: FrameSummary, out: QuoteWriting) -> PlacedFrame | None:
    frame = _line(summary, out).frame
    return PlacedFrame(frame, out.work.drilling[summary.line]) if frame and out.quote.request.placed else None


class Frame(Answered):
    """A frame, measured."""

    line = f.whole("The line of the request, from 0.", 0)
    label = f.text("What the line is called.", "guest room", lambda frame, out: out.label(frame.line))
    design = f.text("The design, by name.", "slatted-bed", lambda frame, out: _line(frame, out).design)
    quantity = f.whole("How many of it the line asks for.", 2, lambda frame, out: _line(frame, out).quantity)
    size = f.group(Size, "Its outer size: length, width and height.")
    mattress_tops = f.rows(NamedLength, "How high its mattresses reach above the floor.")
    mass_kg = f.number("The mass of one frame [kg], to a tenth.", 61.4, lambda frame, _: kilograms(frame.mass_g))
    carried_pieces = f.rows(CarriedPiece, "The pieces it comes apart into, each with its size and mass.")
    placed = f.group(Placed, "Every part in its place, where `placed` asks for it; else null.", _placed, none=True)

    @classmethod
    def written(cls, value: Any, out: Any) -> Json:
        """Write it once, though an answer has the only one twice."""
        kept: dict[int, Json] = out.frames
        if value.line not in kept:
            kept[value.line] = super().written(value, out)
        return kept[value.line]
