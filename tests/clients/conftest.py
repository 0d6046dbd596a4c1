"""The service that clients are tried on: it runs on a store, with a token."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from tests.web.serving import served

from sawbill.store import Store

GUIDE = Path(__file__).parents[2] / "service" / "sawbill" / "web" / "guide" / "clients.md"


@pytest.fixture(scope="session")
def service(tmp_path_factory):
    """A running service, and the secret of a token that may keep quotes."""
    folder = tmp_path_factory.mktemp("service")
    with Store.open(folder / "data") as store:
        store.migrate()
        _, secret = store.tokens.make("anna", "test", ("quote",))
    with served(folder, "--data", str(folder / "data")) as running:
        yield running, secret


@pytest.fixture(scope="session")
def described(service, tmp_path_factory):
    """The description that the running service gives, in a file."""
    status, _, data = service[0].ask("/openapi.json")
    assert status == 200
    file = tmp_path_factory.mktemp("described") / "openapi.json"
    file.write_bytes(data)
    return file


@pytest.fixture(scope="session")
def told(service):
    """What a client should have been told, asked for without one."""
    running, secret = service

    def ask(path, body=None):
        method = "GET" if body is None else "POST"
        status, _, data = running.ask(path, method, body, Authorization=f"Bearer {secret}")
        assert status == 200, data
        return json.loads(data)

    bed = {"design": "slatted-bed", "options": {"mattress": "queen", "clear_height": "8in"}}
    shelf = {"label": "shelf", "parts": [{"section": "1x8", "length": "30 in", "quantity": 3}]}
    compared = ask("/v1/comparisons?designs=slatted-bed&price_book=sample-inch&mattress=twin,queen&sort=-total")
    query = "price_book=sample-inch&mattress=queen&clear_height=8in"
    return {
        "status": "ok",
        "by_address": ask(f"/v1/designs/slatted-bed/quote?{query}")["totals"]["total"],
        "by_body": ask("/v1/quotes?keep=no", {"price_book": "sample-inch", "lines": [bed, shelf]})["totals"]["total"],
        "rows": [row["total"] for row in compared["rows"]],
        "workbook": "PK",
        "drawing": "<svg",
        "wrong": [422, "kerf"],
    }


def block(language):
    """The block of the guide that is written in a language."""
    (found,) = re.findall(rf"^```{language}\n(.*?)^```$", GUIDE.read_text(), re.MULTILINE | re.DOTALL)
    return found


def command(begin):
    """The words of the command of the guide that begins so."""
    (found,) = re.findall(rf"^    ({begin} .*)$", GUIDE.read_text(), re.MULTILINE)
    return found.split()


def run(*words, folder, **environ):
    """Run a command in a folder, and give what it prints; it has to end well."""
    done = subprocess.run(
        words, cwd=folder, env={**os.environ, **environ}, capture_output=True, text=True, timeout=300, check=False
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-4000:]
    return done.stdout


def tool(name):
    """A command that is installed beside this Python."""
    return str(Path(sys.executable).with_name(name))
