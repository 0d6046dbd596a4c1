import json
import random
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sawbill.asked.lines import MOST_PARTS
from sawbill.prices.pricebook import content

JSON = {"Content-Type": "application/json"}
LEG = {"name": "leg", "section": "2x4", "length": "28 1/2 in", "quantity": 4}
SHELF = {"name": "shelf", "section": "1x8", "length": "32 in", "quantity": 6}


@pytest.fixture
def plan(client, holds):
    """Post pieces that are answered with a plan, held against its description."""

    def post(*pieces, **request):
        answer = client.post("/v1/cutting-plans", json={"price_book": "sample-inch", "pieces": pieces, **request})
        assert answer.status_code == 200, answer.text
        holds("PiecesPlan", answer.json)
        return answer.json

    return post


@pytest.fixture
def problem(problem_of):
    """Post a request that has a fault."""

    def post(*pieces, **request):
        body = {"price_book": "sample-inch", "pieces": pieces, **request}
        return problem_of("POST", "/v1/cutting-plans", data=json.dumps(body), headers=JSON)

    return post


@pytest.fixture(scope="session")
def yard(tiny_book):
    """A book, as a request may bring it, of 2x4s by length and price; no tax, a kerf of 1/8 in, no end trim."""

    def book(*boards, **rows):
        lumber = [{"length": length, "price": price, **rows} for length, price in boards]
        return content(tiny_book(lumber, tax_rate="0 %", suppliers=[{"name": "Yard"}]))

    return book


def piece(length, quantity=1, **more):
    return {"section": "2x4", "length": length, "quantity": quantity, **more}


# ---- what is answered


@pytest.mark.parametrize(
    ("book", "pieces", "text"),
    [
        ("sample-inch", [LEG, SHELF], "28 1/2 in"),
        ("sample-metric", [{"section": "45x95", "length": "724 mm", "quantity": 4}], "724 mm"),
    ],
)
def test_pieces_are_bought_and_cut_from_either_book(plan, book, pieces, text):
    answer = plan(*pieces, price_book=book)
    assert answer["price_book"]["name"] == book
    assert answer["cut_list"][0]["length"]["text"] == text
    assert [row["quantity"] for row in answer["cut_list"]] == [each["quantity"] for each in pieces]
    cut = dict.fromkeys((row["part"] for row in answer["cut_list"]), 0)
    for board in answer["cutting_plan"]:
        for each in board["cuts"]:
            cut[each["part"]] += board["count"]
    assert cut == {row["part"]: row["quantity"] for row in answer["cut_list"]}
    assert sum(row["count"] for row in answer["saw_stops"]) == sum(cut.values())
    assert answer["proof"]["status"] == "proven"
    assert answer["proof"]["bound"] == answer["totals"]["lumber"]


def test_a_plan_is_the_quote_of_one_line_of_own_parts_less_what_does_not_apply(client, plan):
    shop = {"kerf": "3 mm", "end_trim": "1/2 in"}
    on_hand = [{"section": "2x4", "length": "36 in", "quantity": 1}]
    common = {"price_book": "sample-inch", "units": "metric", "on_hand": on_hand, "shop": shop}
    common["lumber"] = {"grades": ["No.2", "2 Common"]}
    quote = client.post("/v1/quotes", json={**common, "lines": [{"parts": [LEG, SHELF]}]}).json
    answer = plan(LEG, SHELF, **common)
    assert any(board["on_hand"] for board in answer["cutting_plan"])
    for key in set(answer) - {"totals", "cut_list"}:
        assert answer[key] == quote[key], key
    assert answer["totals"].items() <= quote["totals"].items()
    assert set(quote["totals"]) - set(answer["totals"]) == {"hardware", "supplies", "contingency", "budget"}
    for row, whole in zip(answer["cut_list"], quote["cut_list"], strict=True):
        assert row.items() <= whole.items()
    assert set(quote) - set(answer) == {
        "lines", "shares", "hardware", "supplies", "load_home", "checks", "areas", "frames", "frame",
        "steps", "tools", "hands_on_minutes", "finishing_minutes", "taking_apart_minutes", "elapsed_minutes",
        "waiting_minutes", "labour", "pricing", "selling_prices", "waste",
        "calculations", "calculation_sources", "drilling", "drawings", "holding", "housings", "ways_out",
    }  # fmt: skip


def test_a_whole_book_may_come_with_the_pieces(client, plan):
    book = client.get("/v1/price-books/sample-inch").json
    inline, named = plan(LEG, price_book=book), plan(LEG)
    assert inline["price_book"] == named["price_book"] | {"name": "inline"}
    assert {**inline, "price_book": None} == {**named, "price_book": None}


