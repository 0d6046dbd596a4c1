"""What a problem holds (RFC 9457), for the interface's description."""

from __future__ import annotations

from marshmallow import fields

from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Sent


class FaultSchema(Sent):
    """One fault: where it is, if it has a place in the request, and what would be right."""

    pointer = fields.String(
        metadata={
            "description": "Its place in the request's body (RFC 6901).",
            "examples": ["/lines/0/options/slat_gap"],
        }
    )
    parameter = fields.String(
        metadata={"description": "The parameter that is wrong, of the query or the path.", "examples": ["slat_gap"]}
    )
    file = fields.String(metadata={"description": "The file of an archive it is in.", "examples": ["lumber.csv"]})
    line = fields.Integer(metadata={"description": "Its line in that file, from 1.", "examples": [12]})
    sheet = fields.String(metadata={"description": "The sheet of a workbook it is in.", "examples": ["lumber"]})
    row = fields.Integer(metadata={"description": "Its row in that sheet, from 1.", "examples": [12]})
    column = fields.String(
        metadata={"description": "The column in that file or sheet, or the setting.", "examples": ["price"]}
    )
    code = sent.text("A word for it that programs may go by; it stays the same in later versions.", "out-of-range")
    detail = sent.text("What is wrong and what would be right.", "slat_gap is 1 km; it may be 1/2 in to 4 in")
    parts = fields.List(
        fields.String(),
        metadata={"description": "The parts it concerns, as the cut list would name them.", "examples": [["A"]]},
    )


class ProblemSchema(Sent):
    """A problem (RFC 9457)."""

    type = sent.text("The kind of problem: a stable address, which explains it.", "/problems/invalid-request")
    title = sent.text("The kind of problem in words.", "The request has mistakes in it")
    status = sent.whole("The status of the answer, once more.", 422)
    detail = sent.text("What went wrong this time, for a person to read.", "2 mistakes")
    retryable = sent.flag("Whether the same request may go through later.", example=False)
    errors = sent.rows(FaultSchema, "Each mistake; empty where there is nothing to point at.")
