"""The fields of a page's form, held against what is declared."""

import pytest

from sawbill.registry import designs
from sawbill.web.http.queries import PRICED, QUOTE
from sawbill.web.written.asking.questions import questions

BOOKS = [("sample-inch", "Inch prices"), ("sample-metric", "Metric prices")]


def fields(asked):
    return [each for group in (*asked.of_design, asked.prices, *asked.beside) for each in group.fields]


def asked(design, book, given=None, faults=None):
    return questions(designs()[design], given or {}, book, BOOKS, faults or {})


@pytest.mark.parametrize("name", sorted(designs()))
@pytest.mark.parametrize("book", ["sample-inch", "sample-metric", None])
def test_a_form_asks_once_for_all_that_an_address_may_say(samples, name, book):
    """The names come from the queries' own lists, and a form without a price book has them too."""
    found = [each.name for each in fields(asked(name, samples.get(book)))]
    options = [option.name for option in designs()[name].options]
    assert sorted(found) == sorted([*QUOTE, *(each.name for each in PRICED), *options])


@pytest.mark.parametrize("name", sorted(designs()))
@pytest.mark.parametrize(("units", "other"), [("inch", " mm"), ("metric", " in")])
def test_usual_lengths_and_ranges_are_told_in_the_system_asked_for(inch, name, units, other):
    listed = fields(asked(name, inch, {"units": units}))
    told = [f"{each.usual} {' to '.join(each.range or ())}" for each in listed if each.shape == "text"]
    assert any("to" in each for each in told)
    assert not [each for each in told if each.rstrip(".").endswith(other)]


def test_what_stands_in_an_address_stands_in_the_form_even_what_may_not(inch):
    given = {"rail": "3x9", "slat_retention": "nails", "mattress": "50 in x 70 in", "clear_height": "-1"}
    found = {each.name: each for each in fields(asked("slatted-bed", inch, given))}
    for name, text in given.items():
        assert found[name].value == text
        if found[name].shape == "one":
            assert text in [value for _, group in found[name].listed for value, _ in group]
    assert found["mattress"].measured == "50 in x 70 in"


def test_a_fault_stands_at_its_field_which_is_never_folded_away(inch):
    told = asked("slatted-bed", inch, faults={"slat_clearance": ["too much"], "foo": ["no such thing"]})
    [group] = [group for group in told.of_design if any(each.faults for each in group.fields)]
    assert group.faulty
    assert [each.faults for each in group.usual if each.name == "slat_clearance"] == [("too much",)]
    assert told.elsewhere == ("no such thing",)
    assert told.faults == ("no such thing", "too much")


def test_what_is_told_beside_a_quote_is_carried_on_unless_it_is_at_fault(inch):
    given = {"trace": "bolts", "ways_out": "perhaps", "foo": "1"}
    assert asked("bench", inch, given, {"ways_out": ["yes or no"]}).carried == (("trace", "bolts"),)
