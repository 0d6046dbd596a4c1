"""A real browser on a running service: what leaves the machine, and every error that a page tells of, fails a test."""

from __future__ import annotations

import io
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from tests.web.serving import Served, served

from sawbill.prices.forms.workbook import write_workbook
from sawbill.prices.shelf import Shelf, sample_folder
from sawbill.store import Store

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
WORST = ("serious", "critical")
PROBLEM = "Failed to load resource: the server responded with a status of 4"
"""What the console tells of an answer that is a problem, though its page tells it better."""


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A service that keeps nothing, for all tests."""
    with served(tmp_path_factory.mktemp("service")) as running:
        yield running


@pytest.fixture(scope="session")
def keeping(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Served, str]]:
    """A service that keeps things, and anna's token for it."""
    folder = tmp_path_factory.mktemp("keeping")
    with Store.open(folder / "data") as store:
        store.prepare()
        _, secret = store.tokens.make("anna", "laptop", ["quote", "price-book"])
    with served(folder, "--data", str(folder / "data")) as running:
        yield running, secret


@pytest.fixture(scope="session")
def workbook(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Bring the inch sample's prices as a workbook of one's own: each board dearer by a factor."""
    folder = tmp_path_factory.mktemp("own")

    def brought(factor: str) -> Path:
        book = openpyxl.load_workbook(io.BytesIO(write_workbook(Shelf(sample_folder()).get("sample-inch"))))
        head, *rows = book["lumber"].iter_rows()
        price = [cell.value for cell in head].index("price")
        for row in rows:
            row[price].value = f"{Decimal(str(row[price].value)) * Decimal(factor):.2f}"
        book.save(folder / f"my prices {factor}.xlsx")
        return folder / f"my prices {factor}.xlsx"

    return brought


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """The browser."""
    from playwright.sync_api import sync_playwright

    assert CHROMIUM, "Chromium is not on this machine"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


Open = Callable[..., Any]


@pytest.fixture
def visit(chromium: Any, service: Served) -> Iterator[Open]:
    """Open pages of the service as a new user: `with visit(java_script_enabled=False, …) as page`."""

    @contextmanager
    def opened(at: Served = service, **how: Any) -> Iterator[Any]:
        here = f"http://127.0.0.1:{at.port}"
        context = chromium.new_context(base_url=here, **how)
        page, wrong = context.new_page(), list[str]()
        page.on("request", lambda asked: None if asked.url.startswith((here, "data:")) else wrong.append(asked.url))
        page.on("console", lambda told: wrong.append(told.text) if told.type == "error" else None)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.set_default_timeout(20_000)
        yield page
        context.close()
        assert [each for each in wrong if not each.startswith(PROBLEM)] == []

    yield opened


@pytest.fixture(scope="session")
def sound() -> Callable[[Any], None]:
    """Hold a page against axe-core: nothing serious may be wrong with it for those who see, hear or move otherwise."""
    from axe_playwright_python.sync_playwright import Axe

    def hold(page: Any) -> None:
        found = Axe().run(page).response["violations"]
        told = [(each["id"], each["nodes"][0]["html"][:200]) for each in found if each["impact"] in WORST]
        assert told == [], page.url

    return hold
