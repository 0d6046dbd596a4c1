"""A few quotes side by side: how their addresses are read, and what each is called."""

import re

import pytest

from sawbill.registry import designs
from sawbill.web.written.few import MOST, Variant, labels, measures, variant


@pytest.mark.parametrize("address", [
    "/v1/designs/bench/quote.html?price_book=sample-inch&length=40+in",
    " http://127.0.0.1:8000/v1/designs/bench/quote?price_book=sample-inch&length=40%20in ",
    "https://shop.example/v1/designs/bench/quote.json?price_book=sample-inch&length=40 in#change",
])  # fmt: skip
def test_an_address_is_read_as_a_browser_shows_it_or_a_page_links_to_it(address):
    found = variant(1, address, designs())
    assert (found.design.name, found.options) == ("bench", {"length": "40 in"})
    assert found.asked == {"price_book": "sample-inch", "length": "40 in"}
    assert variant(1, found.page, designs()) == found


@pytest.mark.parametrize("address", [
    "bench", "/v1/designs/bench", "/v1/designs/nothing/quote.html", "/v1/quotes/1f0c9a5be2d47a8036cd.html", "http://[",
    "/v1/designs/bench/cut-list.html",
])  # fmt: skip
def test_what_is_no_address_of_a_quote_is_told_with_its_place(address):
    (told,) = variant(3, address, designs())
    assert told.detail.startswith(f'quote 3 is "{address}"')


def test_more_quotes_than_a_page_shows_are_refused_and_all_stay_in_their_fields(client):
    asked = [f"/v1/designs/bench/quote?length={number}in" for number in range(40, 41 + MOST)]
    page = client.get("/compare", query_string={"quote": asked})
    assert page.status_code == 422 and f"there are {MOST + 1} quotes; take away all but {MOST}" in page.text
    assert page.text.count('name="quote"') == MOST + 1


BENCH = "/v1/designs/bench/quote?price_book=sample-inch"
LONGER = f"{BENCH}&length=60in"


def asked(client, **beside):
    return client.get("/compare", query_string={"quote": [BENCH, LONGER], **beside})


def test_what_no_parameter_is_called_is_told_with_what_is_near_it(client):
    page = client.get("/compare", query_string={"quote": [BENCH, f"{LONGER}&lenght=40in"]})
    assert page.status_code == 422
    assert "quote 2: there is no parameter" in page.text and "lenght" in page.text
    page = asked(client, krf="1/8 in")
    assert page.status_code == 422 and "krf" in page.text and "kerf" in page.text and LONGER.split("?")[0] in page.text


def test_a_fault_in_what_holds_for_all_stands_at_its_field(client):
    page = asked(client, kerf="a mile")
    assert page.status_code == 422
    assert "a mile" in page.text.partition('id="fault-kerf"')[2].partition("</p>")[0]


def test_a_fault_in_one_of_several_values_or_in_the_price_book_stands_at_its_field_too(client):
    page = client.get("/compare", query_string=[("quote", BENCH), ("grades", ""), ("grades", "Best"), ("kerf", "")])
    assert "Best" in page.text.partition('id="fault-grades"')[2].partition("</p>")[0]
    page = asked(client, price_book="none-such")
    assert "none-such" in page.text.partition('id="fault-price_book"')[2].partition("</p>")[0]


def rows_of(page):
    """The link of each row with the cost that its bar tells."""
    costs = re.findall(r">USD ([0-9.]+)<", page.text)
    pages = re.findall(r'<th scope="row"><a href="([^"]+)">', page.text)
    return [(link.replace("&amp;", "&"), cost) for link, cost in zip(pages, costs, strict=False)]


def test_a_row_leads_to_the_quote_that_is_compared_and_no_other(client):
    """What the first asks for beside its options holds for all of them, and options are each one's own."""
    first, second = f"{BENCH}&kerf=1/4+in&quantity=2", f"{LONGER}&kerf=1/8+in&ceiling=8ft"
    found = rows_of(client.get("/compare", query_string={"quote": [first, second]}))
    assert len(found) == 2
    for link, cost in found:
        assert client.get(link.replace("quote.html", "quote.json")).json["totals"]["total"] == cost
    assert "length=60in" in found[1][0] and "kerf=1%2F4+in" in found[1][0] and "ceiling" not in found[1][0]


def test_what_the_first_asks_for_can_be_taken_away_in_the_form(client):
    addresses = [f"{BENCH}&markup=30+%25&quantity=3", LONGER]
    kept = client.get("/compare", query_string={"quote": addresses})
    assert (
        "Sell for, by" in kept.text
        and 'name="markup" aria-describedby="help-markup fault-markup" value="30 %"' in kept.text
    )
    taken = client.get("/compare", query_string={"quote": addresses, "markup": "", "quantity": ""})
    assert taken.status_code == 200 and "Sell for, by" not in taken.text
    assert rows_of(taken) == rows_of(asked(client))


def test_selling_prices_and_a_shop_of_ones_own_hold_for_all_as_in_their_own_quotes(client):
    page = asked(client, markup="30 %", kerf="1/4 in", end_trim="")
    assert page.status_code == 200
    for address in (BENCH, LONGER):
        quote = client.get(f"{address}&markup=30+%25&kerf=1/4+in").json
        assert quote["totals"]["total"] in page.text
        assert f'<td class="n">{quote["selling_prices"][0]["amount"]}</td>' in page.text
    assert "Sell for, by" in page.text and "Sell for, by" not in asked(client).text


def test_quotes_of_one_design_are_told_apart_by_their_options():
    def of(name, **options):
        return Variant(designs()[name], {"price_book": "sample-inch", **options})

    bench = designs()["bench"].title
    assert labels([of("bench", length="40 in"), of("daybed"), of("bench", length="50 in")]) == [
        f"{bench}, length 40 in", designs()["daybed"].title, f"{bench}, length 50 in",
    ]  # fmt: skip
    assert labels([of("bench"), of("bench")]) == [f"{bench} (1)", f"{bench} (2)"]


def test_a_bar_is_as_long_as_its_value_and_none_where_there_is_no_quote():
    row = {
        "row": 0, "status": "quoted", "currency": "USD", "total": "80.00", "mass_kg": 40.0, "waste": 0.05,
        "hands_on_minutes": {"least": 60, "most": 150},
    }  # fmt: skip
    rows = [row, {"row": 1, "status": "refused"}, {**row, "row": 2, "total": "100.00"}]
    cost, mass, waste, hours = measures(rows, "metric")
    assert (cost.values, cost.most, cost.texts) == ([80.0, 0.0, 100.0], 100.0, ["USD 80.00", "", "USD 100.00"])
    assert mass.texts[0] == "40 kg"
    assert measures(rows, "inch")[1].texts[0] == "88.2 lb", "40 kg / 0.45359237 kg, NIST Handbook 44, appendix C"
    assert waste.texts[0] == "5.0 %"
    assert (hours.values[0], hours.texts[0]) == (150, "60 to 150 min")


def test_the_least_that_holds_is_not_told_as_the_least_where_what_fails_costs_less(client):
    sound = "/v1/designs/loft-bed/quote?price_book=sample-inch"
    weak = f"{sound}&braced=no"
    page = client.get("/compare", query_string={"quote": [weak, sound]}).text
    cost = page.partition("<h2>Cost</h2>")[2].partition("</table>")[0]
    assert cost.count("the least") == cost.count("the least that holds") == 1
    page = client.get("/compare", query_string={"quote": [BENCH, LONGER]}).text
    assert "the least</span>" in page and "the least that holds" not in page