def test_leftovers_go_into_the_next_plan_as_they_are(plan):
    first = plan(piece("40 in"))
    second = plan(piece("40 in"), on_hand=first["leftovers"])
    assert second["shopping_list"] == []
    assert second["totals"]["lumber"] == "0.00"


def test_the_same_request_gives_the_same_bytes_and_is_not_kept(client):
    body = {"price_book": "sample-inch", "pieces": [LEG, SHELF]}
    first = client.post("/v1/cutting-plans", json=body)
    turned = client.post("/v1/cutting-plans", data=json.dumps(dict(reversed(body.items()))), headers=JSON)
    assert first.data == turned.data
    assert first.headers["Cache-Control"] == "no-store"
    assert first.headers["Server-Timing"].startswith("engine;dur=")


def test_a_piece_that_may_be_shorter_is_told_what_that_saves(plan, yard):
    book = yard(("96 in", "5.00"), ("120 in", "7.00"))
    fixed = plan(piece("48 in", 2), price_book=book)
    assert fixed["near_misses"] == []
    (miss,) = plan(piece("48 in", 2, shortest="47 3/4 in"), price_book=book)["near_misses"]
    assert (miss["part"], miss["shorter"]["text"], miss["saves"]) == ("A", "47 15/16 in", "2.00")
    assert plan(piece("48 in", 2, shortest="48 in"), price_book=book)["near_misses"] == []


# ---- what the shop may ask for beside


def test_a_dearer_board_is_bought_for_a_larger_offcut_only_where_offcuts_are_worth_something(plan, yard):
    book = yard(("96 in", "5.00"), ("120 in", "5.50"))
    plain = plan(piece("90 in"), price_book=book)
    assert plain["totals"]["lumber"] == "5.00"
    nothing = {"gap": "0.00", "credited": "0.00", "setups_at_least": 1, "stage": ""}
    assert plain["proof"] | {"stage": ""} == {"status": "proven", "bound": "5.00", **nothing}
    valued = plan(piece("90 in"), price_book=book, shop={"offcut_value": "50 %"})
    assert valued["totals"]["lumber"] == "5.50"
    # 29 7/8 in are kept, at half of 5.50 / 120 in: 0.68, so that 4.82 bounds what any plan pays less its offcuts.
    assert valued["leftovers"][0]["length"]["text"] == "29 7/8 in"
    proof = valued["proof"]
    told = [proof[key] for key in ("status", "bound", "gap", "credited")]
    assert told == ["proven", "4.82", "0.00", "0.68"]
    short = plan(piece("90 in"), price_book=book, shop={"offcut_value": "50 %", "keep_offcut": "30 in"})
    assert short["totals"]["lumber"] == "5.00", "an offcut too short to keep is worth nothing"


def test_offcuts_are_worth_nothing_while_there_is_stock_on_hand_to_cut(plan, yard):
    book = yard(("96 in", "5.00"), ("120 in", "5.50"))
    on_hand = [{"section": "2x4", "length": "20 in"}]
    answer = plan(piece("90 in"), price_book=book, on_hand=on_hand, shop={"offcut_value": "50 %"})
    assert answer["totals"]["lumber"] == "5.00"
    assert answer["proof"]["status"] == "proven"


def test_more_is_paid_for_fewer_set_ups_where_it_may_be_and_the_gap_says_how_much(plan, yard):
    book = yard(("96 in", "5.00"), ("120 in", "6.20"), ("144 in", "7.60"))
    pieces = [piece("62 in", 4), piece("44 in", 6), piece("38 in", 2)]
    plain = plan(*pieces, price_book=book)
    assert (plain["totals"]["lumber"], len(plain["cutting_plan"])) == ("33.80", 3)
    easier = plan(*pieces, price_book=book, shop={"extra_for_fewer_setups": "10 %"})
    assert (easier["totals"]["lumber"], len(easier["cutting_plan"])) == ("34.80", 2)
    assert (easier["proof"]["bound"], easier["proof"]["gap"]) == ("33.80", "1.00")
    tight = plan(*pieces, price_book=book, shop={"extra_for_fewer_setups": "2 %"})
    assert tight["totals"]["lumber"] == "33.80", "1.00 is more than 2 %"


