"""The catalogue of designs: made from their declarations, so it cannot fall behind them."""

from __future__ import annotations

from typing import Any, Final

from marshmallow import fields

from sawbill.prices.pricebook import PriceBook
from sawbill.trade.design import Design
from sawbill.trade.lengths import System
from sawbill.trade.lumber import section
from sawbill.trade.option import Option, Reading
from sawbill.web.schemas import fields as sent
from sawbill.web.schemas.fields import Sent

_EVERY: Final = {"least": None, "most": None, "choices": None, "measured": None, "role": None}
"""What some kinds of option have and others not."""


def summary_json(design: Design) -> dict[str, Any]:
    """Give what the list of designs tells of one."""
    return {"name": design.name, "title": design.title, "summary": design.summary}


def design_json(design: Design, book: PriceBook | None, units: System) -> dict[str, Any]:
    """Give all that may be asked of a design; defaults are those of a price book, or of a system without one."""
    reading = Reading(units, book.usual_section if book else lambda role: "", section)
    return {
        **summary_json(design),
        "references": list(design.references),
        "options": [_option(option, reading) for option in design.options],
        "schema": design.schema(),
    }


def _option(option: Option, reading: Reading) -> dict[str, Any]:
    told = {"name": option.name, "kind": option.kind, "help": option.help, "label": option.label}
    shown = {"heading": option.heading.title, "rare": option.rare}
    described = {**_EVERY, **option.describe(reading), "role": getattr(option, "role", None)}
    default = described.pop("default")
    return {**told, **shown, **described, "default": None if default == "" else default}


class DesignSummarySchema(Sent):
    """A design in the list."""

    name = sent.text("Its name, by which a request asks for it.", "slatted-bed")
    title = sent.text("What it is called.", "Slatted bed")
    summary = sent.text("What it is, in a sentence.", "A knock-down bed with loose slats.")


class DesignListSchema(Sent):
    """The designs on offer."""

    designs = sent.rows(DesignSummarySchema, "The designs, by name.")


def _any(description: str, example: object) -> fields.Raw:
    about = {"description": description, "examples": [example]}
    return fields.Raw(required=True, allow_none=True, metadata=about)


class OptionSchema(Sent):
    """What may be asked of a design; what its kind has no use for is null."""

    name = sent.text("Its name: a key of options, or a query parameter.", "clear_height")
    kind = sent.text(
        "What kind of value it takes.", "length", choices=["length", "count", "choice", "flag", "section", "mattress"]
    )
    help = sent.text(
        "What it decides of the furniture, in a sentence.", "Clear height underneath the rails and the beam."
    )
    label = sent.text("What a form may call it.", "Clear height")
    heading = sent.text("What a form may list it under, with others of this heading.", "Size")
    rare = sent.flag("Whether few ever set it, so that a form may fold it away.", example=False)
    unit = sent.text("What its values are measured in, or how they are written.", "length with its unit")
    least = _any("The least it may be: a length, or a count.", {"mm": 101.6, "text": "4 in"})
    most = _any("The most it may be: a length, or a count.", {"mm": 609.6, "text": "24 in"})
    choices = fields.List(
        sent.text("A word it may be.", "queen"), required=True, allow_none=True,
        metadata={"description": "The words it may be; null where it is no choice of words."},
    )  # fmt: skip
    measured = _any(
        "For a mattress, the least and the most of each side that may be given in place of a listed size.",
        {"width": {"least": {"mm": 457.2, "text": "18 in"}, "most": {"mm": 2286, "text": "90 in"}}},
    )
    role = sent.text("For a section, the role by which a price book names its usual one.", "rail", none=True)
    default = _any(
        "What it is when it is not given; null for a section without a price book, whose usual one is taken.",
        {"mm": 203.2, "text": "8 in"},
    )


class DesignSchema(DesignSummarySchema):
    """A design, with all that may be asked of it."""

    references = sent.rows(
        sent.text("A standard or a practice.", "common practice, no source"),
        "The standards and practices that it follows.",
    )
    options = sent.rows(OptionSchema, "The options, in the order of the design.")
    schema = fields.Raw(
        required=True,
        metadata={
            "description": "JSON Schema of the object options in a request.",
            "type": "object",
            "additionalProperties": True,
            "examples": [{"type": "object"}],
        },
    )
