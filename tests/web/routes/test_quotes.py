import json
import re
from decimal import Decimal

import pytest

from sawbill.web.reckoning import writing


@pytest.fixture
def quote(client, holds):
    """Post a request that is answered with a quote, held against its description."""

    def post(**request):
        answer = client.post("/v1/quotes", json={"price_book": "sample-inch", **request})
        assert answer.status_code == 200, answer.text
        holds("Quote", answer.json)
        return answer.json

    return post


def part(section, length, quantity=1, **more):
    return {"section": section, "length": length, "quantity": quantity, **more}


def test_own_parts_and_hardware_are_bought(quote):
    answer = quote(
        lines=[
            {
                "label": "wall shelf",
                "parts": [part("1x8", "30 in", 3, name="shelf")],
                "hardware": [{"item": "wood screw", "size": "#8", "length": "2 in", "quantity": 12}],
                "quantity": 2,
            }
        ]
    )
    (cut,) = answer["cut_list"]
    assert (cut["part"], cut["name"], cut["section"], cut["quantity"]) == ("A", "shelf", "1x8", 6)
    assert cut["length"] == {"mm": 762, "text": "30 in"}
    (screws,) = answer["hardware"]
    assert screws["quantity"] == 24
    assert sum(pack["pack"] * pack["count"] for pack in screws["packs"]) == 24 + screws["left_over"]
    assert answer["frames"] == [] and answer["frame"] is None and answer["checks"] == []


def test_designs_and_own_parts_share_one_purchase(quote, queen):
    bed = {"label": "bed", "design": "slatted-bed", "options": {"mattress": "queen"}}
    answer = quote(lines=[bed, {"label": "cleats", "parts": [part("2x4", "8 in", 2, name="cleat")]}])
    assert [line["label"] for line in answer["lines"]] == ["bed", "cleats"]
    assert {cut["line"] for cut in answer["cut_list"]} == {0, 1}
    planned = {}
    for board in answer["cutting_plan"]:
        for cut in board["cuts"]:
            planned[cut["part"]] = planned.get(cut["part"], 0) + cut["parts"] * board["count"]
    for cut in answer["cut_list"]:
        assert planned[cut["part"]] >= cut["quantity"]
    assert answer["frame"] == answer["frames"][0], "one line alone names a design"
    assert answer["frame"]["size"] == queen.json["frame"]["size"]
    cents = int(answer["totals"]["lumber"].replace(".", "")) - int(queen.json["totals"]["lumber"].replace(".", ""))
    assert cents >= 0, "two cleats more cannot make the boards cheaper"


def test_two_designs_have_a_frame_each_and_none_stands_for_both(quote):
    bed = {"design": "slatted-bed", "options": {"mattress": "twin"}}
    answer = quote(lines=[{**bed, "label": "left"}, {**bed, "label": "right"}])
    assert [frame["label"] for frame in answer["frames"]] == ["left", "right"]
    assert answer["frame"] is None


def test_leftovers_go_into_the_next_request_as_they_are(quote):
    lines = [{"parts": [part("2x4", "40 in")]}]
    first = quote(lines=lines, lumber={"grades": ["No.2"]}, shop={"keep_offcut": "12 in"})
    (leftover,) = first["leftovers"]
    assert leftover["length"]["mm"] > 40 * 25.4, "a board is 8 ft at least"
    second = quote(lines=lines, on_hand=first["leftovers"])
    assert second["shopping_list"] == []
    assert second["totals"]["lumber"] == "0.00"
    (board,) = second["cutting_plan"]
    assert board["on_hand"] is True and board["item_code"] is None
    assert board["stock_length"] == leftover["length"]
    assert (board["species"], board["grade"]) == (leftover["species"], leftover["grade"])


def test_leftovers_of_boards_of_no_known_kind_come_back_so(quote):
    on_hand = [{"section": "2x4", "length": "8 ft"}]
    answer = quote(lines=[{"parts": [part("2x4", "40 in")]}], on_hand=on_hand)
    (leftover,) = answer["leftovers"]
    assert leftover["species"] is None and leftover["grade"] is None
    again = quote(lines=[{"parts": [part("2x4", "40 in")]}], on_hand=answer["leftovers"])
    assert again["shopping_list"] == []


