"""A real spreadsheet opens what we send, computes the same, and fills its cells from the running service."""

import csv
import io
import json
import re
import shutil
import socket
import subprocess
import sys
import time
from contextlib import closing
from decimal import Decimal
from pathlib import Path
from urllib.error import URLError
from urllib.parse import quote, urlencode
from urllib.request import urlopen

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from pypdf import PdfReader
from tests.answer.conftest import quoted

from sawbill.answer.forms.csvform import csv_bytes
from sawbill.answer.forms.workbook import Front, quote_workbook, workbook_bytes
from sawbill.answer.tables import ALL, TABLES
from sawbill.trade.mattresses import mattress_sizes
from sawbill.web.app import create_app
from sawbill.web.running.settings import Settings
from sawbill.web.written.guide import pages

pytestmark = pytest.mark.libreoffice

PATIENCE = 180
"""How long it may take [s]."""
VALUES = ("total", "boards", "longest_piece")
SIZES = list(mattress_sizes())[:20]


@pytest.fixture(scope="module")
def bridge():
    """The Python that has LibreOffice's bridge, which a virtual environment has not."""
    for name in ("/usr/bin/python3", shutil.which("python3")):
        if name and subprocess.run([name, "-c", "import uno"], capture_output=True, check=False).returncode == 0:
            return name
    return pytest.fail("no Python here has LibreOffice's bridge; install python3-uno")


@pytest.fixture(scope="module")
def office(bridge):
    """Do jobs in LibreOffice."""

    def run(*jobs):
        script = [bridge, str(Path(__file__).parent / "office.py")]
        done = subprocess.run(script, input=json.dumps(jobs), capture_output=True, text=True, timeout=PATIENCE)
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return run


LOCALES = ("en-US", "de-DE")
"""With a decimal point, and with a decimal comma."""


@pytest.mark.parametrize("locale", LOCALES)
def test_the_total_follows_a_price_that_is_changed(office, priced, tmp_path, locale):
    path = tmp_path / "quote.xlsx"
    path.write_bytes(quote_workbook(ALL, priced, Front("Quote")))
    book = openpyxl.load_workbook(path)
    cells = {words: f"{sheet}.{place_of(book[sheet], words)}" for words, sheet in FOLLOWED.items()}
    price = f"Buying.F{FIRST_ROW}"
    told, changed = office(
        {"open": str(path), "cells": [*cells.values(), price], "locale": locale},
        {"open": str(path), "cells": [*cells.values()], "locale": locale, "formulas": {price: "1000"}},
    )
    before = {words: Decimal(str(told[place]["value"])) for words, place in cells.items()}
    after = {words: Decimal(str(changed[place]["value"])) for words, place in cells.items()}
    assert {words: round(value, 2) for words, value in before.items()} == ours(priced), "all is computed anew as we do"
    assert ("," if locale == "de-DE" else ".") in told[price]["text"], "the sheet speaks its locale"
    count = openpyxl.load_workbook(path)["Buying"][f"B{FIRST_ROW}"].value
    dearer = count * (1000 - Decimal(str(told[price]["value"])))
    taxed = Decimal(0) if priced["price_book"]["prices_include_tax"] else dearer * Decimal("0.0825")
    assert after["Total"] - before["Total"] == pytest.approx(dearer + taxed, abs=Decimal("0.011"))
    more = after["Total"] - before["Total"]
    budget = more * Decimal("1.1")
    assert after["Materials times"] - before["Materials times"] == pytest.approx(budget * Decimal("2.5"), abs=1)


FIRST_ROW = 6
"""Of the goods on the sheet Buying: under the title, a hint, the headings and the first supplier."""
FOLLOWED = {
    "Total": "Quote", "Budget": "Quote", "Materials times": "Selling", "Materials and labour": "Selling",
    "Cost and a markup, of the cost": "Selling", "Cost and a margin, of the price": "Selling",
}  # fmt: skip
"""What follows from the prices: its words, and the sheet it is on."""


def ours(quote):
    """What the quote says of all that follows."""
    prices = [Decimal(each["amount"]) for each in quote["selling_prices"]]
    return dict(
        zip(FOLLOWED, [*(Decimal(quote["totals"][name]) for name in ("total", "budget")), *prices], strict=True)
    )


