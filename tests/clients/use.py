"""What a typed client that was made from the description does with the running service; the tests say with which.

python use.py http://127.0.0.1:8000 TOKEN
"""

from __future__ import annotations

import json
import sys

from sawbill_client import AuthenticatedClient, Client
from sawbill_client.api.comparisons import make_comparison
from sawbill_client.api.drawings import draw_design
from sawbill_client.api.quotes import make_quote
from sawbill_client.api.quotes_of_a_design import quote_design, quote_design_xlsx
from sawbill_client.api.service import healthz
from sawbill_client.models import (
    CheckStatus,
    Comparison,
    ComparisonRequest,
    ComparisonRequestOptions,
    LineAsked,
    LineAskedOptions,
    PartAsked,
    Problem,
    Quote,
    QuoteDesignOptions,
    QuoteDesignXlsxOptions,
    QuoteRequest,
    RowOrder,
    YesNo,
)
from sawbill_client.types import File


def use(address: str, token: str) -> dict[str, object]:
    """Ask for a quote in several ways, a comparison and a drawing, and give what was told."""
    client = AuthenticatedClient(base_url=address, token=token)
    health = healthz.sync(client=Client(base_url=address))
    queen = QuoteDesignOptions.from_dict({"mattress": "queen", "clear_height": "8in"})
    by_address = quote_design.sync(
        "slatted-bed", client=client, price_book="sample-inch", options=queen, yard_cuts=YesNo.NO
    )
    bed = LineAskedOptions.from_dict({"mattress": "queen", "clear_height": "8in"})
    shelf = PartAsked(section="1x8", length="30 in", quantity=3)
    lines = [LineAsked(design="slatted-bed", options=bed), LineAsked(label="shelf", parts=[shelf])]
    asked = QuoteRequest(price_book="sample-inch", lines=lines)
    by_body = make_quote.sync(client=client, body=asked, keep=YesNo.NO)
    swept = ComparisonRequestOptions.from_dict({"mattress": ["twin", "queen"]})
    compared = make_comparison.sync(
        client=client,
        body=ComparisonRequest(
            designs=["slatted-bed"], price_books=["sample-inch"], options=swept, sort=RowOrder.MOST_TOTAL
        ),
    )
    workbook = quote_design_xlsx.sync(
        "slatted-bed", client=client, price_book="sample-inch",
        options=QuoteDesignXlsxOptions.from_dict({"mattress": "queen"}),
    )  # fmt: skip
    drawing = draw_design.sync("bench", client=client, price_book="sample-inch")
    wrong = quote_design.sync("slatted-bed", client=client, price_book="sample-inch", kerf="1 km")
    assert health is not None and not isinstance(health, Problem)
    assert isinstance(by_address, Quote) and isinstance(by_body, Quote) and isinstance(compared, Comparison)
    assert isinstance(workbook, File) and isinstance(drawing, str) and isinstance(wrong, Problem)
    assert all(isinstance(check.status, CheckStatus) for check in by_address.checks)
    return {
        "status": health.status,
        "by_address": by_address.totals.total,
        "by_body": by_body.totals.total,
        "rows": [row.total for row in compared.rows],
        "workbook": workbook.payload.read(2).decode(),
        "drawing": drawing[:4],
        "wrong": [wrong.status, wrong.errors[0].parameter],
    }


if __name__ == "__main__":
    print(json.dumps(use(*sys.argv[1:3])))
