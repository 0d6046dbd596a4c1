"""One exception tells every fault, and a notebook shows it without the way through the package."""

from __future__ import annotations

import pickle

import pytest

import sawbill


@pytest.fixture(scope="module")
def faulty() -> sawbill.FaultsError:
    with pytest.raises(sawbill.FaultsError) as caught:
        sawbill.quote(
            "slatted-bed", mattres="queen", clear_height="1 in", shop={"kerfs": "1 mm", "kerf": 3}, site="small",
            on_hand=[{"section": "2x4", "length": 3}], trace=["bolt"], pricing={"contingency": 0.1},
        )  # fmt: skip
    return caught.value


def test_each_fault_has_its_field_value_and_what_would_be_right(faulty: sawbill.FaultsError) -> None:
    assert [(each.field, each.value, each.code) for each in faulty.faults] == [
        ("clear_height", "1 in", "out-of-range"),
        ("mattres", "queen", "unknown-option"),
        ("on_hand[0].length", 3, "not-a-length"),
        ("pricing.contingency", "0.1", "not-a-percentage"),
        ("shop.kerf", 3, "not-text"),
        ("shop.kerfs", "1 mm", "unknown-key"),
        ("site", "small", "not-an-object"),
        ("trace[0]", "bolt", "not-a-choice"),
    ]
    assert 'lengths_in="in"' in faulty.faults[2].detail


def test_its_text_is_a_line_for_each_fault_the_field_first(faulty: sawbill.FaultsError) -> None:
    first, *lines = str(faulty).split("\n")
    assert first == "8 mistakes"
    assert lines[0] == "  clear_height is 1 in; it may be 4 in to 24 in"
    assert lines[1] == "  mattres: slatted-bed has no option mattres; did you mean mattress?"


def test_a_notebook_shows_the_line_that_asked_and_the_faults(faulty: sawbill.FaultsError) -> None:
    where, told = faulty._render_traceback_()
    assert "sawbill.quote(" in where
    assert told == f"FaultsError: {faulty}"


def test_a_flood_of_faults_is_told_up_to_a_hundred() -> None:
    with pytest.raises(sawbill.FaultsError) as caught:
        sawbill.cut([("2x4", "long", 1)] * 130)
    assert len(caught.value.faults) == 130
    assert str(caught.value).count("\n") == 101 and str(caught.value).endswith("and 30 more")


def test_what_a_book_lacks_is_told_by_an_exception_of_its_own() -> None:
    with pytest.raises(sawbill.CannotBeBoughtError, match="2x4") as caught:
        sawbill.cut([("2x4", "500 in", 1)])
    assert isinstance(caught.value, sawbill.FaultsError) and caught.value.faults[0].code
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)