def place_of(sheet, words):
    """Where the amount is that these words stand before: midway, where there is a least and a most."""
    row = next(row for row in sheet.iter_rows() if row[0].value == words)
    return f"{'D' if sheet.title == 'Selling' else 'B'}{row[0].row}"


@pytest.fixture(params=["sample-inch", "sample-metric"])
def priced(request):
    """A bed with all that can be reckoned on top: prices without tax, and prices that hold it."""
    pricing = {"contingency": "10 %", "labour_rate": "25.00", "factor": "2.5", "markup": "30 %", "margin": "25 %"}
    return quoted(request.param, {"design": "slatted-bed", "options": {}}, pricing=pricing)


def test_it_opens_the_tables_for_programs_and_computes_their_total(office, answer, tmp_path):
    path = tmp_path / "quote.xlsx"
    path.write_bytes(quote_workbook(ALL, answer, Front("Quote")))
    dearer = {"costs.C2": "1000"}
    told, changed = office(
        {"open": str(path), "cells": ["costs.B7", "costs.A7"]},
        {"open": str(path), "cells": ["costs.B7"], "formulas": dearer},
    )
    total, lumber = (Decimal(answer["totals"][name]) for name in ("total", "lumber"))
    assert told["costs.A7"]["text"] == "total"
    assert told["costs.B7"]["type"] == "FORMULA"
    assert round(Decimal(told["costs.B7"]["value"]), 2) == total
    assert round(Decimal(changed["costs.B7"]["value"]), 2) == total - lumber + 1000, "it is live"


def test_it_prints_on_few_pages_and_none_is_empty(office, bed, tmp_path):
    path = tmp_path / "quote.xlsx"
    path.write_bytes(quote_workbook(ALL, bed, Front("Quote")))
    office({"open": str(path), "cells": [], "pdf": str(tmp_path / "quote.pdf")})
    pages = [page.extract_text() for page in PdfReader(tmp_path / "quote.pdf").pages]
    assert len(pages) <= 8
    assert all(len(text.split()) > 20 for text in pages)
    assert f"{bed['totals']['total']}" in pages[0] and "shopping-list" not in " ".join(pages)


def test_it_opens_the_costs_as_csv_and_adds_up_our_total(office, answer, tmp_path):
    path = tmp_path / "costs.csv"
    path.write_bytes(csv_bytes(TABLES["costs"], answer))
    (told,) = office({"open": str(path), "formulas": {"H1": "=SUM(C2:C6)"}, "cells": ["H1", "B2", "A2"]})
    assert round(Decimal(told["H1"]["value"]), 2) == Decimal(answer["totals"]["total"])
    assert (told["A2"]["type"], told["B2"]["type"]) == ("TEXT", "VALUE")


def test_it_opens_a_comparison_as_a_workbook_and_finds_the_cheapest_row(office, tmp_path):
    client = create_app(Settings()).test_client()
    query = "designs=bench,shelf-unit,low-platform&price_book=sample-inch"
    path = tmp_path / "comparison.xlsx"
    path.write_bytes(client.get(f"/v1/comparisons.xlsx?{query}").data)
    rows = client.get(f"/v1/comparisons.json?{query}").json["rows"]
    head = [cell.value for cell in openpyxl.load_workbook(path)["comparison"][1]]
    column = get_column_letter(1 + head.index("total"))
    cheapest = f"=MIN({column}2:{column}{1 + len(rows)})"
    (told,) = office({"open": str(path), "formulas": {"comparison.AZ1": cheapest}, "cells": ["comparison.AZ1"]})
    assert round(Decimal(told["comparison.AZ1"]["value"]), 2) == min(Decimal(row["total"]) for row in rows)


