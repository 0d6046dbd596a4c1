"""Every limit of what is asked, in one table: one below and at it a request is taken, one above it is refused.

The limits of price books stand with their files (tests/prices), those of the first line and the headers of a request
with the server (test_server.py).
"""

import json
from dataclasses import dataclass

import pytest
from tests.web.guarded import Kept

from sawbill.asked.lines import MOST_HARDWARE, MOST_LINES, MOST_OPTIONS, MOST_PARTS, MOST_QUANTITY
from sawbill.prices.shop import MOST_SPARE
from sawbill.quoting.comparing.asked import MOST_ENTRIES
from sawbill.quoting.comparing.grid import MOST_ROWS
from sawbill.trade.declaring.kinds import MOST_TEXT
from sawbill.web.http import paging
from sawbill.web.http.bodies import DEEPEST
from sawbill.web.library.kept import LONGEST_KEY
from sawbill.web.running.settings import USUAL_BODY

JSON = {"Content-Type": "application/json"}
SHELF = {"name": "shelf", "section": "1x8", "length": "30 in", "quantity": 1}


def lines(*entries, **rest):
    """A quote's request in as few bytes as it takes."""
    return {"price_book": "sample-inch", "lines": list(entries), **rest}


def parts(*entries, **rest):
    return {"parts": list(entries), **rest}


def nested(depth):
    """A list of lists, so many in each other with the object around them."""
    return {"lines": json.loads("[" * (depth - 1) + "]" * (depth - 1))}


def designs(count):
    """So many designs to compare, by labels of their own."""
    return {
        "price_books": ["sample-inch"],
        "designs": [{"design": "bench", "label": f"bench {n}"} for n in range(count)],
        "options": {"no_such": ["1"]},  # so that nothing is worked out
    }


def values(count):
    """So many values of an option that there is not."""
    asked = {"no_such": [str(n) for n in range(count)]}
    return {"price_books": ["sample-inch"], "designs": ["bench"], "options": asked}


@dataclass(frozen=True)
class Limit:
    """What is bounded, by how much, a body or a path of that much, and how the one above is refused: status, code."""

    what: str
    most: int
    body: object = None
    path: object = None
    refused: tuple = (422, "too-many")
    headers: object = None


QUOTES, COMPARISONS = "/v1/quotes", "/v1/comparisons"
LIMITS = [
    Limit("bytes of a body", USUAL_BODY, lambda n: b" " * n, refused=(413, "too-large")),
    Limit("lists in each other", DEEPEST, nested, refused=(400, "bad-request")),
    Limit("characters of a text", MOST_TEXT, lambda n: lines(parts(SHELF, label="x" * n)), refused=(422, "too-long")),
    Limit("lines of a request", MOST_LINES, lambda n: lines(*[parts(SHELF)] * n)),
    Limit("own parts of a line", MOST_PARTS, lambda n: lines(parts(*[SHELF] * n))),
    Limit("own parts of all lines", MOST_PARTS, lambda n: lines(parts(*[SHELF] * (n - 200)), parts(*[SHELF] * 200))),
    Limit(
        "boards on hand", MOST_PARTS,
        lambda n: lines(parts(SHELF), on_hand=[{"section": "1x8", "length": "40 in"}] * n),
    ),
    Limit(
        "owned hardware", MOST_PARTS,
        lambda n: lines(parts(SHELF), owned_hardware=[{"kind": "hex bolt", "size": "3/8", "length": "6 in"}] * n),
    ),
    Limit(
        "quantity of a line", MOST_QUANTITY, lambda n: lines(parts(SHELF, quantity=n)), refused=(422, "out-of-range"),
    ),
    Limit(
        "quantity of a part", MOST_QUANTITY, lambda n: lines(parts({**SHELF, "quantity": n})),
        refused=(422, "out-of-range"),
    ),
    Limit(
        "quantity of hardware", MOST_HARDWARE,
        lambda n: lines({"hardware": [{"kind": "hex bolt", "size": "3/8", "length": "6 in", "quantity": n}]}),
        refused=(422, "out-of-range"),
    ),
    Limit(
        "spare boards", MOST_SPARE, lambda n: lines(parts(SHELF), shop={"spare_boards": n}),
        refused=(422, "out-of-range"),
    ),
    Limit(
        "options of a line", MOST_OPTIONS,
        lambda n: lines({"design": "bench", "options": {f"option_{i}": 1 for i in range(n)}}),
    ),
    Limit("designs compared", MOST_ENTRIES, designs, path=lambda _: COMPARISONS),
    Limit("values of an option", MOST_ENTRIES, values, path=lambda _: COMPARISONS),
    Limit(
        "entries of a page", paging.MOST, path=lambda n: f"{QUOTES}?limit={n}", refused=(422, "out-of-range"),
    ),
    Limit(
        "characters of an idempotency key", LONGEST_KEY, lambda _: lines(parts(SHELF)),
        headers=lambda n: {"Idempotency-Key": "k" * n}, refused=(400, "bad-request"),
    ),
]  # fmt: skip


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    with_store = Kept(tmp_path_factory.mktemp("bounds"))
    yield with_store.app.test_client(), {"Authorization": f"Bearer {with_store.secret('anna')}"}
    with_store.store.close()


def codes(answer):
    """The status, and what is at fault."""
    told = answer.json if answer.status_code >= 400 else {"type": "", "errors": []}
    return answer.status_code, {told["type"].rpartition("/")[2], *(error["code"] for error in told["errors"])}


@pytest.mark.parametrize("limit", LIMITS, ids=lambda limit: limit.what)
@pytest.mark.parametrize("over", [-1, 0, 1], ids=["below", "at", "above"])
def test_a_request_is_taken_up_to_its_limit_and_refused_above_it(kept, limit, over):
    client, token = kept
    count = limit.most + over
    path = limit.path(count) if limit.path else QUOTES
    headers = {**JSON, **token, **(limit.headers(count) if limit.headers else {})}
    if limit.body is None:
        answer = client.get(path, headers=headers)
    else:
        body = limit.body(count)
        answer = client.post(path, data=body if isinstance(body, bytes) else json.dumps(body), headers=headers)
    status, code = limit.refused
    found, faults = codes(answer)
    assert found < 500
    assert (found == status and code in faults) == (over > 0), (found, faults, answer.data[:300])
    if over > 0:
        assert f"{limit.most}" in answer.get_data(as_text=True), "it says how much would be right"


def test_a_comparison_has_so_many_rows_and_no_more(kept):
    client, token = kept
    heights, lengths = [f"{300 + n} mm" for n in range(50)], [f"{900 + n} mm" for n in range(11)]
    asked = {"price_books": ["sample-inch"], "designs": ["bench"], "options": {"height": heights, "length": lengths}}
    answer = client.post(COMPARISONS, json=asked, headers=token)
    assert codes(answer) == (422, {"invalid-request", "too-many-rows"}), answer.data[:300]
    assert f"550 rows; it may have {MOST_ROWS}" in answer.get_data(as_text=True)


@pytest.mark.parametrize(("values", "told"), [([], "is empty; give 1 to"), ("1", "must be a list of 1 to")])
def test_an_option_to_compare_by_takes_a_list_of_values(kept, values, told):
    client, token = kept
    asked = {"price_books": ["sample-inch"], "designs": ["bench"], "options": {"height": values}}
    (error,) = client.post(COMPARISONS, json=asked, headers=token).json["errors"]
    assert error["pointer"] == "/options/height"
    assert told in error["detail"]