@pytest.mark.parametrize(("wish", "price"), [(True, "5.50"), ("yes", "5.50"), (False, "5.00"), ("no", "5.00")])
def test_a_sliver_is_cut_unless_it_may_not_be(plan, yard, wish, price):
    book = yard(("96 in", "5.00"), ("120 in", "5.50"))
    answer = plan(piece("95 15/16 in"), price_book=book, shop={"no_slivers": wish})
    assert answer["totals"]["lumber"] == price
    assert answer["proof"]["status"] == "proven"


def test_a_board_too_long_to_carry_is_bought_where_the_yard_cuts_it_and_its_lengths_are_told(plan, yard):
    """Three of 60 in: three boards of 8 ft, or one of 16 ft, of which two together are too long to carry."""
    book = yard(("8 ft", "5.00"), ("16 ft", "11.00"))
    shop = {"longest_board": "8 ft"}
    left_out = plan(piece("60 in", 3), price_book=book, shop=shop)
    assert left_out["totals"]["lumber"] == "15.00"
    assert all(board["yard_cuts"] == [] for board in left_out["cutting_plan"])
    answer = plan(piece("60 in", 3), price_book=book, shop={**shop, "yard_cuts": "yes"})
    assert (answer["totals"]["lumber"], answer["proof"]["status"]) == ("11.00", "proven")
    (board,) = answer["cutting_plan"]
    assert [cut["text"] for cut in board["yard_cuts"]] == ["60 in", "60 in", "71 3/4 in"]
    assert board["yard_squares"] is False
    assert board["leftover"]["text"] == "11 5/8 in"


def test_what_is_left_is_told_as_it_is_carried(plan, yard):
    shop = {"longest_board": "8 ft", "yard_cuts": True, "end_trim": "1/2 in"}
    answer = plan(piece("96 in"), price_book=yard(("18 ft", "11.00")), shop=shop)
    (board,) = answer["cutting_plan"]
    assert [cut["text"] for cut in board["yard_cuts"]] == ["96 in", "96 in", "23 1/4 in"]
    assert board["yard_squares"] is True
    assert [row["length"]["text"] for row in answer["leftovers"]] == ["96 in", "23 1/4 in"]


def test_each_piece_may_say_which_wood_will_do(plan, tiny_book):
    lumber = [
        {"length": "8 ft", "price": "5.00"},
        {"length": "8 ft", "price": "9.00", "grade": "No.1"},
    ]
    book = content(tiny_book(lumber, tax_rate="0 %", suppliers=[{"name": "Yard"}]))
    answer = plan(piece("60 in", grades=["#1"]), piece("60 in"), piece("30 in", species=["spf"]), price_book=book)
    assert answer["totals"]["lumber"] == "14.00"
    assert [row["grades"] for row in answer["cut_list"]] == [["No.1"], [], []]
    assert [row["species"] for row in answer["cut_list"]] == [[], [], ["SPF"]]
    grades = {cut["part"]: board["grade"] for board in answer["cutting_plan"] for cut in board["cuts"]}
    assert (grades["A"], grades["B"]) == ("No.1", "No.2")


def test_a_book_s_own_wishes_hold_and_a_request_changes_them(plan, yard):
    book = yard(("96 in", "5.00"), ("120 in", "5.50"))
    book["shop"] |= {"offcut_value": "50 %", "no_slivers": True}
    assert plan(piece("90 in"), price_book=book)["totals"]["lumber"] == "5.50"
    assert plan(piece("90 in"), price_book=book, shop={"offcut_value": "0 %"})["totals"]["lumber"] == "5.00"
    assert plan(piece("95 15/16 in"), price_book=book)["totals"]["lumber"] == "5.50"
    no = {"offcut_value": "0 %", "no_slivers": "no"}
    assert plan(piece("95 15/16 in"), price_book=book, shop=no)["totals"]["lumber"] == "5.00"


INCHES = st.integers(10, 90).map("{} in".format)
PRICES = st.integers(300, 900).map(lambda cents: f"{cents / 100:.2f}")