def test_spare_boards_are_bought_marked_and_left_whole(quote):
    lines = [{"parts": [part("2x4", "90 in")]}]
    answer = quote(lines=lines, shop={"spare_boards": 2, "keep_offcut": "24 in"})
    assert sum(row["spare"] for row in answer["shopping_list"]) == 2
    spare = [row for row in answer["leftovers"] if row["length"]["mm"] > 90 * 25.4]
    assert sum(row["quantity"] for row in spare) == 2


def test_short_leftovers_are_not_worth_listing(quote):
    lines = [{"parts": [part("2x4", "40 in")]}]
    assert quote(lines=lines, shop={"keep_offcut": "100 in"})["leftovers"] == []


def test_a_part_that_may_be_shorter_is_told_what_that_saves(quote):
    shelf = part("1x8", "32 in", 6, name="shelf")
    (miss,) = quote(lines=[{"parts": [{**shelf, "shortest": "31 3/4 in"}]}])["near_misses"]
    assert (miss["part"], miss["length"]["text"], miss["shorter"]["text"]) == ("A", "32 in", "31 3/4 in")
    saved = quote(lines=[{"parts": [{**shelf, "length": miss["shorter"]["text"]}]}])["totals"]["total"]
    total = quote(lines=[{"parts": [shelf]}])["totals"]["total"]
    assert 0 <= Decimal(total) - Decimal(saved) - Decimal(miss["saves"]) <= Decimal("0.01"), "told safely, to a cent"


@pytest.mark.parametrize(("key", "most"), [("offcut_value", "50 %"), ("extra_for_fewer_setups", "10 %")])
def test_a_share_may_be_nothing_up_to_its_limit(quote, problem_of, body, key, most):
    lines = [{"parts": [part("2x4", "40 in")]}]
    for share in ("0 %", "0.0001%", most):
        assert quote(lines=lines, shop={key: share})["totals"]["lumber"]
    body["shop"] = {key: f"{most.removesuffix(' %')}.0001 %"}
    (error,) = problem_of("POST", "/v1/quotes", json=body)["errors"]
    assert error["code"] == "out-of-range"
    assert error["detail"].endswith(f"it may be 0 % to {most}")


def test_a_bed_is_held_against_the_site_it_is_for(quote):
    bed = {"design": "slatted-bed", "options": {"mattress": "queen"}}
    site = {
        "room_length": "14 ft",
        "room_width": "9 ft",
        "ceiling": "8 ft",
        "door_swing": "32 in",
        "door_width": "30 in",
        "door_height": "78 in",
        "one_person": "20 lb",
        "indoors": True,
        "vehicle_length": "60 in",
        "vehicle_width": "48 in",
        "vehicle_height": "32 in",
    }
    answer = quote(lines=[bed], site=site)
    checks = {check["rule"]: check for check in answer["checks"]}
    assert checks["one-person"]["required"] == "<= 20 lb"
    assert checks["one-person"]["status"] == "warn" and checks["one-person"]["parts"]
    assert checks["room-width"]["found"] == answer["frame"]["size"]["length"]["text"]
    assert checks["walking-space"]["status"] == checks["door-swing"]["status"] == "pass"
    assert checks["vehicle-length"]["status"] == "warn"
    assert "site" not in checks, "all of it is told"
    warnings = {warning["code"]: warning for warning in answer["warnings"]}
    assert warnings["one-person"]["mass_kg"] == max(p["mass_kg"] for p in answer["frame"]["carried_pieces"])
    assert warnings["board-longer-than-vehicle"]["lengths"][0]["length"] == answer["load_home"]["longest"]
    boards = [row["length"]["mm"] for row in answer["shopping_list"] if row["kind"] == "lumber"]
    assert answer["load_home"]["longest"]["mm"] == max(boards)


