import dataclasses
import os
import subprocess
import sys

import pytest

from sawbill.registry import BadDesignError
from sawbill.trade import option
from sawbill.web.app import check_names
from sawbill.web.http.queries import QUOTE


@pytest.mark.parametrize(
    "path", ["/", "/healthz", "/openapi.json", "/v1/designs", "/style.css", "/nothing", "/problems/not-found"]
)
def test_every_answer_carries_the_headers_that_bound_its_use(client, path):
    headers = client.get(path).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert "Cache-Control" in headers
    for word in ("default-src 'none'", "object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'"):
        assert word in headers["Content-Security-Policy"]
    assert "Access-Control-Allow-Origin" not in headers
    assert "Set-Cookie" not in headers


def test_an_answer_to_head_is_that_to_get_without_its_body(client):
    got, head = client.get("/v1/designs"), client.head("/v1/designs")
    assert head.data == b""
    assert head.headers["Content-Length"] == got.headers["Content-Length"]


@pytest.mark.parametrize("name", QUOTE)
def test_a_design_may_not_take_the_name_of_a_parameter_of_every_quote(app, name):
    bed = app.extensions["sawbill"].designs["slatted-bed"]
    check_names([bed])
    taken = dataclasses.replace(bed, options=(*bed.options, option.Flag(name, "Help.", default=False)))
    with pytest.raises(BadDesignError, match=f"slatted-bed: its option {name} "):
        check_names([taken])


def start(folder=None, **environment):
    """Load the application as a server does, in a process of its own."""
    path = {} if folder is None else {"PYTHONPATH": str(folder)}
    return subprocess.run(
        [sys.executable, "-c", "import sawbill.wsgi"],
        env={**os.environ, **path, **environment},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def test_a_wrong_setting_stops_the_start_with_its_name():
    ended = start(SAWBILL_MAX_BODY="2 MB")
    assert ended.returncode != 0
    assert "SAWBILL_MAX_BODY is '2 MB'; it must be a whole number of bytes" in ended.stderr


def test_a_bad_design_stops_the_start_with_its_name(tmp_path):
    package = tmp_path / "badly_made-1.dist-info"
    package.mkdir()
    (package / "METADATA").write_text("Metadata-Version: 2.1\nName: badly-made\nVersion: 1\n")
    (package / "entry_points.txt").write_text("[sawbill.designs]\nbad-bed = no_such_module:DESIGN\n")
    ended = start(tmp_path)
    assert ended.returncode != 0
    assert "BadDesignError: design bad-bed (no_such_module:DESIGN) cannot be loaded" in ended.stderr
