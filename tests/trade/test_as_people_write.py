"""What people write though no rule asks them to: what is plain is read, what is not is answered with what would be."""

import pytest

from sawbill.trade.declaring.reading import OptionError, Reading
from sawbill.trade.fasteners import find_bolt
from sawbill.trade.lengths import CM, FOOT, INCH, MM, LengthError, parse_length
from sawbill.trade.option import Flag, Mattress
from sawbill.trade.quantities import parse_quantity

INCHES, METRIC = Reading("inch", str), Reading("metric", str)
MATTRESS = Mattress("mattress", "", "queen", "eu-140")
FLAG = Flag("guard", "", default=False)


@pytest.mark.parametrize(
    ("written", "nm"),
    [
        ("10 in.", 10 * INCH),
        ("74 1\u20442 in", 74 * INCH + INCH // 2),
        ("1500 millimetres", 1500 * MM),
        ("1500 Millimeters", 1500 * MM),
        ("2 metres", 200 * CM),
        ("90 cm.", 90 * CM),
        ("5 ft. 3 in.", 5 * FOOT + 3 * INCH),
        ("5\u20323\u2033", 5 * FOOT + 3 * INCH),
        ("12\u202fmm", 12 * MM),
    ],
)
def test_a_length_is_read_as_it_is_written(written, nm):
    assert parse_length(written) == nm


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("2,5 in", ["2.5 in"]),
        ("1892,5 mm", ["1892.5 mm"]),
        ("1,25 m", ["1.25 m"]),
        ("1,500 mm", ["1.500 mm", "1500 mm"]),
    ],
)
def test_a_comma_is_answered_with_the_length_that_it_means_and_that_is_read(written, meant):
    with pytest.raises(LengthError) as refused:
        parse_length(written)
    assert all(each in str(refused.value) and parse_length(each) for each in meant)


@pytest.mark.parametrize(
    ("written", "dimension", "like"),
    [
        ("50 lbs", "mass", "50 lb"),
        ("50 pounds", "mass", "50 lb"),
        ("1 pound", "mass", "1 lb"),
        ("20 kgs", "mass", "20 kg"),
        ("2 litres", "volume", "2 l"),
        ("1 gallon", "volume", "1 gal"),
        ("8 fl. oz", "volume", "8 fl oz"),
    ],
)
def test_a_unit_is_read_by_its_whole_word(written, dimension, like):
    assert parse_quantity(written, dimension) == parse_quantity(like, dimension)


@pytest.mark.parametrize("written", ["3/8 in", '3/8"', "3/8 inch", "3\u20448 in", "3/8\u2033"])
def test_a_bolt_is_found_however_its_size_is_written(written):
    assert find_bolt(written).name == "3/8 in"


@pytest.mark.parametrize(("written", "meant"), [("on", True), ("1", True), ("YES", True), ("off", False), ("0", False)])
def test_yes_and_no_have_other_words(written, meant):
    assert FLAG.read(written, INCHES) is meant


@pytest.mark.parametrize(
    ("written", "width", "length"),
    [
        ("140x200 cm", 140 * CM, 200 * CM),
        ("140 x 200 cm", 140 * CM, 200 * CM),
        ("200 × 140cm", 140 * CM, 200 * CM),  # noqa: RUF001
        ("60x80 in", 60 * INCH, 80 * INCH),
        ("60 1/2 x 80 in", 60 * INCH + INCH // 2, 80 * INCH),
        ('60" x 80"', 60 * INCH, 80 * INCH),
        ("60 x 80 x 12 in", 60 * INCH, 80 * INCH),
    ],
)
def test_one_unit_at_the_end_is_that_of_all_sides_of_a_mattress(written, width, length):
    read = MATTRESS.read(written, INCHES)
    assert (read.name, read.width, read.length) == ("measured", width, length)


def test_sides_without_any_unit_are_refused():
    with pytest.raises(OptionError, match="it has no unit"):
        MATTRESS.read("60x80", INCHES)


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("cal king", "california-king"),
        ("King size", "king"),
        ("super king", "uk-super-king"),
        ("small double", "uk-small-double"),
        ("long single", "au-long-single"),
    ],
)
@pytest.mark.parametrize("reading", [INCHES, METRIC])
def test_a_mattress_is_found_by_what_sellers_call_it(written, name, reading):
    assert MATTRESS.read(written, reading).name == name


@pytest.mark.parametrize(("written", "name"), [("double", "full"), ("single", "twin")])
def test_what_markets_call_alike_is_the_american_one_in_inches_and_else_refused_with_each(written, name):
    assert MATTRESS.read(written, INCHES).name == name
    with pytest.raises(OptionError, match="means different sizes") as refused:
        MATTRESS.read(written, METRIC)
    named = [each for each in (f"uk-{written}", f"au-{written}", name) if f"{each} (" in str(refused.value)]
    assert [MATTRESS.read(each, METRIC).name for each in named] == [f"uk-{written}", f"au-{written}", name]
