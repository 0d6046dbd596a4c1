"""The quote as JSON: what it holds is described, adds up, and needs no web framework."""

import subprocess
import sys
from decimal import Decimal

from sawbill import __version__


def test_every_key_that_is_sent_is_described_and_the_reverse(queen, holds):
    holds("Quote", queen.json)


def test_a_key_that_is_not_described_would_be_noticed(queen, holds):
    import jsonschema
    import pytest

    answer = queen.json
    answer["totals"]["extra"] = "1.00"
    with pytest.raises(jsonschema.ValidationError, match="extra"):
        holds("Quote", answer)
    answer = queen.get_json(force=True)
    del answer["cut_list"][0]["ripped"]
    with pytest.raises(jsonschema.ValidationError, match="ripped"):
        holds("Quote", answer)


def test_the_shopping_list_adds_up_to_the_totals(queen):
    quote = queen.json
    spent = {"lumber": Decimal(0), "hardware": Decimal(0), "supply": Decimal(0)}
    kinds = [row["kind"] for row in quote["shopping_list"]]
    assert kinds == sorted(kinds, key=list(spent).index), "lumber, then hardware, then supplies"
    for row in quote["shopping_list"]:
        assert Decimal(row["each"]) * row["quantity"] == Decimal(row["amount"])
        spent[row["kind"]] += Decimal(row["amount"])
    totals = {name: Decimal(amount) for name, amount in quote["totals"].items()}
    assert spent == {"lumber": totals["lumber"], "hardware": totals["hardware"], "supply": totals["supplies"]}
    assert totals["trips"] == sum(Decimal(trip["amount"]) for trip in quote["trips"])
    assert totals["total"] == sum(spent.values()) + totals["trips"] + totals["tax"]
    assert 0 < totals["used"] <= sum(spent.values())
    for group, kind in (("hardware", "hardware"), ("supplies", "supply")):
        assert sum(Decimal(row["amount"]) for row in quote[group]) == spent[kind]


def test_each_board_is_used_up_by_trim_cuts_kerf_and_leftover(queen):
    for board in queen.json["cutting_plan"]:
        used = board["trim"]["mm"] + board["kerf"]["mm"] + board["leftover"]["mm"]
        used += sum(cut["length"]["mm"] for cut in board["cuts"])
        assert round(used, 6) == round(board["stock_length"]["mm"], 6)
        ends = [cut["at"]["mm"] + cut["length"]["mm"] for cut in board["cuts"]]
        starts = [cut["at"]["mm"] for cut in board["cuts"]]
        assert all(end < start for end, start in zip(ends, starts[1:], strict=False)), "a kerf lies between any two"


def test_the_boards_that_are_cut_are_the_boards_that_are_bought(queen):
    quote = queen.json
    bought = {
        row["item_code"]: row["quantity"] - row["spare"] for row in quote["shopping_list"] if row["kind"] == "lumber"
    }
    cut = dict.fromkeys(bought, 0)
    for board in quote["cutting_plan"]:
        cut[board["item_code"]] += board["count"]
    assert cut == bought


def test_the_checks_and_warnings_name_parts_of_the_cut_list(queen):
    quote = queen.json
    parts = {cut["part"] for cut in quote["cut_list"]}
    for row in (*quote["checks"], *quote["warnings"]):
        assert set(row["parts"]) <= parts
    gap = next(check for check in quote["checks"] if check["rule"] == "slat-gap")
    assert gap["required"] == "<= 3 in"
    assert gap["status"] == "pass"
    slat = next(cut["part"] for cut in quote["cut_list"] if cut["name"] == "slat")
    assert gap["parts"] == [slat]


def test_the_frame_is_measured(queen):
    frame = queen.json["frame"]
    assert frame["size"]["height"]["mm"] == 342.9
    assert frame["mattress_tops"][0]["length"]["mm"] > frame["size"]["height"]["mm"]
    pieces = sum(piece["count"] * piece["mass_kg"] for piece in frame["carried_pieces"])
    assert abs(pieces - frame["mass_kg"]) < 2, "the pieces, each to a tenth, weigh what the frame weighs"
    assert max(piece["longest"]["mm"] for piece in frame["carried_pieces"]) == frame["size"]["length"]["mm"]


def test_the_answer_names_the_engine_and_what_it_was_made_from(queen, client):
    quote = queen.json
    book = client.get("/v1/price-books/sample-inch").json
    assert quote["engine"] == __version__
    assert quote["price_book"]["revision"] == book["revision"]
    assert quote["price_book"]["as_of"] == book["as_of"]


def test_the_mapping_needs_no_web_framework():
    """The command line uses it, and starts without Flask and marshmallow."""
    code = "import sys; import sawbill.answer.quote; print([m for m in ('flask', 'marshmallow') if m in sys.modules])"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert ran.stdout.strip() == "[]"
