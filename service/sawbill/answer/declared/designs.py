"""The designs on offer, and all that may be asked of one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final, NamedTuple

from sawbill.answer.declared import fields as f
from sawbill.answer.declared.fields import PLAIN, Answered, Json
from sawbill.prices.pricebook import PriceBook
from sawbill.trade import design, option
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.lengths import System
from sawbill.trade.lumber import section

KINDS: Final = ("length", "lengths", "count", "choice", "flag", "section", "mattress")


class Told(NamedTuple):
    """An option, and what it says of itself in a shop."""

    option: option.Option
    about: Json


class Shown(NamedTuple):
    """A design, and what its options say of themselves in a shop."""

    design: design.Design
    options: tuple[Told, ...]


def _about(key: str) -> f.Read:
    """What an option says, null where its kind says nothing of it."""
    return lambda told, _: told.about.get(key)


def _default(told: Told, _: Any) -> Any:
    return None if told.about["default"] == "" else told.about["default"]


class DesignSummary(Answered):
    """A design in the list."""

    name = f.text("Its name, by which a request asks for it.", "slatted-bed", "design.name")
    title = f.text("What it is called.", "Slatted bed", "design.title")
    summary = f.text("What it is, in a sentence.", "A knock-down bed with loose slats.", "design.summary")


class DesignList(Answered):
    """The designs on offer."""

    designs = f.rows(DesignSummary, "The designs, by name.", lambda found, _: found)


class Option(Answered):
    """What may be asked of a design; what its kind has no use for is null."""

    name = f.text("Its name: a key of options, or a query parameter.", "clear_height", "option.name")
    kind = f.text("What kind of value it takes.", "length", "option.kind", choices=KINDS)
    help = f.text(
        "What it decides of the furniture, in a sentence.", "Clear height underneath the rails and the beam.",
        "option.help",
    )  # fmt: skip
    label = f.text("What a form may call it.", "Clear height", "option.label")
    heading = f.text("What a form may list it under, with others of this heading.", "Size", "option.heading.title")
    rare = f.flag("Whether few ever set it, so that a form may fold it away.", "option.rare", example=False)
    unit = f.text("What its values are measured in, or how they are written.", "length with its unit", _about("unit"))
    least = f.either("The least it may be: a length, or a count.", {"mm": 101.6, "text": "4 in"}, _about("least"))
    most = f.either("The most it may be: a length, or a count.", {"mm": 609.6, "text": "24 in"}, _about("most"))
    choices = f.rows(
        f.text("A word it may be.", "queen"), "The words it may be; null where it is no choice of words.",
        _about("choices"), none=True,
    )  # fmt: skip
    measured = f.either(
        "For a mattress, the least and the most of each side that may be given in place of a listed size.",
        {"width": {"least": {"mm": 457.2, "text": "18 in"}, "most": {"mm": 2286, "text": "90 in"}}},
        _about("measured"),
    )
    role = f.text(
        "For a section, the role by which a price book names its usual one.", "rail",
        lambda told, _: getattr(told.option, "role", None), none=True,
    )  # fmt: skip
    default = f.either(
        "What it is when it is not given; null for a section without a price book, whose usual one is taken.",
        {"mm": 203.2, "text": "8 in"}, _default,
    )  # fmt: skip


class Design(DesignSummary):
    """A design, with all that may be asked of it."""

    references = f.rows(
        f.text("A standard or a practice.", "common practice, no source"),
        "The standards and practices that it follows.", "design.references",
    )  # fmt: skip
    options = f.rows(Option, "The options, in the order of the design.")
    schema = f.free(
        "JSON Schema of the object options in a request.", {"type": "object"}, lambda shown, _: shown.design.schema()
    )


def designs_json(found: Iterable[design.Design]) -> Json:
    """Give the list of designs as the JSON object of an answer."""
    return DesignList.written([Shown(each, ()) for each in found], PLAIN)


def design_json(found: design.Design, book: PriceBook | None, units: System) -> Json:
    """Give all that may be asked of a design; defaults are those of a price book, or of a system without one."""
    reading = Reading(units, book.usual_section if book else lambda role: "", section)
    told = tuple(Told(each, each.describe(reading)) for each in found.options)
    return Design.written(Shown(found, told), PLAIN)
