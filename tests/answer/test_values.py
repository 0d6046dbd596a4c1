"""Single values: by name, in units, and by a path through the quote's JSON."""

from decimal import Decimal

import pytest

from sawbill.answer.columns import plain
from sawbill.answer.values import VALUES, UnknownValueError, WrongUnitError, check_path, check_unit, value_of


def told(answer, path, unit=None):
    return plain(value_of(answer, path, unit).cell)


def test_money_is_as_the_quote_has_it_in_its_currency(answer):
    for name, amount in answer["totals"].items():
        found = value_of(answer, name)
        assert plain(found.cell) == amount and found.unit == answer["price_book"]["currency"]


@pytest.mark.parametrize("name", VALUES)
def test_every_named_value_is_found_in_a_bed_and_is_described(bed, name):
    value = VALUES[name]
    assert value.meaning.endswith(".")
    assert told(bed, name) != ""
    assert value.unit or value.kind in ("text", "whole")


def test_counts_are_those_of_the_lists(bed):
    assert told(bed, "boards") == str(sum(row["count"] for row in bed["cutting_plan"] if not row["on_hand"]))
    assert told(bed, "parts") == str(sum(row["quantity"] for row in bed["cut_list"]))
    assert told(bed, "failed_checks") == "0"
    assert told(bed, "worst_check") == "not_checked"
    assert (
        told({**bed, "checks": [{"status": "pass"}, {"status": "warn"}, {"status": "fail"}]}, "worst_check") == "fail"
    )
    assert told({**bed, "checks": [{"status": "pass"}, {"status": "warn"}]}, "warned_checks") == "1"
    strength = ("bending", "shear", "posts", "bolts", "bolted-end", "bearing", "screws", "racking")
    used = [check["utilisation"] for check in bed["checks"] if check["rule"] in strength]
    assert told(bed, "worst_utilisation") == plain(Decimal(str(max(used))))
    with pytest.raises(UnknownValueError, match="no single worst_utilisation"):
        told({**bed, "checks": []}, "worst_utilisation")


@pytest.mark.parametrize(
    ("unit", "length"),
    # A queen mattress is 80 in long and the side rail 85 in (2159 mm): the inch is 25.4 mm, the foot 12 in.
    [(None, "2159"), ("mm", "2159"), ("cm", "215.9"), ("m", "2.159"), ("in", "85"), ("ft", "7.0833")],
)
def test_a_length_is_in_millimetres_or_in_the_unit_asked_for(bed, unit, length):
    assert told(bed, "longest_part", unit) == length


def test_the_values_that_a_comparison_has_too_mean_the_same_there(bed):
    pieces = [piece for frame in bed["frames"] for piece in frame["carried_pieces"]]
    assert told(bed, "longest_piece") == plain(Decimal(str(max(piece["longest"]["mm"] for piece in pieces))))
    assert told(bed, "waste") == plain(Decimal(str(bed["waste"])))
    assert 0 < bed["waste"] < 0.2


def test_a_mass_is_in_kilograms_or_pounds(bed):
    kilograms = value_of(bed, "mass").cell
    assert kilograms == Decimal(str(bed["frame"]["mass_kg"]))
    pounds = value_of(bed, "mass", "lb")
    assert abs(pounds.cell * Decimal("0.45359237") - kilograms) < Decimal("0.0001") and pounds.unit == "lb"


@pytest.mark.parametrize(
    ("path", "unit", "remedy"),
    [
        ("total", "mm", "total takes no unit"),
        ("longest_part", "kg", "it may be mm, cm, m, in, ft"),
        ("mass", "in", "it may be kg, lb"),
        ("frame.mass_kg", "lb", "frame.mass_kg takes no unit"),
    ],
)
def test_a_unit_that_does_not_fit_is_refused_with_those_that_do(bed, path, unit, remedy):
    with pytest.raises(WrongUnitError, match=remedy):
        check_unit(path, unit)
    with pytest.raises(WrongUnitError):
        value_of(bed, path, unit)


def test_a_path_reaches_any_single_value_of_the_quote(bed):
    assert told(bed, "frame.size.height.text") == bed["frame"]["size"]["height"]["text"]
    assert told(bed, "cut_list.0.length.mm") == "2159"
    assert told(bed, "cutting_plan.0.on_hand") == "no"
    assert told(bed, "totals.total") == bed["totals"]["total"]


@pytest.mark.parametrize(
    ("path", "message"),
    [
        ("cut_list.999.name", "it has 9 entries, from 0"),
        ("cut_list.-1.name", "it has 9 entries, from 0"),
        ("frame.size.hight", "did you mean height"),
        ("frame.size.height", "no single value; go on with one of mm, text"),
        ("frame.mass_kg.x", "that is a single value already"),
        ("near_misses.0.part", "it has no entries"),
        ("cut_list.0.ripped", "this quote has no cut_list.0.ripped"),
        ("frame.", "there is no  in frame"),
    ],
)
def test_a_path_that_ends_nowhere_says_where_and_what_would_do(bed, path, message):
    with pytest.raises(UnknownValueError) as error:
        value_of({**bed, "near_misses": []}, path)
    assert message in str(error.value)


def test_a_value_that_this_quote_has_none_of_is_unknown(hostile):
    with pytest.raises(UnknownValueError, match="this quote has no single each"):
        value_of(hostile, "each")


def test_a_name_that_is_none_is_told_with_the_nearest():
    with pytest.raises(UnknownValueError, match="did you mean longest_piece"):
        check_path("longest_pice")
    check_path("frame.size")
