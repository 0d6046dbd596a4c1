"""The running service held against its own description: requests of every kind, made up from it.

Schemathesis makes them and checks each answer: its status, type, headers and body are described, nothing is a fault of
the service, what is refused should be, and nothing is reached without a token. A long run:

    .venv/bin/python -m tests.web.test_described --cases 100
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tests.web.serving import COMMAND, Served, served

from sawbill.store import Store

HERE = Path(__file__).parent
SEED = 20261125
QUOTES = 12
"""How many quotes are kept before, so that requests meet some."""
BODY = {
    "price_book": "sample-inch",
    "lines": [{"label": "shelf", "parts": [{"section": "1x8", "length": "30 in", "quantity": 3}]}],
}
PATIENT = (
    "from dataclasses import replace; from sawbill.web.admission import limits; "
    "limits.FAILURES = replace(limits.FAILURES, units=10**9); "
)
"""Before the command: so many wrong tokens are tried here that the service would soon answer nothing but 429."""
SHORT = r"comparisons|requote|\.pdf"
"""Addresses that make many quotes in one request, or PDF: left to the long run."""


@contextmanager
def kept(folder: Path) -> Iterator[tuple[Served, str, list[str]]]:
    """Run the service on a store with a token and a few quotes: the service, the token's secret, the quotes' ids."""
    with Store.open(folder / "data") as store:
        store.migrate()
        _, secret = store.tokens.make("anna", "test", ("admin",))
    with served(folder, "--data", str(folder / "data"), code=PATIENT + COMMAND) as service:
        ids = []
        for number in range(QUOTES):
            told = service.ask("/v1/quotes", "POST", {**BODY, "label": str(number)}, Authorization=f"Bearer {secret}")
            assert told[0] == 201, told
            ids.append(told[1]["Location"].rpartition("/")[2])
        yield service, secret, ids


def held(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Hold a service against its description; words: more of the command's. The service's log is in the folder."""
    with kept(folder) as (service, secret, ids):
        chosen = folder / "described.toml"
        text = (HERE / "described.toml").read_text().replace('"described_hooks', f'"{HERE}/described_hooks')
        chosen.write_text(text.replace("[dictionaries]", f"[dictionaries]\nquotes.values = {json.dumps(ids)}"))
        command = [
            *(sys.executable, "-c", "from schemathesis.cli import schemathesis; schemathesis()"),
            *("--config-file", str(chosen)),
            *("run", f"http://127.0.0.1:{service.port}/openapi.json", "-H", f"Authorization: Bearer {secret}"),
            *("--seed", str(SEED), "--no-color", *words),
        ]
        environment = {**os.environ, "SCHEMATHESIS_HOOKS": ""}
        return subprocess.run(command, capture_output=True, text=True, cwd=folder, env=environment, check=False)


def test_what_is_answered_is_what_is_described(tmp_path: Path) -> None:
    told = held(tmp_path, "--phases", "fuzzing", "-n", "2", "--exclude-path-regex", SHORT)
    assert told.returncode == 0, told.stdout[-6000:] + told.stderr[-2000:]


def main(words: Sequence[str] | None = None) -> int:
    """Make a long run, and print what it came to."""
    reader = argparse.ArgumentParser(description="Hold the running service against its description, at length.")
    reader.add_argument("--cases", type=int, default=100, help="of each operation, beside those at every bound")
    reader.add_argument("--phases", default="examples,coverage,fuzzing,stateful")
    given, more = reader.parse_known_args(words)
    with tempfile.TemporaryDirectory() as folder:
        told = held(Path(folder), "--phases", given.phases, "-n", str(given.cases), *more)
    print(told.stdout, told.stderr, sep="\n")
    return told.returncode


if __name__ == "__main__":
    sys.exit(main())