def test_every_fault_of_a_site_is_told_with_its_pointer(problem_of, body):
    body["site"] = {"ceiling": 8, "room_length": "1 km", "one_person": "1 kg", "celing": "8 ft", "indoors": "so"}
    errors = {error["pointer"]: error["code"] for error in problem_of("POST", "/v1/quotes", json=body)["errors"]}
    assert errors == {
        "/site/ceiling": "not-text",
        "/site/celing": "unknown-key",
        "/site/indoors": "not-a-flag",
        "/site/one_person": "out-of-range",
        "/site/room_length": "out-of-range",
    }


@pytest.mark.parametrize(("units", "text"), [("inch", "30 in"), ("metric", "762 mm")])
def test_lengths_are_written_in_the_asked_system_and_mean_the_same(quote, units, text):
    answer = quote(units=units, lines=[{"parts": [part("1x8", "30 in")]}])
    assert answer["units"] == units
    assert answer["cut_list"][0]["length"] == {"mm": 762, "text": text}


def test_only_lumber_that_will_do_is_bought(quote):
    answer = quote(lines=[{"parts": [part("2x4", "60 in")]}], lumber={"grades": ["Stud"]})
    assert {row["grade"] for row in answer["shopping_list"]} == {"Stud"}


def test_the_same_request_gives_the_same_bytes_in_whatever_order_its_keys_stand(client, body):
    first = client.post("/v1/quotes", json=body)
    turned = json.dumps(dict(reversed(body.items())))
    second = client.post("/v1/quotes", data=turned, headers={"Content-Type": "application/json"})
    assert first.data == second.data
    assert first.headers["Cache-Control"] == "no-store"


def test_the_interface_s_own_example_is_answered(quote):
    answer = quote(
        units="inch",
        lines=[
            {
                "label": "guest room",
                "design": "slatted-bed",
                "options": {"mattress": "queen", "clear_height": "8 in"},
                "quantity": 2,
            },
            {
                "label": "wall shelf",
                "parts": [part("1x8", "30 in", 3, name="shelf")],
                "hardware": [{"item": "wood screw", "size": "#8", "length": "2 in", "quantity": 12}],
                "quantity": 1,
            },
        ],
        on_hand=[{"section": "2x4", "species": "SPF", "grade": "No.2", "length": "36 in", "quantity": 5}],
        shop={
            "kerf": "1/8 in",
            "end_trim": "1/2 in",
            "longest_board": "12 ft",
            "keep_offcut": "12 in",
            "spare_boards": 1,
        },
    )
    assert answer["frame"]["quantity"] == 2
    assert answer["frame"]["label"] == "guest room"


# ---- what the maker has, and what he may ask for it


def test_owned_hardware_is_used_before_any_is_bought(quote):
    screws = {"item": "wood screw", "size": "#8", "length": "2 in"}
    lines = [{"hardware": [{**screws, "quantity": 12}]}]
    (bought,) = quote(lines=lines, owned_hardware=[{**screws, "quantity": 5}])["hardware"]
    assert (bought["quantity"], bought["owned"]) == (12, 5)
    assert sum(pack["pack"] * pack["count"] for pack in bought["packs"]) == 7 + bought["left_over"]
    answer = quote(lines=lines, owned_hardware=[{**screws, "quantity": 12}])
    assert answer["shopping_list"] == [] and answer["totals"]["total"] == "0.00"
    assert answer["hardware"][0]["packs"] == []


def test_owned_glue_is_told_in_its_unit(quote):
    bed = {"design": "slatted-bed", "options": {"mattress": "twin"}}
    (glue,) = quote(lines=[bed], owned_supplies=[{"item": "wood glue", "amount": "1 l"}])["supplies"]
    assert (glue["unit"], glue["packs"], glue["left_over"], glue["amount"]) == ("ml", [], 0, "0.00")
    assert glue["owned"] == glue["quantity"] > 0