@given(
    st.lists(st.tuples(INCHES, st.integers(1, 5)), min_size=1, max_size=3),
    st.lists(st.tuples(st.sampled_from(["72 in", "96 in", "144 in"]), PRICES), max_size=3),
    st.lists(INCHES, max_size=1),
    st.sampled_from(["0 %", "25 %", "50 %"]),
    st.sampled_from(["0 %", "10 %"]),
)
@settings(max_examples=40, deadline=None)
def test_bound_gap_and_what_is_credited_make_up_what_is_paid_whatever_the_shop_asks_for(
    app, yard, pieces, boards, on_hand, value, extra
):
    def ask(**shop):
        body = {
            "price_book": yard(("96 in", "9.00"), *boards),
            "pieces": [piece(length, quantity) for length, quantity in pieces],
            "on_hand": [piece(length) for length in on_hand],
            "shop": shop,
        }
        answer = app.test_client().post("/v1/cutting-plans", json=body).json
        return Decimal(answer["totals"]["lumber"]), answer["proof"]

    least, proven = ask()
    assert proven["status"] == "proven"
    paid, proof = ask(offcut_value=value, extra_for_fewer_setups=extra)
    assert Decimal(proof["bound"]) <= least <= paid
    assert Decimal(proof["gap"]) == paid - Decimal(proof["credited"]) - Decimal(proof["bound"])
    assert (proof["status"] == "proven") == (proof["gap"] == "0.00")
    if value == "0 %":
        assert paid <= least * (1 if extra == "0 %" else Decimal("1.1"))


# ---- what is refused


def test_every_fault_is_named_at_once_where_the_caller_wrote_it(problem):
    told = problem(
        piece("30 in"),
        {"section": "2x5000", "length": "1 km", "quantity": 0},
        {"length": 30, "width": "3 in"},
        piece("30 in", shortest="31 in"),
        "leg",
        price_book="sample-inhc",
        units="feet",
        on_hand=[{"section": "2x4", "length": "36"}],
        shop={"kerf": "1 m", "offcut_value": "51 %", "extra_for_fewer_setups": "11 %", "no_slivers": "perhaps"},
        lumber={"species": ["Ironbork"]},
        lines=[],
    )
    assert told["status"] == 422
    assert {error["pointer"]: error["code"] for error in told["errors"]} == {
        "/price_book": "unknown-price-book",
        "/units": "not-a-choice",
        "/pieces/1/section": "unknown-section",
        "/pieces/1/length": "out-of-range",
        "/pieces/1/quantity": "out-of-range",
        "/pieces/2/section": "missing",
        "/pieces/2/length": "not-text",
        "/pieces/2/width": "unknown-key",
        "/pieces/3/shortest": "out-of-range",
        "/pieces/4": "not-an-object",
        "/on_hand/0/length": "not-a-length",
        "/shop/kerf": "out-of-range",
        "/shop/offcut_value": "out-of-range",
        "/shop/extra_for_fewer_setups": "out-of-range",
        "/shop/no_slivers": "not-a-flag",
        "/lumber/species/0": "unknown-name",
        "/lines": "unknown-key",
    }
    assert "lines/" not in json.dumps(told)


def test_an_empty_list_of_pieces_is_refused_by_its_name(problem):
    (error,) = problem()["errors"]
    assert (error["pointer"], error["code"]) == ("/pieces", "missing")
    assert error["detail"] == "the request has no pieces; give at least one"


def test_a_request_without_pieces_is_told_so_once(problem_of):
    told = problem_of("POST", "/v1/cutting-plans", data=b'{"price_book": "sample-inch"}', headers=JSON)
    assert [(error["pointer"], error["code"]) for error in told["errors"]] == [("/pieces", "missing")]


@pytest.mark.parametrize("more", [-1, 0])
def test_pieces_may_be_as_many_as_stated(plan, more):
    answer = plan(*[piece("30 in")] * (MOST_PARTS + more))
    assert len(answer["cut_list"]) == MOST_PARTS + more


def test_one_piece_more_is_refused(problem):
    (error,) = problem(*[piece("30 in")] * (MOST_PARTS + 1))["errors"]
    assert (error["pointer"], error["code"]) == ("/pieces", "too-many")
    assert error["detail"] == f"pieces has {MOST_PARTS + 1} entries; it may have {MOST_PARTS}"


def test_a_piece_longer_than_any_board_is_told_the_longest(problem):
    told = problem({**LEG, "length": "20 ft"})
    assert told["type"] == "/problems/cannot-be-bought"
    (error,) = told["errors"]
    assert (error["code"], error["parts"]) == ("no-board-long-enough", ["A"])
    assert "the 240 in leg" in error["detail"] and "the longest 2x4 is" in error["detail"]


def test_too_few_boards_are_told_with_how_many_pieces_go_without(problem, yard):
    told = problem(piece("90 in", 5, name="rail"), price_book=yard(("96 in", "5.00"), in_stock="3"))
    assert told["type"] == "/problems/cannot-be-bought"
    (error,) = told["errors"]
    assert error["code"] == "too-few-boards"
    assert "2 of 5 cannot be cut" in error["detail"]


