"""The table of a comparison."""

from sawbill.answer.comparison import comparison_table
from sawbill.answer.forms.csvform import csv_bytes
from sawbill.answer.forms.text import table_text

FIGURES = {
    "total": "12.50", "each": "6.25", "lumber": "8.00", "hardware": "2.00", "supplies": "1.00", "trips": "0.50",
    "tax": "1.00", "boards": 3, "waste": 0.0522, "mass_kg": 20.3, "longest_piece": {"mm": 1219.2, "text": "48 in"},
    "failed_checks": 0, "worst_check": "warn", "hands_on_minutes": {"least": 100, "most": 250}, "proof": "proven",
}  # fmt: skip


def row(number, figures=FIGURES, **more):
    usual = {
        "row": number, "label": "bench", "design": "bench", "options": {}, "left_out": [], "price_book": "inch",
        "revision": "0", "quantity": 2, "status": "quoted", "reasons": [], "currency": "USD", "best_in": [],
        "dominated_by": None, "difference": None,
    }  # fmt: skip
    return {**usual, **figures, **more}


REFUSED = row(
    1, dict.fromkeys(FIGURES), status="refused", currency="EUR", left_out=["rail", "slat"],
    reasons=[{"code": "out-of-range", "detail": "One."}, {"code": "refused", "detail": "Two."}],
)  # fmt: skip


def cells(*rows):
    answer = {"rows": list(rows)}
    head, *lines = csv_bytes(comparison_table(answer), answer).decode().split("\r\n")[:-1]
    return [dict(zip(head.split(","), line.split(","), strict=True)) for line in lines]


def test_numbers_are_plain_and_say_their_unit_in_their_column():
    (found,) = cells(row(0, best_in=["total", "boards"], dominated_by=4, difference={"total": "-3.10"}))
    assert found["total"] == "12.50" and found["currency"] == "USD"
    assert (found["waste"], found["mass_kg"], found["longest_piece_mm"]) == ("0.0522", "20.3", "1219.2")
    assert (found["hands_on_least"], found["hands_on_most"]) == ("100", "250")
    assert (found["best_in"], found["dominated_by"], found["difference"]) == ("total boards", "4", "-3.10")


def test_a_selling_price_has_a_column_for_each_way_that_may_be_asked_for():
    prices = [{"method": "cost-plus-markup", "rule": "", "least": "1.00", "amount": "2.00", "most": "3.00"}]
    asked, bare = cells(row(0, budget="13.75", selling_prices=prices), row(1))
    assert (asked["budget"], asked["cost_plus_markup"], asked["cost_and_margin"]) == ("13.75", "2.00", "")
    assert (bare["budget"], bare["cost_plus_markup"]) == ("", "")


def test_each_row_has_its_own_currency_and_a_row_without_a_quote_its_reasons():
    quoted, refused = cells(row(0), REFUSED)
    assert (quoted["currency"], refused["currency"]) == ("USD", "EUR")
    assert (refused["reason"], refused["left_out"], refused["status"]) == ("One. Two.", "rail slat", "refused")
    assert {refused[name] for name in ("total", "boards", "longest_piece", "hands_on_most", "difference")} == {""}


def test_every_option_that_any_row_has_is_a_column():
    first, second = cells(
        row(0, options={"mattress": {"width": "60 in", "length": "80 in"}, "headboard": True}),
        row(1, options={"shelves": 1, "headboard": False}),
    )
    assert (first["option_mattress"], first["option_headboard"], first["option_shelves"]) == (
        "60 in x 80 in",
        "yes",
        "",
    )
    assert (second["option_mattress"], second["option_headboard"], second["option_shelves"]) == ("", "no", "1")


def test_for_people_the_columns_that_are_empty_are_left_out():
    answer = {"rows": [row(0)]}
    text = table_text(comparison_table(answer), answer)
    assert "12.50" in text and "48 in" in text
    assert "difference" not in text and "reason" not in text
