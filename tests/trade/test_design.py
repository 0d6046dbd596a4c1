"""Designs: every fault of their options at once, refusals, schema, and what is wrong with a declaration."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import jsonschema
import pytest

from sawbill.registry import designs
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.design import Design, OptionFault, OptionFaultsError, Options, RefusalError
from sawbill.trade.frame import Frame, Part, Placement
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.lumber import section
from sawbill.trade.option import Choice, Count, Length, Mattress, Option

READING = Reading("inch", lambda role: "2x4")


def build(o: Options) -> Frame:
    """One stick of the length asked for; a long one may not be red."""
    if o.length > 90 * INCH and o.colour == "red":
        raise RefusalError("colour", "colour: a stick over 90 in cannot be red; choose blue")
    return Frame((Part("stick", "stick", section("2x4"), o.length, Placement((0, 0, 0), "x", "z")),))


STICK = Design(
    name="stick",
    title="A stick",
    summary="One stick.",
    options=(
        Length("length", "How long.", default=60 * INCH, least=10 * INCH, most=96 * INCH),
        Count("count", "How many.", default=1, least=1, most=9),
        Choice("colour", "Which colour.", choices=("red", "blue"), default="red"),
        Mattress("bed", "Which mattress.", default="queen"),
    ),
    build=build,
    references=("common practice, no source",),
)


def faults(raw: dict[str, Any]) -> tuple[OptionFault, ...]:
    with pytest.raises(OptionFaultsError) as caught:
        STICK.frame(raw, READING)
    return caught.value.faults


def test_unset_options_have_their_defaults_and_set_ones_are_read() -> None:
    options = STICK.read({"length": "70 in"}, READING)
    assert (options.length, options.count, options["colour"], options.bed.name) == (70 * INCH, 1, "red", "queen")
    assert dict(options) == {name: options[name] for name in ("length", "count", "colour", "bed")}
    assert len(options) == 4


def test_an_option_that_is_not_declared_is_no_attribute() -> None:
    with pytest.raises(AttributeError, match="declares no option 'width'"):
        _ = Options({}).width


def test_lengths_are_brought_to_the_step_as_each_system_says_them() -> None:
    """By hand: 1/8 in steps are 3.175 mm; 25 mm is 7 of them and a bit."""
    said = {"inch": INCH, "metric": 25 * MM}
    inch, metric = Options({}, "inch", INCH // 8), Options({}, "metric", INCH // 8)
    assert (inch.at_least(said), inch.near(said), inch.at_most(said)) == (INCH, INCH, INCH)
    assert (metric.at_least(said), metric.near(said), metric.at_most(said)) == (INCH, INCH, INCH * 7 // 8)
    assert (metric.near(11 * MM), metric.near(INCH // 16)) == (INCH * 3 // 8, 0)


def test_every_faulty_and_unknown_option_is_told_at_once() -> None:
    found = faults({"length": "1 km", "count": 0, "color": "red", "bed": {"width": "60", "length": "80 in"}})
    assert {(fault.option, fault.code, fault.within) for fault in found} == {
        ("length", "out-of-range", None),
        ("count", "out-of-range", None),
        ("color", "unknown-option", None),
        ("bed", "not-a-length", "width"),
    }
    [unknown] = [fault for fault in found if fault.option == "color"]
    assert unknown.message == "stick has no option color; did you mean colour?"


def test_an_option_like_no_other_is_told_what_there_is() -> None:
    [fault] = faults({"zzz": 1})
    assert fault.message == "stick has no option zzz; it has length, count, colour, bed"


def test_a_long_name_of_an_unknown_option_is_cut_short() -> None:
    [fault] = faults({"z" * 5000: 1})
    assert len(fault.message) < 200


def test_a_refusal_names_the_option_to_change() -> None:
    assert faults({"length": "91 in"}) == (
        OptionFault("colour", "refused", "colour: a stick over 90 in cannot be red; choose blue"),
    )
    assert STICK.frame({"length": "91 in", "colour": "blue"}, READING).parts[0].length == 91 * INCH


def test_a_fault_of_an_option_comes_before_any_refusal() -> None:
    assert [fault.code for fault in faults({"length": "91 in", "count": 0})] == ["out-of-range"]


def test_the_same_options_give_the_same_frame() -> None:
    assert STICK.frame({"length": "5 ft"}, READING) == STICK.frame({"length": "60 in"}, READING)


# ---- schema


def test_the_schema_is_valid_and_closed_and_helps() -> None:
    schema = STICK.schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    valid = jsonschema.Draft202012Validator(schema).is_valid
    assert valid({})
    assert valid({"length": "60 in", "count": 2, "colour": "blue", "bed": {"size": "queen"}})
    assert not valid({"width": "60 in"})
    assert not valid({"count": 10})
    assert {name: each["description"] for name, each in schema["properties"].items()} == {
        option.name: option.help for option in STICK.options
    }


@pytest.mark.parametrize("name", sorted(designs()))
def test_the_schema_of_every_design_on_offer_is_valid_and_allows_its_defaults(name: str) -> None:
    design = designs()[name]
    jsonschema.Draft202012Validator.check_schema(design.schema())
    for system in ("inch", "metric"):
        told = {o.name: o.describe(Reading(system, lambda role: "2x4")) for o in design.options}  # type: ignore[arg-type]
        written = {
            name: default["text"] if isinstance(default := each["default"], dict) else default
            for name, each in told.items()
        }
        assert jsonschema.Draft202012Validator(design.schema()).is_valid(written)


# ---- declarations


def test_a_good_declaration_has_no_faults() -> None:
    assert STICK.faults() == []


def optioned(change: Callable[[tuple[Option, ...]], tuple[Option, ...]]) -> Design:
    return replace(STICK, options=change(STICK.options))


@pytest.mark.parametrize(
    ("design", "fault"),
    [
        (replace(STICK, name="Stick"), "its name 'Stick' is not lower-case letters and hyphens"),
        (replace(STICK, name="stick_one"), "its name 'stick_one' is not lower-case letters and hyphens"),
        (replace(STICK, name=""), "its name '' is not lower-case letters and hyphens"),
        (replace(STICK, title=""), "it has no title"),
        (replace(STICK, summary=""), "it has no summary"),
        (replace(STICK, references=()), "it has no references"),
        (optioned(lambda o: (*o, o[0])), "option 'length' is declared twice"),
        (
            optioned(lambda o: (*o[:2], replace(o[2], fastener="bolt"), *o[3:])),
            "option 'colour' has sizes of no bolt: red, blue",
        ),
        (optioned(lambda o: (*o, replace(o[1], name="step"))), "option 'step' has a name that `Options` needs itself"),
        (
            optioned(lambda o: (replace(o[0], name="long-ness"), *o[1:])),
            "option 'long-ness' is not lower-case letters and underscores",
        ),
        (optioned(lambda o: (replace(o[0], help=" "), *o[1:])), "option 'length' has no help"),
        (
            optioned(lambda o: (replace(o[0], default=9 * INCH), *o[1:])),
            "option 'length': its default is out of its range",
        ),
        (
            optioned(lambda o: (replace(o[0], metric_default=97 * INCH), *o[1:])),
            "option 'length': its default is out of its range",
        ),
        (
            optioned(lambda o: (o[0], replace(o[1], default=10), *o[2:])),
            "option 'count': its default is out of its range",
        ),
        (
            optioned(lambda o: (*o[:2], replace(o[2], metric_default="green"), o[3])),
            "option 'colour': its default is none of its choices",
        ),
    ],
)  # fmt: skip
def test_a_bad_declaration_is_told(design: Design, fault: str) -> None:
    assert design.faults() == [fault]


def test_a_mattress_that_is_not_listed_is_no_default() -> None:
    [fault] = optioned(lambda o: (*o[:3], replace(o[3], default="emperor"))).faults()
    assert fault.startswith("option 'bed': bed: there is no mattress size 'emperor'")


def test_options_know_which_of_them_were_asked_for() -> None:
    sides = (Length(name, "How long.", default=INCH, least=INCH, most=9 * INCH) for name in ("width", "depth"))
    design = replace(STICK, options=tuple(sides))
    found = design.read({"width": "2 in"}, READING)
    assert found.asked == {"width"} == found.having(depth=3 * INCH).asked
    assert found.having(depth=3 * INCH).depth == 3 * INCH and found.depth == INCH
    assert Options({"width": INCH}).asked == {"width"}