def test_a_changed_book_a_wrong_type_and_a_wrong_method_are_problems_as_for_a_quote(problem, problem_of):
    assert problem(LEG, price_book="sample-inch@0")["type"] == "/problems/price-book-changed"
    assert problem_of("POST", "/v1/cutting-plans", data=b"{}")["type"] == "/problems/wrong-content-type"
    assert problem_of("GET", "/v1/cutting-plans")["type"] == "/problems/method-not-allowed"
    query = problem_of("POST", "/v1/cutting-plans?kerf=3mm", data=b"{}", headers=JSON)
    assert [error["parameter"] for error in query["errors"]] == ["kerf"]


def test_a_supplier_of_wood_that_is_on_hand_need_not_be_visited(plan, tiny_book):
    """10.00 for a board and 2.00 for the trip; the other section is met from wood on hand, its supplier 9.00 away."""
    wood = {"length": "96 in", "species": "SPF", "grade": "No.2"}
    rows = [
        {"supplier": "Near", "section": "2x4", "price": "10.00", **wood},
        {"supplier": "Far", "section": "2x6", "price": "20.00", **wood},
    ]
    suppliers = [{"name": "Near", "trip": "2.00"}, {"name": "Far", "trip": "9.00"}]
    book = content(tiny_book(rows, suppliers=suppliers, tax_rate="0 %"))
    pieces = [
        {"name": "rail", "section": "2x4", "length": "28 in", "quantity": 2},
        {"name": "end", "section": "2x6", "length": "24 in", "quantity": 1},
    ]
    own = [{"section": "2x6", "length": "80 in", "quantity": 1}]
    made = plan(*pieces, price_book=book, on_hand=own)
    assert (made["totals"]["total"], made["proof"]["status"], made["proof"]["gap"]) == ("12.00", "proven", "0.00")
    assert [(trip["supplier"], trip["goods"]) for trip in made["trips"]] == [("Near", "10.00")]


def test_what_offcuts_are_worth_is_credited_and_no_doubt(plan, yard):
    """Two pieces of 30 in from a board of 96 in leave 35-3/4 in, of which a quarter of 96.00 for 96 in is 8.93."""
    piece = {"name": "leg", "section": "2x4", "length": "30 in", "quantity": 2}
    made = plan(piece, price_book=yard(("96 in", "96.00")), shop={"offcut_value": "25 %"})
    assert made["proof"] | {"stage": ""} == {
        "status": "proven", "bound": "87.07", "gap": "0.00", "credited": "8.93", "setups_at_least": 1, "stage": "",
    }  # fmt: skip
    assert made["totals"]["total"] == "96.00"


# ---- near misses of a large order


def test_a_near_miss_saves_what_the_order_does_not_save_as_it_is(tiny_book, plan):
    """Three suppliers and 12 lengths, six with a shortest: each saving is against the same order without them."""
    chance = random.Random(15)
    names = ["Yard 0", "Yard 1", "Yard 2"]
    rows = [
        {
            "supplier": name, "item_code": f"B{feet}", "length": f"{feet} ft",
            "price": f"{feet * chance.uniform(0.55, 0.7):.2f}",
        }
        for name in names
        for feet in (8, 10, 12, 16)
    ]  # fmt: skip
    suppliers = [{"name": name, "trip": f"{n + 1}.00"} for n, name in enumerate(names)]
    book = content(tiny_book(rows, tax_rate="0 %", suppliers=suppliers))
    pieces = [piece(f"{mm / 10:.1f} mm", chance.randint(1, 6)) for mm in chance.sample(range(3_000, 15_000), 12)]
    ranged = [each | {"shortest": "299 mm"} if n < 6 else each for n, each in enumerate(pieces)]
    told, plain = plan(*ranged, price_book=book), plan(*pieces, price_book=book)
    gap = Decimal(plain["proof"]["gap"])
    assert Decimal(told["totals"]["total"]) - Decimal(told["proof"]["gap"]) <= Decimal(plain["totals"]["total"])
    assert told["near_misses"]
    for miss in told["near_misses"]:
        at = next(n for n, cut in enumerate(told["cut_list"]) if cut["part"] == miss["part"])
        shorter = [*pieces]
        shorter[at] = pieces[at] | {"length": miss["shorter"]["text"]}
        had = Decimal(plan(*shorter, price_book=book)["totals"]["total"])
        assert had + Decimal(miss["saves"]) <= Decimal(plain["totals"]["total"]) + gap