def test_a_label_that_looks_like_a_formula_stays_text_in_both(office, hostile, tmp_path):
    files = {"csv": csv_bytes(TABLES["cut-list"], hostile), "xlsx": workbook_bytes(ALL, hostile, "Quote")}
    names = [row["name"] for row in csv.DictReader(io.StringIO(files["csv"].decode()))]
    at = names.index("'=1+2") + 2
    jobs = []
    for suffix, data in files.items():
        path = tmp_path / f"cut-list.{suffix}"
        path.write_bytes(data)
        jobs.append({"open": str(path), "cells": [f"cut-list.C{at}"]})
    in_csv, in_xlsx = (told[f"cut-list.C{at}"] for told in office(*jobs))
    assert (in_csv["type"], in_csv["text"].lstrip("'")) == ("TEXT", "=1+2")
    assert (in_xlsx["type"], in_xlsx["text"]) == ("TEXT", "=1+2")


@pytest.fixture(scope="module")
def service():
    """The service as anybody starts it."""
    with closing(socket.create_server(("127.0.0.1", 0))) as free:
        port = free.getsockname()[1]
    words = [str(Path(sys.executable).parent / "sawbill"), "serve", "--port", str(port), "--workers", "1"]
    process = subprocess.Popen(words)
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(120):
            try:
                with urlopen(f"{address}/healthz"):
                    break
            except URLError:
                assert process.poll() is None
                time.sleep(0.25)
        yield address
    finally:
        process.terminate()
        process.wait(30)


def test_its_url_function_fills_a_sheet_of_sixty_cells(office, service):
    def address(size, value):
        query = urlencode({"price_book": "sample-inch", "mattress": size, "on_error": "text"}, quote_via=quote)
        return f"{service}/v1/designs/slatted-bed/value/{value}.txt?{query}"

    cells = {
        f"{'BCD'[column]}{row}": address(size, value)
        for row, size in enumerate(SIZES, 2)
        for column, value in enumerate(VALUES)
    }
    assert len(cells) == 60
    assert max(map(len, cells.values())) < 1_500
    formulas = {place: f'=VALUE(WEBSERVICE("{url}"))' for place, url in cells.items()}
    start = time.monotonic()
    (told,) = office({"formulas": formulas, "cells": [*cells]})
    print(f"60 cells of {len(SIZES)} beds in {time.monotonic() - start:.1f} s, LibreOffice's start included")
    for row, size in enumerate(SIZES, 2):
        with urlopen(
            address(size, "total").replace("value/total.txt", "quote.json").replace("&on_error=text", "")
        ) as sent:
            quoted = json.load(sent)
        boards = sum(line["quantity"] for line in quoted["shopping_list"] if line["kind"] == "lumber")
        longest = max(piece["longest"]["mm"] for piece in quoted["frame"]["carried_pieces"])
        total, count, length = (told[f"{column}{row}"] for column in "BCD")
        assert round(Decimal(total["value"]), 2) == Decimal(quoted["totals"]["total"]), size
        assert (count["value"], length["value"]) == (boards, longest), size


@pytest.mark.parametrize("locale", LOCALES)
def test_the_formula_of_the_guide_fills_a_column(office, service, locale):
    page = pages()["spreadsheets"].source
    (formula,) = re.findall(r"^    (=NUMBERVALUE\(WEBSERVICE.*)$", page, re.MULTILINE)
    (address,) = re.findall(r"http://127\.0\.0\.1:8000(\S+/value/total\.txt\S+=)queen\n", page)
    texts = {"B1": service + address, "A2": "queen", "A3": "twin"}
    formulas = {"B2": formula, "B3": formula.replace("A2", "A3")}
    (told,) = office({"formulas": {**texts, **formulas}, "cells": ["B2", "B3"], "locale": locale})
    with urlopen(f"{texts['B1']}queen") as sent:
        assert Decimal(str(told["B2"]["value"])) == Decimal(sent.read().decode().strip())
    assert 0 < told["B3"]["value"] < told["B2"]["value"]


def test_a_fault_is_read_in_the_cell_where_that_is_asked_for(office, service):
    url = f"{service}/v1/designs/slatted-bed/value/total.txt?price_book=sample-inch&mattress=quen"
    formulas = {"A1": f'=WEBSERVICE("{url}&on_error=text")', "A2": f'=WEBSERVICE("{url}")'}
    (told,) = office({"formulas": formulas, "cells": ["A1", "A2"]})
    assert told["A1"]["text"].startswith("422 The request has mistakes in it: ") and "queen" in told["A1"]["text"]
    assert "queen" not in told["A2"]["text"], "of another status a sheet shows an error alone"