def test_money_is_set_aside_only_when_asked_for(quote):
    lines = [{"parts": [part("2x4", "40 in", 7)]}]
    plain, careful = quote(lines=lines), quote(lines=lines, pricing={"contingency": "12.5 %"})
    assert (plain["totals"]["contingency"], plain["totals"]["budget"]) == ("0.00", plain["totals"]["total"])
    totals = {name: Decimal(amount) for name, amount in careful["totals"].items()}
    exact = (totals["total"] - totals["trips"]) * Decimal("0.125")
    assert abs(totals["contingency"] - exact) <= Decimal("0.005")
    assert totals["budget"] == totals["total"] + totals["contingency"]
    same = {"contingency", "budget"}
    assert {k: v for k, v in plain["totals"].items() if k not in same} == {
        k: v for k, v in careful["totals"].items() if k not in same
    }, "nothing is bought of it"


def test_selling_prices_stand_side_by_side_and_are_off_by_default(quote):
    lines = [{"label": "bench", "design": "bench", "options": {"finish": "oil"}}]
    plain = quote(lines=lines)
    assert plain["labour"] is None and plain["selling_prices"] == []
    pricing = {"labour_rate": "24", "factor": "2.5", "markup": "30 %", "margin": "25 %", "contingency": "10 %"}
    answer = quote(lines=lines, pricing=pricing)
    minutes, budget = answer["hands_on_minutes"], Decimal(answer["totals"]["budget"])
    labour = answer["labour"]
    others = [answer[name]["least"] for name in ("finishing_minutes", "taking_apart_minutes")]
    assert min(others) > 0, "there is finishing and taking apart, and neither is paid unless asked for"
    assert labour["rate"] == "24.00"
    assert Decimal(labour["least"]) == minutes["least"] * Decimal("0.40")
    assert Decimal(labour["most"]) == minutes["most"] * Decimal("0.40")
    both = quote(lines=lines, pricing={**pricing, "labour_for": ["finishing", "making"]})
    longer = minutes["most"] + answer["finishing_minutes"]["most"]
    assert Decimal(both["labour"]["most"]) == longer * Decimal("0.40")
    prices = {each["method"]: each for each in answer["selling_prices"]}
    assert list(prices) == ["materials-times-factor", "materials-and-labour", "cost-plus-markup", "cost-and-margin"]
    assert Decimal(prices["materials-and-labour"]["most"]) == budget + Decimal(labour["most"])
    assert abs(Decimal(prices["materials-times-factor"]["amount"]) - budget * Decimal("2.5")) <= Decimal("0.005")
    left = Decimal(prices["cost-and-margin"]["least"]) * 3 / 4
    assert abs(left - budget - Decimal(labour["least"])) <= Decimal("0.01")
    assert prices["cost-and-margin"]["rule"].startswith("(materials and labour) / (100 % - 25 %)")


def test_the_page_of_several_lines_tells_what_each_bears_and_whose_each_part_is(quote):
    lines = [
        {"label": "seat", "design": "bench", "quantity": 2},
        {"label": "cleats", "parts": [part("2x4", "8 in", 2)]},
    ]
    answer = quote(lines=lines, pricing={"contingency": "10 %", "labour_rate": "24", "markup": "30 %"})
    page = writing.quote((), json.dumps(answer).encode(), writing.Look("html", "/v1/quotes/1"), writing.Title("a book"))
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))
    for share in answer["shares"]:
        assert f"{share['label']} {share['quantity']} {share['each']}" in text and f" {share['total']} " in text
    for told in (answer["totals"]["contingency"], answer["totals"]["budget"], answer["labour"]["most"]):
        assert f" {told} " in text
    (both, marked_up) = answer["selling_prices"]
    assert f"{both['rule']} {both['least']} {both['amount']} {both['most']}" in text
    assert f"{marked_up['rule']} {marked_up['least']} {marked_up['amount']} {marked_up['most']}" in text
    cuts = text[text.index("Cut list") :]
    assert cuts.index("seat") < cuts.index(answer["cut_list"][0]["name"]) < cuts.index("cleats")
    assert f"{answer['steps'][0]['title']} , seat" in text
